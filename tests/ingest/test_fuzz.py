"""A few damaged files of each medium; thousands with `python -m tests.benchmarks.fuzz_bid_tabs`."""

from __future__ import annotations

import pytest

from tests.benchmarks.fuzz_bid_tabs import MEDIA, import_some, run


@pytest.mark.parametrize("medium", sorted(MEDIA))
def test_damaged_files_are_read_or_refused_in_plain_words(medium, tmp_path):
    tally = run(medium, 20, 7, tmp_path)
    assert tally.read + tally.refused == 20
    assert tally.read


def test_refused_files_leave_the_record_as_it_was(tmp_path):
    assert import_some(12, 7, tmp_path)

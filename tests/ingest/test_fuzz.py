"""A few damaged files of each medium; thousands with `python -m tests.benchmarks.fuzz_bid_tabs`."""

from __future__ import annotations

import pytest

from tests.benchmarks.damaged_bid_tabs import MEDIA
from tests.benchmarks.fuzz_bid_tabs import run


@pytest.mark.parametrize("medium", sorted(MEDIA))
def test_damaged_files_come_in_whole_or_are_refused_and_leave_nothing(medium, tmp_path):
    tally = run(medium, 6, 7, tmp_path)
    assert tally.came_in + tally.refused == tally.files == 6
    assert tally.came_in

"""Where each number comes from: complete, with formula and source; versions and data stand on the page."""

from __future__ import annotations

from pathlib import Path

import pytest

from bidlens.dashboard import how_view
from tests.dashboard.pages import html_of, opened


def test_every_number_has_its_formula_its_source_and_what_it_leaves_out() -> None:
    every = how_view.numbers()
    assert all(set(one) == {"seen", "found", "formula", "source", "leaves_out"} for one in every)
    assert all(text.strip() for one in every for text in one.values())
    assert len({one["seen"] for one in every}) == len(every)


def test_the_worked_deck_area_is_right() -> None:
    [deck] = [one for one in how_view.numbers() if one["seen"] == "Deck area"]
    assert f"62 ft × 28 ft = {62 * 28:,} sf" in deck["formula"]


@pytest.mark.parametrize("record", ["sample", "none"])
def test_method_sources_versions_and_data_stand_with_and_without_a_record(
    record: str, sample_record: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record if record == "sample" else tmp_path / "none.duckdb", monkeypatch, "how_it_works")
    assert not app.exception
    shown = html_of(app)
    for words in (
        "Where each number comes from",
        "23 CFR 490.411",
        "Published tables",
        f"bidlens {how_view.program_version()}",
    ):
        assert words in shown
    assert ("Asked about" in shown) == (record == "sample")

"""From an empty record to a first verdict: three steps, each done, next or then; the sample county in and out again."""

from __future__ import annotations

from pathlib import Path

import pytest

from bidlens import workflow
from bidlens.dashboard import empty
from tests.dashboard.pages import html_of, opened

Patch = pytest.MonkeyPatch


@pytest.mark.parametrize(
    ("contracts", "linked", "bridges", "letters", "states"),
    [
        (0, 0, 0, 0, ["Next", "Then", "Then"]),
        (0, 0, 400, 0, ["Next", "Then", "Then"]),
        (3, 3, 400, 0, ["Next", "Then", "Then"]),
        (12, 0, 0, 0, ["Done", "Next", "Then"]),
        (12, 3, 400, 2, ["Done", "Next", "Then"]),
        (12, 4, 400, 0, ["Done", "Done", "Next"]),
        (12, 12, 400, 1, ["Done", "Done", "Done"]),
    ],
)
def test_a_step_is_next_when_those_before_it_are_done(
    contracts: int, linked: int, bridges: int, letters: int, states: list[str]
) -> None:
    assert [one.state for one in empty.steps(contracts, linked, bridges, letters)] == states


def test_the_next_step_carries_its_link_and_is_named_as_such() -> None:
    shown = empty.steps_html(empty.steps(12, 0, 0, 0))
    assert shown.count("<a href") == 1
    assert 'aria-current="step"><b>Link structures</b>' in shown
    assert 'href="records?part=imports"' in shown
    assert "Look at the links" in empty.steps_html(empty.steps(12, 1, 400, 0))


def test_bid_tabs_without_structures_show_the_way_over_every_page(tmp_path: Path, monkeypatch: Patch) -> None:
    record = tmp_path / "own.duckdb"
    with workflow.open_database(record) as db:
        db.import_files(workflow.sample_files()[1:6])
    for page in ("proposal_check", "unit_cost_history", "records"):
        app = opened(record, monkeypatch, page)
        assert not app.exception
        assert "<i>Next.</i> The structure list gives length and width" in html_of(app)


def test_a_record_that_answers_shows_no_steps(sample_record: Path, monkeypatch: Patch) -> None:
    assert "bl-steps" not in html_of(opened(sample_record, monkeypatch))


def test_the_sample_county_is_taken_back_whole(own_record: Path, monkeypatch: Patch) -> None:
    app = opened(own_record, monkeypatch, "records", part="imports")
    assert "its bridges, firms and prices are invented" in html_of(app)
    app.button(key="sample_back").click().run(timeout=120)
    assert not app.exception
    assert "<b>No bid tabs yet,</b>" in html_of(app)
    with workflow.open_database(own_record) as db:
        assert db.imports().empty


def test_a_record_with_a_file_of_its_own_is_not_called_the_sample(own_record: Path, monkeypatch: Patch) -> None:
    own = Path(own_record).with_name("steel.csv")
    own.write_text("quarter,value\n2020Q1,100\n2020Q2,101\n", encoding="utf-8")
    with workflow.open_database(own_record) as db:
        assert db.import_files([own], "cost-index")[0].error is None
    app = opened(own_record, monkeypatch, "records", part="imports")
    assert "prices are invented" not in html_of(app)

"""The program page on the sample county, on nothing, and on questions that cannot be answered."""

from __future__ import annotations

from pathlib import Path

import pytest

from bidlens import workflow
from bidlens.dashboard import program_list
from tests.dashboard.pages import STOPPED, charts, html_of, opened

PAGE = "program_forecast"


def test_the_page_answers_first_then_draws_and_lists(sample_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(sample_record, monkeypatch, PAGE, budget="6500000")
    assert not app.exception
    shown = html_of(app)
    assert STOPPED not in shown
    order = [
        shown.index(text)
        for text in ("What will the 2027 list cost", "bl-answer", "bl-block", "bl-table", "bl-caution")
    ]
    assert order == sorted(order)
    assert '<b class="bl-flag">$6.5 million</b>' in shown
    assert charts(app) == 5  # dots, pace, ages, backlog, inventory
    assert shown.count("K-388") >= 3  # its row, and both tables of changes
    assert "dashed" in shown
    assert "steady state" in shown


def test_a_budget_given_on_the_page_goes_into_the_address(sample_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(sample_record, monkeypatch, PAGE)
    assert "bl-flag" not in html_of(app)
    app.number_input(key="program_budget").set_value(5_000_000.0).run()
    assert not app.exception
    assert app.query_params["budget"] in ("5000000", ["5000000"])
    assert "$5.0 million" in html_of(app)


@pytest.mark.parametrize(
    ("query", "told"),
    [
        ({"budget": "0"}, "budget of 0 dollars"),
        ({"budget": "lots"}, "cannot use “lots” as the budget"),
        ({"year": "2031"}, "is planned for 2031"),
        ({"life": "2"}, "cannot use “2” as the life"),
        ({"years_asked": "9"}, "cannot use “9” as the years"),
        ({"years_asked": "2", "budget": "1e6"}, "cannot use “1e6” as the budget"),
        ({"years_asked": "2", "budget": "1000000;1000000;5"}, "3 budgets given for 2 years"),
        ({"budget": "-5"}, "a budget of -5 dollars"),
        ({"year": "2040", "years_asked": "6"}, "is planned for 2040"),
        ({"priced_on": "beams"}, "cannot price a program on “beams”"),
        ({"index": "moon"}, "there is no cost index “moon”"),
    ],
)
def test_what_cannot_be_answered_is_said_on_the_page(
    query: dict[str, str], told: str, sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch, PAGE, **query)
    assert not app.exception
    shown = html_of(app)
    assert STOPPED in shown
    assert told.lower() in shown.lower()


def test_an_empty_record_says_what_makes_a_start(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(tmp_path / "none.duckdb", monkeypatch, PAGE)
    assert not app.exception
    assert "<b>No bid tabs yet,</b>" in html_of(app)


def test_several_years_stand_in_the_address_and_on_the_page(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch, PAGE, years_asked="4", budget="1.8 M", priced_on="bridge+mobilization")
    assert not app.exception
    shown = html_of(app)
    assert STOPPED not in shown
    assert "What will the 2027–2030 list cost" in shown
    assert "a year lets" in shown
    assert "bridge items and mobilization" in shown
    for text in ("Year by year", "Money not spent carries over", "What changing one bridge does", "2030"):
        assert text in shown
    app.text_input(key="program_budgets").set_value("2,000,000; 1,000,000; 1,000,000; 3,000,000").run()
    assert not app.exception
    assert "$7.0 million</b> over 4 years" in html_of(app)


def test_bridges_are_picked_from_the_inventory(sample_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(sample_record, monkeypatch, PAGE)
    picked = next(
        table for table in app.dataframe if "Present type" in str(table.proto) or "age" in table.value.columns
    )
    assert (picked.value["age"] >= 60).all()
    assert picked.value["age"].is_monotonic_decreasing
    app.number_input(key="pick_age").set_value(90).run()
    fewer = next(table for table in app.dataframe if "age" in table.value.columns)
    assert len(fewer.value) < len(picked.value)


def test_a_bridge_picked_stands_at_the_end_of_the_list_with_its_size_left_to_the_rule(sample_record: Path) -> None:
    with workflow.open_database(sample_record) as db:
        listed = program_list.starting_list(db.program_bridges())
        inventory = db.structures()
    picked = inventory[~inventory["structure_id"].isin(listed["structure_id"])].head(2)
    both = program_list.with_picked(listed, picked)
    assert list(both["structure_id"].tail(2)) == list(picked["structure_id"])
    assert list(both["priority"].tail(2)) == [12, 13]
    assert both[["length_ft", "width_ft", "letting_date"]].tail(2).isna().all(axis=None)
    assert both.dtypes.equals(listed.dtypes)


def test_a_forecast_is_kept_and_forgotten_on_the_page(own_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(own_record, monkeypatch, PAGE)
    assert "No forecast is kept yet" in html_of(app)
    app.button(key="forecast_keep").click().run()
    assert not app.exception
    assert "Kept as forecast 2027-1." in html_of(app)
    assert "no bridge of it has been let since" in html_of(app)
    app.button(key="forecast_forget").click().run()
    assert "No forecast is kept yet" in html_of(app)

"""The program page on the sample county, on nothing, and on questions that cannot be answered."""

from __future__ import annotations

from pathlib import Path

import pytest

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
    assert charts(app) == 2
    assert shown.count("<td") == 11 * 13
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

"""Filters: read from the URL and written back, what they keep, what they say, and how they go along."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bidlens.dashboard.filters import Filters, Limits, agencies_of
from bidlens.errors import BadValue
from tests.dashboard.pages import EVERY, STOPPED, html_of, opened

LETTINGS = pd.DataFrame(
    {
        "contract_id": ["C-1", "C-2", "C-3"],
        "letting_date": pd.to_datetime(["2018-05-01", "2020-05-01", "2022-05-01"]),
        "agency": ["Larkmoor County", "Town of Sedge", None],
    }
)
HISTORY = LETTINGS[["contract_id", "letting_date"]].assign(
    superstructure=["timber", "concrete slab", "timber"],
    span_ft=[24.0, 60.0, float("nan")],
    deck_area_sf=[700.0, 1800.0, 900.0],
    bidders=[1.0, 4.0, float("nan")],
)


@pytest.mark.parametrize(
    ("query", "left"),
    [
        ({}, ["C-1", "C-2", "C-3"]),
        ({"types": "timber"}, ["C-1", "C-3"]),
        ({"types": "timber~concrete slab"}, ["C-1", "C-2", "C-3"]),
        ({"years": "2019-2022"}, ["C-2", "C-3"]),
        ({"years": "2018"}, ["C-1"]),
        ({"years": "2019-"}, ["C-2", "C-3"]),
        ({"span": "-30"}, ["C-1"]),
        ({"area": "900-1800"}, ["C-2", "C-3"]),
        ({"bidders": "2-"}, ["C-2"]),
        ({"agency": "Town of Sedge"}, ["C-2"]),
        ({"types": "timber", "span": "0-100"}, ["C-1"]),
        ({"types": "no such type"}, []),
    ],
)
def test_each_filter_keeps_the_structures_it_names(query: dict[str, str], left: list[str]) -> None:
    filters = Filters.from_query(query)
    assert filters.keep(HISTORY, LETTINGS)["contract_id"].tolist() == left
    assert filters.narrowed is bool(query)


def test_the_yardstick_narrows_nothing() -> None:
    filters = Filters.from_query({"basis": "beams", "dollars_of": "2020Q1", "index": "none"})
    assert not filters.narrowed
    assert filters.keep(HISTORY, LETTINGS) is HISTORY


def test_an_agency_not_named_in_the_bid_tab_is_missing() -> None:
    assert agencies_of(HISTORY, LETTINGS).isna().tolist() == [False, False, True]


@given(
    low=st.none() | st.integers(0, 9_999_999),
    high=st.none() | st.integers(0, 9_999_999),
)
def test_a_range_written_into_the_url_is_read_back(low: int | None, high: int | None) -> None:
    limits = Limits(low, high)
    assert Limits.read(limits.written(), "span") == limits


@pytest.mark.parametrize("text", ["x", "-", "1--2", "1e5", "-3-4", "20-80-90", "５-９", "9" * 30])
def test_what_is_no_range_is_refused_in_words(text: str) -> None:
    with pytest.raises(BadValue, match="span"):
        Limits.read(text, "span")


@pytest.mark.parametrize("years", ["19-25", "2019.5-2020", "99999"])
def test_what_are_no_years_is_refused_in_words(years: str) -> None:
    with pytest.raises(BadValue, match="years"):
        Filters.from_query({"years": years})


def test_what_narrows_is_said_in_words() -> None:
    query = {"types": "timber", "years": "2018-2020", "span": "20-80", "area": "1000-", "bidders": "-3", "agency": "X"}
    assert Filters.from_query(query).in_words() == [
        "timber", "let 2018–2020", "spans of 20 to 80 ft", "decks of 1,000 or more sf", "bidders: up to 3", "let by X"
    ]  # fmt: skip
    assert Filters.from_query({"years": "2020-"}).in_words() == ["let 2020 or later"]


def test_a_narrowed_check_expects_the_same_and_says_what_it_rests_on(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = opened(sample_record, monkeypatch)
    narrowed = opened(sample_record, monkeypatch, years="2018-2022", span="30-90")
    assert not narrowed.exception
    said = html_of(narrowed)
    assert _answer(said) == _answer(html_of(whole))
    assert "structures shown:</b> let 2018–2022 · spans of 30 to 90 ft." in said
    assert "The range and the closest contracts come from all 68." in said
    assert "bl-filters" not in html_of(whole)


def _answer(shown: str) -> str:
    return shown.partition('<h1 class="bl-answer">')[2].partition("</h1>")[0]


@pytest.mark.parametrize("page", ["proposal_check", "unit_cost_history"])
def test_filters_that_leave_nothing_say_so_and_break_nothing(
    page: str, sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch, page, span="900-", bidders="90-")
    assert not app.exception
    assert "<b>0 of 68 structures shown:</b>" in html_of(app)
    app.button(key="show_all").click().run()
    assert not app.exception
    assert "bl-filters" not in html_of(app)
    assert "span" not in app.query_params


def test_back_to_the_usual_view_takes_every_filter_out(sample_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(sample_record, monkeypatch, "unit_cost_history", basis="beams", types="timber", index="nhcci-adjusted")
    app.button(key="filters_reset").click().run()
    assert not app.exception
    assert set(app.query_params) & {"basis", "types", "index"} == set()
    assert app.button(key="filters_reset").disabled


def test_a_filter_that_stops_a_page_can_be_left_behind(sample_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(sample_record, monkeypatch, "unit_cost_history", basis="nonsense")
    assert STOPPED in html_of(app)
    app.button(key="stopped_reset").click().run()
    assert not app.exception
    assert STOPPED not in html_of(app)
    assert "basis" not in app.query_params


def test_the_links_to_the_other_pages_take_the_filters_along_and_nothing_else(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch, basis="beams", types="timber", contract="B-1304")
    assert not app.exception
    ways = [link.proto for link in app.get("page_link")][: len(EVERY)]
    assert [way.page for way in ways] == ["", *EVERY[1:]]
    assert {way.query_string for way in ways} == {"basis=beams&types=timber"}


def test_the_papers_lead_to_the_bids_of_their_contract_with_the_filters(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    picked = {"contract": "B-2507", "letting": "2025-09-10", "structure": "K-219"}
    app = opened(sample_record, monkeypatch, "unit_cost_history", types="timber", **picked)
    assert not app.exception
    lead = app.get("page_link")[-1].proto
    assert (lead.label, lead.page) == ("All bids, line by line", "letting_review")
    assert lead.query_string == "types=timber&contract=B-2507&letting=2025-09-10"


@pytest.mark.parametrize("page", ["letting_review", "program_forecast", "records", "how_it_works"])
def test_a_page_that_takes_the_whole_record_says_where_the_filters_apply(
    page: str, sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch, page, types="timber", span="-60")
    assert not app.exception
    said = "timber · spans of up to 60 ft: chosen on Proposal check and Unit cost history, and apply there."
    assert said in html_of(app)


@pytest.mark.parametrize("index", ["nhcci-adjusted", "none"])
def test_another_index_changes_what_prices_are_restated_by(
    index: str, sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch, "unit_cost_history", index=index)
    assert not app.exception
    shown = html_of(app)
    assert STOPPED not in shown
    assert shown.split("Cost index: ")[1].split("<")[0] != "NHCCI to 2026 Q1, not seasonally adjusted"


def test_an_index_that_is_not_there_stops_in_words(sample_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(sample_record, monkeypatch, index="nonsense")
    assert not app.exception
    assert "There is no cost index “nonsense”" in html_of(app)

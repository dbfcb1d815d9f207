"""The one place that caches. What is read from the cost record is keyed by its path, its stamp and what was asked."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd
import streamlit as st

from bidlens import comparing, keeping, offering, workflow
from bidlens.comparing import Comparison
from bidlens.dashboard.launch import DATABASE_VARIABLE
from bidlens.errors import BadValue
from bidlens.ingest.as_read import RowsAsRead
from bidlens.letting import BidComparison, ItemPrices, LettingReview
from bidlens.model import Backtest
from bidlens.placing import PlacingEffect
from bidlens.program import Growth, ProgramForecast
from bidlens.program.record import Held
from bidlens.proposal import Proposal, usual_price
from bidlens.proposal.letter import Letter
from bidlens.reference import CostIndex
from bidlens.store import Corrected
from bidlens.workflow import Database, Papers, PricedHistory


def database() -> Database:
    """The cost record this dashboard shows: one object for all its sessions."""
    path = os.environ.get(DATABASE_VARIABLE)
    if not path:
        raise BadValue("no cost record was named", do="Start the dashboard with: bidlens dashboard --db FILE")
    return _database(path)


@st.cache_resource(show_spinner=False)
def _database(path: str) -> Database:
    return workflow.open_database(Path(path))


def _key() -> tuple[str, str]:
    db = database()
    return str(db.path), db.stamp()


def is_empty() -> bool:
    """Whether nothing has been imported yet."""
    return not database().path.exists() or counts()["files"] == 0


def counts() -> dict[str, Any]:
    return dict(table("counts"))


def table(question: str) -> Any:
    """One of the record's own tables by the name of the `Database` method that gives it."""
    return _table(*_key(), question)


@st.cache_data(max_entries=64, show_spinner=False)
def _table(path: str, stamp: str, question: str) -> Any:
    return getattr(_database(path), question)()


def proposals() -> list[Proposal]:
    """Supplier proposals on record."""
    return list(_table(*_key(), "proposals"))


def index(name: str | None) -> CostIndex:
    """A cost index by its name; the shipped one when None."""
    return _index(*_key(), name)


@st.cache_data(max_entries=16, show_spinner=False)
def _index(path: str, stamp: str, name: str | None) -> CostIndex:
    return _database(path).index(name)


def price_history(basis: str, dollars_of: str | None, index_name: str | None = None) -> PricedHistory:
    """Unit-cost history and model on one basis, by one cost index (the shipped one when None)."""
    return _price_history(*_key(), basis, dollars_of, index_name)


# Shared, and not a copy for each asker: checks hold on to their history, and nobody changes one.
@st.cache_resource(max_entries=24, show_spinner="Fitting the county's price history …")
def _price_history(path: str, stamp: str, basis: str, dollars_of: str | None, index_name: str | None) -> PricedHistory:
    return _database(path).price_history(basis, dollars_of, index_name=index_name)


@dataclass(frozen=True, slots=True, eq=False)
class Checked:
    """One offer held against the history, and what the page draws of that alone.

    curve : of `workflow.span_curve`. usual : the quoted prices that would read as usual.
    """

    found: Comparison
    curve: pd.DataFrame
    usual: tuple[float, float] | None


def checked(
    offer: Proposal, basis: str, dollars_of: str | None, index_name: str | None, today: dt.date, out: Mapping[str, str]
) -> Checked:
    """An offer held against the history of a basis. out : contracts left out, each with its reason."""
    return _checked(*_key(), offer, basis, dollars_of, index_name, today, tuple(out.items()))


# The offer may be typed in and the contracts be left out in one browser session alone: both are part of the key.
@st.cache_resource(max_entries=32, show_spinner=False, hash_funcs={Proposal: repr})
def _checked(
    path: str,
    stamp: str,
    offer: Proposal,
    basis: str,
    dollars_of: str | None,
    index_name: str | None,
    today: dt.date,
    out: tuple[tuple[str, str], ...],
) -> Checked:
    whole = price_history(basis, dollars_of, index_name)
    found = comparing.compare(_database(path), [offer], basis, today=today, priced=whole, exclude=dict(out))
    (check,) = found.checks
    return Checked(found, workflow.span_curve(found.priced, check), usual_price(check))


def beside(
    offers: Sequence[Proposal],
    basis: str,
    dollars_of: str | None,
    index_name: str | None,
    today: dt.date,
    out: Mapping[str, str],
    rate: float,
    life_years: float,
) -> Comparison:
    """Offers held against the history that the first of them is checked against, and what each costs a year."""
    asked = (tuple(offers), basis, dollars_of, index_name, today, tuple(out.items()))
    return _beside(*_key(), *asked, rate, life_years)


@st.cache_resource(max_entries=16, show_spinner=False, hash_funcs={Proposal: repr})
def _beside(
    path: str,
    stamp: str,
    offers: tuple[Proposal, ...],
    basis: str,
    dollars_of: str | None,
    index_name: str | None,
    today: dt.date,
    out: tuple[tuple[str, str], ...],
    rate: float,
    life_years: float,
) -> Comparison:
    first = _checked(path, stamp, offers[0], basis, dollars_of, index_name, today, out)
    return comparing.compare(
        _database(path), offers, basis, today=today, priced=first.found.priced, rate=rate, life_years=life_years
    )


def sources() -> str:
    """The line on record, imports and index that stands at the foot of a report."""
    return _sources(*_key())


@st.cache_data(max_entries=4, show_spinner=False)
def _sources(path: str, stamp: str) -> str:
    return workflow.sources_of(_database(path))


def letters(basis: str, dollars_of: str | None, index_name: str | None = None) -> list[Letter]:
    """The letters on record with their outcomes, each beside its own time."""
    return _letters(*_key(), basis, dollars_of, index_name)


@st.cache_resource(max_entries=12, show_spinner="Placing the letters on record …")
def _letters(path: str, stamp: str, basis: str, dollars_of: str | None, index_name: str | None) -> list[Letter]:
    return offering.letters(_database(path), basis, priced=price_history(basis, dollars_of, index_name))


def review(years: tuple[int, int], basis: str, index_name: str | None = None) -> LettingReview:
    """The review of the lettings from a first to a last year."""
    return _review(*_key(), years, basis, index_name)


@st.cache_resource(max_entries=8, show_spinner="Reviewing the lettings …")
def _review(path: str, stamp: str, years: tuple[int, int], basis: str, index_name: str | None) -> LettingReview:
    if basis == workflow.DEFAULT_BASIS:
        return workflow.review_lettings(_database(path), years, basis, index_name=index_name)
    usual = _review(path, stamp, years, workflow.DEFAULT_BASIS, index_name)  # which differs in one picture only
    return workflow.review_on(_database(path), usual, basis, index_name)


def comparison(contract_id: str, letting_date: dt.date | None) -> BidComparison:
    """The bids of one contract side by side; its last letting when no date is given."""
    return _comparison(*_key(), contract_id, letting_date)


@st.cache_resource(max_entries=16, show_spinner=False)
def _comparison(path: str, stamp: str, contract_id: str, letting_date: dt.date | None) -> BidComparison:
    return workflow.compare_bids(_database(path), contract_id, letting_date)


def pay_item_prices(
    words: str, unit: str | None, years: tuple[int, int] | None, quantity: float | None, index_name: str | None
) -> list[ItemPrices]:
    """The price history of the pay items that hold all the words."""
    return _pay_item_prices(*_key(), words, unit, years, quantity, index_name)


@st.cache_resource(max_entries=16, show_spinner=False)
def _pay_item_prices(
    path: str,
    stamp: str,
    words: str,
    unit: str | None,
    years: tuple[int, int] | None,
    quantity: float | None,
    index_name: str | None,
) -> list[ItemPrices]:
    return workflow.pay_item_prices(
        _database(path), words, unit=unit, years=years, quantity=quantity, index_name=index_name
    )


def backtest(basis: str, index_name: str | None = None) -> Backtest:
    """How past lettings would have been predicted."""
    return _backtest(*_key(), basis, index_name)


@st.cache_data(max_entries=8, show_spinner="Asking about each past letting …")
def _backtest(path: str, stamp: str, basis: str, index_name: str | None) -> Backtest:
    return workflow.backtest(_database(path), basis, priced=price_history(basis, None, index_name))


def forecast(bridges: pd.DataFrame, year: int, index_name: str | None, asked: dict[str, Any]) -> ProgramForecast:
    """What a list of bridges will cost. asked : keywords of `workflow.forecast_program`, growth by its parts."""
    return _forecast(*_key(), bridges, year, index_name, asked)


@st.cache_data(max_entries=16, show_spinner="Drawing ten thousand futures …")
def _forecast(
    path: str, stamp: str, bridges: pd.DataFrame, year: int, index_name: str | None, asked: dict[str, Any]
) -> ProgramForecast:
    known = None if asked["mobilization"] else price_history(asked["basis"], None, index_name)
    return workflow.forecast_program(
        _database(path),
        bridges,
        year=year,
        index_name=index_name,
        priced=known,
        **{**asked, "growth": Growth(*asked["growth"])},
    )


def kept_forecasts() -> Held:
    """The forecasts kept, held against what has been let since."""
    return _kept_forecasts(*_key())


@st.cache_data(max_entries=4, show_spinner=False)
def _kept_forecasts(path: str, stamp: str) -> Held:
    return keeping.kept_forecasts(_database(path))


def county_price_index(index_name: str | None = None) -> pd.DataFrame:
    """How the county's own repeating pay items moved, beside the cost index."""
    return _county_price_index(*_key(), index_name)


@st.cache_data(max_entries=4, show_spinner=False)
def _county_price_index(path: str, stamp: str, index_name: str | None) -> pd.DataFrame:
    return workflow.county_price_index(_database(path), index_name)


def papers(contract_id: str, letting_date: pd.Timestamp, structure_id: str, basis: str) -> Papers:
    """The papers behind one price."""
    return _papers(*_key(), contract_id, str(letting_date.date()), structure_id, basis)


@st.cache_data(max_entries=128, show_spinner=False)
def _papers(path: str, stamp: str, contract_id: str, letting_date: str, structure_id: str, basis: str) -> Papers:
    return _database(path).papers(contract_id, pd.Timestamp(letting_date).date(), structure_id, basis)


def tried_price(key: tuple[str, dt.date, str, str, str], value: str) -> Corrected:
    """What a typed price would make of a bid. key : contract, letting date, schedule, line, bidder."""
    return _tried_price(*_key(), key, value)


@st.cache_data(max_entries=32, show_spinner=False)
def _tried_price(path: str, stamp: str, key: tuple[str, dt.date, str, str, str], value: str) -> Corrected:
    return _database(path).try_price(*key, value)


def line_as_read(contract_id: str, letting_date: pd.Timestamp, file: str, sheet: str, row: int) -> RowsAsRead:
    """A line of one letting as it stands in its file."""
    return _line_as_read(*_key(), contract_id, str(letting_date.date()), file, sheet, row)


@st.cache_data(max_entries=128, show_spinner="Opening the file …")
def _line_as_read(
    path: str, stamp: str, contract_id: str, letting_date: str, file: str, sheet: str, row: int
) -> RowsAsRead:
    return _database(path).line_as_read(contract_id, pd.Timestamp(letting_date).date(), file, sheet, row)


def row_as_read(batch_id: int, sheet: str, row: int) -> RowsAsRead:
    """A row of an imported file as it stands there."""
    return _row_as_read(*_key(), batch_id, sheet, row)


@st.cache_data(max_entries=128, show_spinner="Opening the file …")
def _row_as_read(path: str, stamp: str, batch_id: int, sheet: str, row: int) -> RowsAsRead:
    return _database(path).row_as_read(batch_id, sheet, row)


def placing_effect(item_code: str, description: str, pay_unit: str, work_category: str | None) -> PlacingEffect:
    """What placing a pay item, or taking its decision back, would move."""
    return _placing_effect(*_key(), item_code, description, pay_unit, work_category)


@st.cache_data(max_entries=16, show_spinner="Working out what would move …")
def _placing_effect(
    path: str, stamp: str, item_code: str, description: str, pay_unit: str, work_category: str | None
) -> PlacingEffect:
    db = _database(path)
    return db.placing_effect(item_code, description, pay_unit, work_category, db.index())

"""The record up to a year, as if nothing had been let since: what a letting review is made of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from bidlens import indexes, letting, model, normalizer, quarters, store
from bidlens.database import Database
from bidlens.letting.change import Predict
from bidlens.letting.review import YEARS_BEFORE
from bidlens.letting.years import Years
from bidlens.reference import CostIndex


@dataclass(frozen=True, slots=True, eq=False)
class ReviewTime:
    """The years reviewed, the cost index as it reaches the lettings up to them, and the quarter whose dollars count."""

    years: Years
    index: CostIndex
    dollars_of: str


def review_time(db: Database, years: Years, index_name: str | None) -> ReviewTime:
    """Dollars are of the quarter of the last letting reviewed, or the last published one before it."""
    first, last = years
    dates = db.lettings()["letting_date"]
    known = dates[dates.dt.year <= last]
    index = indexes.reaching(db.index(index_name), list(quarters.quarters_of(known).dropna().unique()))
    mine = known[known.dt.year >= first]
    quarter = quarters.quarter_of(mine.max()) if len(mine) else index.last_published
    if quarters.position(quarter) > quarters.position(index.last_published):
        return ReviewTime(years, index, index.last_published)
    return ReviewTime(years, index, max(quarter, index.first, key=quarters.position))


@dataclass(frozen=True, slots=True, eq=False)
class Priced:
    """Unit costs on one basis with their price at the reference span, and the model that gives it.

    model : None where there is no price to learn from.
    """

    frame: pd.DataFrame
    model: model.CostModel | None


def priced(db: Database, time: ReviewTime, bases: Sequence[str]) -> dict[str, Priced]:
    """The unit costs of all lettings up to the last year reviewed, in its dollars, by basis."""
    return {
        name: _priced(normalizer.restated_frame(frame, time.index, time.dollars_of), time.index)
        for name, frame in _as_bid(db, time.years[1], bases).items()
    }


def _priced(frame: pd.DataFrame, index: CostIndex) -> Priced:
    if frame.empty:
        return Priced(frame, None)
    fitted = model.fit_cost_model(frame, index=index)
    return Priced(frame.assign(unit_cost_at_reference_span=fitted.at_reference_span(frame)), fitted)


def _as_bid(db: Database, year: int, bases: Sequence[str]) -> dict[str, pd.DataFrame]:
    """Prices as bid up to a year.

    A structure whose list gives no date is priced by the last letting of its contract, so that a contract let both
    up to the year and later needs the structures linked anew; all others are priced the same whatever came after.
    """
    let = db.lettings()
    known = let["letting_date"].dt.year <= year
    if not let.loc[known, "contract_id"].isin(let.loc[~known, "contract_id"]).any():
        every = db.prices_as_bid()
        return {name: every[name][every[name]["letting_date"].dt.year <= year] for name in bases}
    items, lettings, structures = db.priced_rows()
    items, lettings = (rows[rows["letting_date"].dt.year <= year] for rows in (items, lettings))
    found = normalizer.prices_on([normalizer.basis_named(name) for name in bases], items, lettings, structures)
    return {name: one.frame for name, one in found.items()}


def review_data(db: Database, time: ReviewTime, histories: Mapping[str, Priced]) -> letting.ReviewData:
    """The frames of a review. histories : of every basis, by name."""
    first, last = time.years
    from_to = {"first_year": first, "last_year": last}
    questions = {
        "lines": ("review_lines", from_to),
        "low_lines": ("review_low_lines", from_to | {"first_year": first - YEARS_BEFORE}),
        "item_years": ("review_item_years", {"last_year": last}),
        "item_bids": ("review_item_bids", from_to),
    }
    with db.store.open():  # one opening for all questions
        frames = {name: store.ask(db.store, asked, **parameters) for name, (asked, parameters) in questions.items()}
    return letting.ReviewData(
        **frames,
        bids=db.bids(),
        contracts=db.contract_list(),
        histories={name: one.frame for name, one in histories.items()},
        index=time.index,
        dollars_of=time.dollars_of,
    )


def basis_data(basis: str, found: Priced) -> letting.BasisData:
    """What a change of the average on the basis is explained from."""
    return letting.BasisData(basis, found.frame, _predict(found), _bidders_in_words(found.model))


def _predict(found: Priced) -> Predict | None:
    """Middle prices of structures as if all were let on the last day on record, so that only the bridges differ."""
    fitted = found.model
    if fitted is None or fitted.fit is None:
        return None
    last = found.frame["letting_date"].max()
    return lambda structures: fitted.predict(structures.assign(letting_date=last))["p50"]


def _bidders_in_words(fitted: model.CostModel | None) -> str:
    """What the model says of an extra bidder: an association, since hard jobs draw few bidders."""
    if fitted is None:
        return ""
    effects = fitted.in_words()
    said = effects.loc[effects["term"] == "bidders", "words"]
    return str(said.iloc[0]) if len(said) else ""

"""The unit-cost history in sentences and tables: what was paid, against the five years before, one row a structure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pandas as pd

from bidlens import quarters, wording
from bidlens.dashboard import blocks
from bidlens.dashboard.words import Html, bold_numbers, known, or_not_given, place
from bidlens.figures.marks import keys_of
from bidlens.normalizer import UnitCostHistory, marks_by_hand, ratio_of_sums

YEARS = 5
#: Fewer structures than this in a span of years, and no average is given.
AVERAGE_FROM = 4


@dataclass(frozen=True, slots=True)
class Period:
    """Some years of the history: the average is dollars over deck area, None under `AVERAGE_FROM` structures."""

    years: str
    n: int
    average: float | None


def period(frame: pd.DataFrame, first: int, last: int) -> Period:
    """The average of the lettings from the first year to the last."""
    rows = frame[frame["letting_date"].dt.year.between(first, last)]
    average = ratio_of_sums(rows, "unit_cost_adjusted") if len(rows) >= AVERAGE_FROM else None
    return Period(f"{first}–{last}", len(rows), average)


def answer(frame: pd.DataFrame, what: str, restated: bool = True) -> tuple[Html, str]:
    """The answer sentence and the line of counts under it.

    frame : at least one row. restated : whether a cost index stands between the years.
    """
    last = int(frame["letting_date"].dt.year.max())
    late, early = period(frame, last - YEARS + 1, last), period(frame, last - 2 * YEARS + 1, last - YEARS)
    if late.average is None:
        n = blocks.counted(late.n, "structure")
        sentence = bold_numbers(
            ("Too few prices for an average.",), f" {n} let in {late.years}; it takes {AVERAGE_FROM}."
        )
        return sentence, "Every price on record is drawn and listed below."
    parts: list[str | tuple[str]] = [(wording.per_sf(late.average),), f" on average for {what}, {late.years}"]
    counts = f"Dollars of all structures over their deck area. {late.n} structures in {late.years}"
    if early.average is None:
        return bold_numbers(*parts, "."), f"{counts}, too few in the five years before to compare."
    change = late.average / early.average - 1
    after = "after the cost index" if restated else "as bid, with no cost index between them"
    said = wording.half_up(abs(change) * 100)
    more = f"{said}% {'more' if change > 0 else 'less'}" if said else "as much"
    joined = "than" if said else "as"
    sentence = bold_numbers(*parts, "; ", (more,), f" {joined} in {early.years} {after}.")
    return sentence, f"{counts}, {early.n} in {early.years}; types and spans differ between them."


def left_out_words(history: UnitCostHistory) -> str:
    """How many structures are in no number, and why where one reason covers all."""
    reasons = history.left_out["reason"].unique()
    if not len(reasons):
        return "none"
    why = str(reasons[0]) if len(reasons) == 1 and len(str(reasons[0])) <= 60 else "listed below"
    return f"{len(history.left_out)}, {why}"


def newest_first(frame: pd.DataFrame) -> pd.DataFrame:
    """The rows in the order they are listed in."""
    return frame.sort_values(["letting_date", "contract_id"], ascending=False, kind="stable")


def table_keys(frame: pd.DataFrame) -> list[str]:
    """The key of each row of `table`."""
    return keys_of(newest_first(frame))


def table(frame: pd.DataFrame) -> pd.DataFrame:
    """One row a structure, newest first, each adjustment a column, for the page and the download."""
    ordered = newest_first(frame)
    where = [
        place(*row) for row in zip(ordered["source_file"], ordered["source_sheet"], ordered["source_row"], strict=True)
    ]
    return pd.DataFrame(
        {
            "Contract": ordered["contract_id"],
            "Bridge": ordered["structure_id"],
            "Let": ordered["letting_date"].dt.date,
            "Type": ordered["superstructure"],
            "Span, ft": ordered["span_ft"],
            "Deck, sf": ordered["deck_area_sf"].round(),
            "Bids": ordered["bidders"],
            "Dollars as bid": ordered["basis_usd"].round(),
            "Share": ordered["area_share"],
            "As bid, $/sf": ordered["unit_cost"],
            "Index ratio": ordered["index_ratio"],
            "Adjusted, $/sf": ordered["unit_cost_adjusted"],
            "At ref. span, $/sf": ordered["unit_cost_at_reference_span"],
            "By hand": marks_by_hand(ordered),
            "Over": ordered["name"],
            "Low bidder": ordered["low_bidder"],
            "First source row": where,
        }
    )


def type_rows(frame: pd.DataFrame) -> list[list[Any]]:
    """Each type: n, average, lowest, highest, spans; most structures first."""
    rows = []
    for kind in frame["superstructure"].value_counts().index:
        own = frame[frame["superstructure"] == kind]
        average = ratio_of_sums(own, "unit_cost_adjusted") if len(own) >= AVERAGE_FROM else None
        low, high = own["unit_cost_adjusted"].min(), own["unit_cost_adjusted"].max()
        spans = own["span_ft"].dropna()
        span = f"{wording.number(spans.min())} to {wording.number(spans.max())}" if len(spans) else None
        rows.append(
            [
                kind,
                len(own),
                or_not_given(average, wording.number, f"needs {AVERAGE_FROM}"),
                f"{wording.number(low)} to {wording.number(high)}",
                or_not_given(span, str),
            ]
        )
    return rows


def notes(history: UnitCostHistory) -> list[str]:
    """What a downloaded table must carry with it."""
    return [
        f"Unit-cost history, {history.basis} basis, dollars of {quarters.shown(history.dollars_of)}",
        f"Cost index: {history.index_title}",
        "As bid: dollars of the basis in the low responsive bid, as corrected, over deck area. Adjusted: as bid times "
        "the index ratio of the base quarter over the letting quarter.",
        f"Left out: {len(history.left_out)} structures" if known(len(history.left_out)) else "",
    ]

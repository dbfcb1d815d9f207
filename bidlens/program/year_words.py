"""What a forecast says of several years, of waiting, of other types and of the pace, in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pandas as pd

from bidlens import wording
from bidlens.findings import Unavailable
from bidlens.program.words import chances_of_100, millions, rounded

if TYPE_CHECKING:
    from bidlens.program.backlog import Backlog
    from bidlens.program.forecast import ProgramForecast

#: Up to this chance of being the cheapest, a type is called no cheaper than another.
NOISE = 0.80


def schedule_words(found: ProgramForecast) -> list[str]:
    """How the years were filled, what is left, and what the waiting costs."""
    laid_out = found.schedule
    if laid_out is None:
        return []
    said = []
    if found.budget:
        carried = "Money not spent carries over" if laid_out.carries_over else "Money not spent lapses"
        said.append(
            f"{carried}. Your order is kept: each year takes bridges from the top of what is left, as long as its "
            "money lasts with 80 chances of 100, and passes over what does not fit."
        )
    moved = laid_out.bridges["postponed"].fillna(0) > 0
    if moved.any():
        waiting = laid_out.waiting
        said.append(
            f"Waiting for money moves {wording.count(int(moved.sum()), 'bridge')} to later years and changes the "
            f"total by {spread_words(waiting.p10, waiting.p50, waiting.p90)} against letting each in its planned year."
        )
    return said


def spread_words(low: float, middle: float, high: float) -> str:
    """“+$410,000 (8 in 10 futures: −$160,000 to +$1.2 million)”."""
    return f"{signed(middle)} (8 in 10 futures: {signed(low)} to {signed(high)})"


def signed(usd: float) -> str:
    """A change in dollars with its sign, to the nearest $10,000; “no change” where that is nothing."""
    text = millions(abs(usd))
    return "no change" if text == "$0" else f"{'+' if usd > 0 else wording.MINUS}{text}"


def waiting_words(found: ProgramForecast) -> str:
    """What letting the whole list a year later would cost."""
    middle, low, high = (
        wording.percent(usd / found.total.p50) for usd in (found.waiting.p50, found.waiting.p10, found.waiting.p90)
    )
    return (
        f"The whole list let a year later would most likely change by {signed(found.waiting.p50)} ({middle}; "
        f"{low} to {high} in 8 of 10 futures), by the index and the market of the years."
    )


def alternatives_words(table: pd.DataFrame) -> list[str]:
    """One sentence a bridge with alternatives: the range of prices, and which is cheapest how surely."""
    said = []
    for name, rows in table.groupby("structure_id", sort=False):
        kinds = [f"{row['superstructure']} {rounded(row['p50'])}" for row in rows.to_dict("records")]
        best = rows.iloc[int(rows["chance_cheapest"].argmax())]
        sure = float(best["chance_cheapest"])
        text = f"{name}: {', '.join(kinds)}. {str(best['superstructure']).capitalize()} is the cheapest in "
        text += chances_of_100(sure)
        neither = "neither is cheaper" if len(rows) == 2 else "none is cheapest"
        text += "." if sure > NOISE else f"; that is noise: on this history {neither}."
        said.append(text)
    return said


def backlog_words(backlog: Backlog, whose: str) -> str:
    """When bridges past their service life are all replaced at one pace, or that they grow in number."""
    pace, life = wording.number(backlog.per_year, 1), wording.number(backlog.service_life_years)
    start = f"{whose} of {pace} a year, the {wording.count(backlog.at_start, 'bridge')} past {life} years"
    if backlog.clears is not None:
        return f"{start} {'are' if backlog.at_start != 1 else 'is'} replaced by {backlog.clears}."
    last = backlog.path.iloc[-1]
    if backlog.grows:
        return (
            f"{start} grow to {wording.number(backlog.largest)} in {backlog.largest_year}; the backlog does not "
            f"clear by {int(last['year'])}."
        )
    return f"{start} fall to {wording.number(float(last['backlog']))} by {int(last['year'])} and do not clear."


def pace_words(found: ProgramForecast) -> list[str]:
    """The backlog at the pace on record and at that of the list, and the dollars a year a service life asks for."""
    rotation = found.rotation
    if isinstance(rotation, Unavailable):
        return []
    whose = ("At the pace on record", "At the pace of this list")
    said = [backlog_words(each, words) for each, words in zip(rotation.backlogs, whose, strict=False)]
    steady = found.pace_budget[found.pace_budget["what"].str.startswith("steady")]
    low, high = steady.iloc[0], steady.iloc[-1]
    asked = millions(low["p50"]) if len(steady) == 1 else f"{millions(low['p50'])} to {millions(high['p50'])}"
    said.append(
        f"At the average cost of the bridges of this list, the steady-state pace needs {asked} a year "
        f"(P10 to P90: {millions(low['p10'])} to {millions(high['p90'])}); the ages on record ask for "
        f"{wording.number(rotation.near_per_year, 1)} a year over the next 20 years."
    )
    return said

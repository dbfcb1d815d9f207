"""What changing one bridge does to the whole list: left out, let a year later, or as another type.

Both totals are of the same futures, so that their difference is that of the change and not of chance.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pandas as pd

from bidlens.program.simulate import Futures
from bidlens.superstructure import ALTERNATIVES

LEFT_OUT, LATER, RETYPED = "left out", "a year later", "as another type"
#: Futures that are enough for differences within them, and bridges beyond which only the costliest are looked at.
RUNS, MOST_BRIDGES = 2_000, 60
#: Structures of a type on record before it is taken for another way to build a bridge.
FEWEST_OF_TYPE = 4


def alternatives_of(row: dict[str, object]) -> list[str]:
    """The types a bridge of the list may be built as, the planned one first."""
    return [kind.strip() for kind in str(row["alternatives"]).split(ALTERNATIVES)]


def a_year_later(futures: Futures) -> np.ndarray:
    """Dollars of every bridge let a year later than planned, in the first of the futures: RUNS at most by m."""
    return futures.few(RUNS).later(np.arange(len(futures.plan.frame)))


def changes_of(futures: Futures, planned: np.ndarray, later: np.ndarray, budget_usd: float | None) -> pd.DataFrame:
    """Changes of one bridge at a time: three rows a bridge at most, in the owner's order.

    planned : dollars of the list as planned, in the same futures (more of them may be given). later : `a_year_later`.
    Columns: structure_id, change, superstructure (as changed), p10 p50 p90 (change of the total in dollars, run by
    run), p80_change (of the total's P80), chance_covers (the budget covers the list so changed; NaN without one).
    """
    planned = planned[: len(later)]
    totals = planned.sum(axis=1)
    p80 = float(np.quantile(totals, 0.80))
    rows = []
    for name, change, kind, difference in _each(futures.few(RUNS), planned, later):
        changed = totals + difference
        low, middle, high = np.quantile(difference, [0.10, 0.50, 0.90])
        covers = float(np.mean(changed <= budget_usd)) if budget_usd is not None else np.nan
        rows.append((name, change, kind, low, middle, high, float(np.quantile(changed, 0.80)) - p80, covers))
    columns = ["structure_id", "change", "superstructure", "p10", "p50", "p90", "p80_change", "chance_covers"]
    return pd.DataFrame(rows, columns=columns)


def _each(few: Futures, planned: np.ndarray, later: np.ndarray) -> Iterator[tuple[str, str, str, np.ndarray]]:
    """Bridge, change, type and the difference it makes in every future."""
    frame = few.plan.frame
    places = np.sort(np.argsort(-np.median(planned, axis=0), kind="stable")[:MOST_BRIDGES])
    others = _other_types(few, places)
    for place in places:
        name, kind = str(frame["structure_id"].iloc[place]), str(frame["superstructure"].iloc[place])
        yield name, LEFT_OUT, kind, -planned[:, place]
        yield name, LATER, kind, later[:, place] - planned[:, place]
        if place in others:
            yield name, RETYPED, others[place][0], others[place][1] - planned[:, place]


def _other_types(few: Futures, places: np.ndarray) -> dict[int, tuple[str, np.ndarray]]:
    """By place the cheapest other type by its middle, and its dollars: of the alternatives named, else of those on
    record at this span. All are drawn at once.
    """
    rows = few.plan.frame.iloc[places].to_dict("records")
    kinds = {place: _types_for(few, row) for place, row in zip(places, rows, strict=True)}
    tried = [(place, kind) for place, some in kinds.items() for kind in some]
    asked = pd.Series([kind for _, kind in tried], dtype="str")
    dollars = few.dollars(np.array([place for place, _ in tried], dtype=int), superstructure=asked)
    found, first = {}, 0
    for place, some in kinds.items():
        own, first = dollars[:, first : first + len(some)], first + len(some)
        if some:
            best = int(np.argmin(np.median(own, axis=0)))
            found[place] = (some[best], own[:, best])
    return found


def _types_for(few: Futures, row: dict[Any, Any]) -> list[str]:
    return alternatives_of(row)[1:] or _known_at(few, str(row["superstructure"]), float(row["span_ft"]))


def _known_at(few: Futures, planned: str, span_ft: float) -> list[str]:
    """Other types with enough structures on record whose spans reach over this one."""
    found = []
    for kind, count in few.model.types.items():
        spans = few.model.span_range(kind)
        if kind != planned and count >= FEWEST_OF_TYPE and spans and spans[0] <= span_ft <= spans[1]:
            found.append(kind)
    return found


def alternatives_table(futures: Futures) -> pd.DataFrame:
    """Every alternative of the bridges that name some, priced in the same futures and with the same luck.

    Columns: structure_id, superstructure, p10 p50 p80 p90 (dollars), chance_cheapest, against_p10 against_p50
    against_p90 (dollars above the planned type, run by run; zero for itself).
    """
    rows = []
    for place, row in enumerate(futures.plan.frame.to_dict("records")):
        kinds = alternatives_of(row)  # type: ignore[arg-type]
        if len(kinds) < 2:
            continue
        dollars = futures.dollars(np.full(len(kinds), place), superstructure=pd.Series(kinds, dtype="str"))
        cheapest = np.bincount(dollars.argmin(axis=1), minlength=len(kinds)) / len(dollars)
        own = np.quantile(dollars, [0.10, 0.50, 0.80, 0.90], axis=0)
        against = np.quantile(dollars - dollars[:, :1], [0.10, 0.50, 0.90], axis=0)
        for column, kind in enumerate(kinds):
            rows.append((row["structure_id"], kind, *own[:, column], cheapest[column], *against[:, column]))
    columns = [
        "structure_id", "superstructure", "p10", "p50", "p80", "p90", "chance_cheapest",
        "against_p10", "against_p50", "against_p90",
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=columns)

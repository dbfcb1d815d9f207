"""How a county's own pay item prices moved: price indexes over the items that repeat, chained year to year.

A local index beside the national one: the same item, by code, words and unit, is compared with itself from one year to
the next, and the items are weighed by what was spent on them. Formulas: Laspeyres weighs by the earlier period's
quantities, Paasche by the later's, Fisher is their geometric mean, Tornqvist weighs logarithms by mean shares (ILO and
others, Consumer Price Index Manual, 2004; Balk, Price and Quantity Index Numbers, 2008).
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pandas as pd

from bidlens import quarters
from bidlens.reference import CostIndex

FORMULAS = ("laspeyres", "paasche", "fisher", "tornqvist")
#: Fewer items in common with the year before than this make no link; judgement, no source.
FEWEST_ITEMS = 5
YEAR_COLUMNS = ("year", "n", "items", "share", *FORMULAS, "link", "national")


def chained(observed: pd.DataFrame, formula: str = "fisher") -> pd.Series:
    """A chained index: links between adjacent periods, over the items priced in both, multiplied up from 1.

    observed : item, period, price, quantity; one row per item and period. formula : one of FORMULAS.
    Returns the index by period, ascending; NaN from the first period that shares no item with the one before.
    """
    periods = sorted(observed["period"].unique())
    value, out = 1.0, [1.0]
    for earlier, later in pairwise(periods):
        value *= link(observed, earlier, later, formula)
        out.append(value)
    return pd.Series(out[: len(periods)], index=periods, dtype=float)


def link(observed: pd.DataFrame, earlier: object, later: object, formula: str = "fisher") -> float:
    """The index of one period on another over the items priced in both; NaN where there are none."""
    both = matched(observed, earlier, later)
    return float(_FORMULA[formula](*(both[name].to_numpy(dtype=float) for name in ("p0", "p1", "q0", "q1"))))


def matched(observed: pd.DataFrame, earlier: object, later: object) -> pd.DataFrame:
    """Items priced in both periods: prices p0, p1 and quantities q0, q1, one row an item."""
    one, other = (
        observed[observed["period"] == period].set_index("item")[["price", "quantity"]] for period in (earlier, later)
    )
    one, other = one.set_axis(["p0", "q0"], axis=1), other.set_axis(["p1", "q1"], axis=1)
    return one.join(other, how="inner", validate="1:1")


def _laspeyres(p0: np.ndarray, p1: np.ndarray, q0: np.ndarray, q1: np.ndarray) -> float:
    return float(p1 @ q0 / (p0 @ q0)) if len(p0) else float("nan")


def _paasche(p0: np.ndarray, p1: np.ndarray, q0: np.ndarray, q1: np.ndarray) -> float:
    return float(p1 @ q1 / (p0 @ q1)) if len(p0) else float("nan")


def fisher(p0: np.ndarray, p1: np.ndarray, q0: np.ndarray, q1: np.ndarray) -> float:
    """Fisher index of period 1 on period 0: prices p, quantities q of n items priced in both; NaN where n is 0."""
    return float(np.sqrt(_laspeyres(p0, p1, q0, q1) * _paasche(p0, p1, q0, q1)))


def _tornqvist(p0: np.ndarray, p1: np.ndarray, q0: np.ndarray, q1: np.ndarray) -> float:
    if not len(p0):
        return float("nan")
    share = (p0 * q0 / (p0 @ q0) + p1 * q1 / (p1 @ q1)) / 2
    return float(np.exp(share @ np.log(p1 / p0)))


_FORMULA: dict[str, Callable[[np.ndarray, np.ndarray, np.ndarray, np.ndarray], float]] = dict(
    zip(FORMULAS, (_laspeyres, _paasche, fisher, _tornqvist), strict=True)
)


def county_price_index(observed: pd.DataFrame, national: CostIndex | None = None) -> pd.DataFrame:
    """The county's own chained price indexes by letting year, beside a published one.

    observed : item, period (the year), price, quantity; one row per item and year, the item told by code, words and
        unit together, lump sums and time left out. national : a cost index to set beside it.
    Returns YEAR_COLUMNS: n items priced in this year and the one before, items priced in the year, share (of the year's
        dollars the n items hold), the four indexes (first year 1), link: Fisher on the year before alone, and national:
        the mean of the year's published quarters over that of the first year. After a year with fewer than
        FEWEST_ITEMS matched items there is no index; a later year with enough still has its link.
    """
    years = sorted(int(year) for year in observed["period"].unique())
    level = dict.fromkeys(FORMULAS, 1.0)
    rows: list[tuple[float, ...]] = []
    for place, year in enumerate(years):
        now, n, share, on_before = observed[observed["period"] == year], 0, float("nan"), float("nan")
        if place:
            both = matched(observed, years[place - 1], year)
            n, share = len(both), float((both["p1"] * both["q1"]).sum() / (now["price"] * now["quantity"]).sum())
            arrays = [both[name].to_numpy(dtype=float) for name in ("p0", "p1", "q0", "q1")]
            step = {name: _FORMULA[name](*arrays) if n >= FEWEST_ITEMS else float("nan") for name in FORMULAS}
            level, on_before = {name: value * step[name] for name, value in level.items()}, step["fisher"]
        rows.append((year, n, len(now), share, *(level[name] for name in FORMULAS), on_before))
    frame = pd.DataFrame(rows, columns=list(YEAR_COLUMNS[:-1])).astype({"year": int, "n": int, "items": int})
    return frame.assign(national=_yearly(national, frame["year"]))


def _yearly(index: CostIndex | None, years: pd.Series) -> pd.Series:
    """Mean of each year's published quarters over that of the first year; NaN outside the series."""
    if index is None or years.empty:
        return pd.Series(np.nan, index=years.index)
    values = pd.Series(np.asarray(index.values, dtype=float), index=[quarters.position(one) for one in index.quarters])
    values = values[values.index <= quarters.position(index.last_published)]
    means = years.map(values.groupby(values.index // 4).mean()).astype(float)
    return means / means.iloc[0]

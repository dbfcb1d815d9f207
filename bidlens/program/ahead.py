"""The cost index up to the lettings of a program: its growth, and what they would cost if 2021-23 came again."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bidlens import quarters
from bidlens.model import forecast_index
from bidlens.program.plan import ProgramList
from bidlens.program.spread import Spread, spread_of
from bidlens.reference import CostIndex


@dataclass(frozen=True, slots=True)
class IndexGrowth:
    """Growth of the cost index a year from its last published quarter to the last letting: middle, 1 in 10, 9 in 10."""

    per_year: float
    low: float
    high: float
    from_quarter: str
    to_quarter: str


def dollars_of(lettings: pd.Series) -> str:
    """The letting quarter, or the first and the last: every bridge is in dollars of its own letting."""
    first, last = (quarters.quarter_of(date) for date in (lettings.min(), lettings.max()))
    return first if first == last else f"{first}-{last}"


def stress(plan: ProgramList, dollars: np.ndarray, index: CostIndex) -> Spread | None:
    """The total if the index rose as in 2021-23: every contract times the stress line over the forecast's middle."""
    ahead = _ahead(index, plan.frame["letting_date"])
    if not ahead.any() or index.is_none:
        return None
    found = forecast_index(index, int(ahead.max()))
    ratio = np.concatenate([[1.0], found.stress / found.median])[ahead]
    fixed = plan.fixed_usd
    return spread_of((dollars - fixed) @ ratio + fixed.sum())


def index_growth(index: CostIndex, lettings: pd.Series) -> IndexGrowth | None:
    """How fast the index is forecast to grow up to the last letting; None where that is published, or there is none."""
    ahead = int(_ahead(index, lettings).max())
    if not ahead or index.is_none:
        return None
    found, last = forecast_index(index, ahead), index.at(index.last_published)
    middle, low, high = (
        float((value / last) ** (4 / ahead) - 1)
        for value in (found.median[-1], found.quantile(0.10)[-1], found.quantile(0.90)[-1])
    )
    return IndexGrowth(middle, low, high, index.last_published, quarters.step(index.last_published, ahead))


def _ahead(index: CostIndex, lettings: pd.Series) -> np.ndarray:
    """Quarters past the last published one, m values, 0 when inside."""
    last = quarters.position(index.last_published)
    return np.array([max(quarters.position(quarter) - last, 0) for quarter in quarters.quarters_of(lettings)])

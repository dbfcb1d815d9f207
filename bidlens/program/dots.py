"""A total's distribution as 50 dots, each 2 chances in 100, in columns that never straddle the budget."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

DOTS = 50
_COLUMNS = 18


@dataclass(frozen=True, slots=True, eq=False)
class Dots:
    """50 dots: x (dollars, middle of the column), y (1, 2, ... up the column), within (the budget covers it).

    width : dollars a column. within is all True without a budget.
    """

    x: np.ndarray
    y: np.ndarray
    within: np.ndarray
    width: float


def dots_of(totals: np.ndarray, budget_usd: float | None) -> Dots:
    """Stack quantiles of the drawn totals into columns aligned on the budget, or on the middle without one."""
    ordered = np.quantile(totals, (np.arange(DOTS) + 0.5) / DOTS)
    center = float(np.median(totals)) if budget_usd is None else budget_usd
    core = ordered[1:-1]
    width = float(core[-1] - core[0]) / _COLUMNS or max(abs(center), 1.0) / 100
    column = np.floor((ordered - center) / width)
    column = np.where((ordered <= center) & (column >= 0), -1, column) if budget_usd is not None else column
    height = np.array([int((column[:place] == column[place]).sum()) + 1 for place in range(DOTS)])
    within = ordered <= center if budget_usd is not None else np.ones(DOTS, dtype=bool)
    return Dots(center + (column + 0.5) * width, height, within, width)

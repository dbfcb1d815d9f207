"""What a budget buys: the chance that it covers the list, how far down the list it reaches, and what fits within it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bidlens.errors import BadValue

#: How sure, in chances of 100.
LEVELS = (50, 80, 90)


@dataclass(frozen=True, slots=True, eq=False)
class BudgetAnswer:
    """m bridges against one budget.

    covered : bridges in the owner's order that it covers, for 50, 80 and 90 chances of 100.
    by_priority : places of the bridges that fit at 80 of 100, walking down the list and passing over what does not.
    most_bridges : places of the bridges that fit at 80 of 100, cheapest first: the most bridges for the money.
    """

    usd: float
    chance_covers: float
    covered: dict[int, int]
    by_priority: tuple[int, ...]
    most_bridges: tuple[int, ...]


def check_budget(usd: float) -> float:
    """The budget as a number. Raises BadValue unless it is above zero."""
    if not np.isfinite(usd) or usd <= 0:
        raise BadValue(f"a budget of {usd:,.0f} dollars cannot be used", do="Give dollars above zero, or no budget.")
    return float(usd)


def running_quantiles(dollars: np.ndarray, levels: tuple[int, ...] = LEVELS) -> np.ndarray:
    """Quantiles of the cost of the first 1, 2, ... m bridges, levels by m; dollars is draws by m."""
    return np.asarray(np.quantile(np.cumsum(dollars, axis=1), [level / 100 for level in levels], axis=0))


def against_budget(dollars: np.ndarray, running: np.ndarray, usd: float) -> BudgetAnswer:
    """Hold drawn dollars (draws by m, in the owner's order) against a budget; running: from `running_quantiles`."""
    within = running <= check_budget(usd)
    covered = {level: int(np.cumprod(row).sum()) for level, row in zip(LEVELS, within, strict=True)}
    cheapest = np.argsort(np.median(dollars, axis=0), kind="stable")
    return BudgetAnswer(
        usd=float(usd),
        chance_covers=float(np.mean(dollars.sum(axis=1) <= usd)),
        covered=covered,
        by_priority=_fitting(dollars, range(dollars.shape[1]), usd),
        most_bridges=tuple(sorted(_fitting(dollars, cheapest, usd))),
    )


def _fitting(dollars: np.ndarray, order: range | np.ndarray, usd: float) -> tuple[int, ...]:
    """Take bridges in this order as long as the P80 of all taken stays within the budget; pass over the others."""
    taken: list[int] = []
    cost = np.zeros(len(dollars))
    for place in order:
        trial = cost + dollars[:, place]
        if np.quantile(trial, 0.80) <= usd:
            taken.append(int(place))
            cost = trial
    return tuple(taken)

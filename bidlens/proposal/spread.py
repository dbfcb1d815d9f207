"""What a like-for-like price may come to: the letter's price is firm, the price of the work we added to it is not.

The work of one kind on a bridge not yet built is taken as a Student-t on the log scale about the county's median: its
scatter is that of the bridges on record, held off zero by a few assumed rows, and widened by the doubt in a median of n
(variance pi / 2n of the scatter's). The kinds of work are added up as independent, in equally likely points.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

#: Equally likely prices that stand for a distribution.
POINTS = 200


@dataclass(frozen=True, slots=True)
class Spread:
    """What one kind of work may cost on this bridge: sign * middle * exp(log_scale * Student-t(df)), $/sf.

    sign : +1 added, -1 taken out. drawn_from : the work and the bridges it was read from; two steps with the same are
        one uncertain price, not two.
    """

    middle: float
    log_scale: float
    df: float
    drawn_from: tuple[str, str]
    sign: int = 1

    def points(self) -> np.ndarray:
        """`POINTS` equally likely $/sf, rising."""
        chance = (np.arange(POINTS) + 0.5) / POINTS
        return np.sort(self.sign * self.middle * np.exp(self.log_scale * stdtrit(self.df, chance)))


def spread_of(
    values: np.ndarray, drawn_from: tuple[str, str], *, rows_assumed: float, scatter_assumed: float
) -> Spread:
    """The spread of one kind of work from the n prices on record, all above zero."""
    logs = np.log(values)
    df = rows_assumed + len(logs) - 1
    scatter2 = (rows_assumed * scatter_assumed**2 + float(((logs - logs.mean()) ** 2).sum())) / df
    log_scale = math.sqrt(scatter2 * (1 + math.pi / (2 * len(logs))))
    return Spread(float(np.median(values)), log_scale, df, drawn_from)


def total_points(fixed: float, spreads: Iterable[Spread]) -> np.ndarray:
    """Equally likely totals of a fixed amount and independent uncertain ones; one point where nothing is uncertain."""
    total = np.array([fixed])
    for spread in spreads:
        sums = np.sort(np.add.outer(total, spread.points()).ravel())
        total = sums.reshape(POINTS, -1).mean(axis=1)
    return total


def chance_below(first: np.ndarray, second: np.ndarray) -> float:
    """Chance that the first of two independent prices is lower, each as equally likely points; ties count half."""
    ordered = np.sort(second)
    higher = len(ordered) - np.searchsorted(ordered, first, side="right")
    equal = len(ordered) - higher - np.searchsorted(ordered, first, side="left")
    return float((higher + equal / 2).mean() / len(ordered))

"""Quantiles and mean of drawn dollars, and how far the number of draws leaves them open."""

from __future__ import annotations

from dataclasses import asdict, dataclass

import numpy as np
import pandas as pd

QUANTILES = {"p10": 0.10, "p50": 0.50, "p80": 0.80, "p90": 0.90}
#: Normal quantile of a 19-in-20 range.
_Z95 = 1.959964


@dataclass(frozen=True, slots=True)
class Spread:
    """Dollars below which a cost stays in 10, 50, 80 and 90 futures of 100, and its mean."""

    p10: float
    p50: float
    p80: float
    p90: float
    mean: float

    def as_dict(self) -> dict[str, float]:
        return asdict(self)


def spread_of(dollars: np.ndarray) -> Spread:
    """The spread of n drawn amounts."""
    p10, p50, p80, p90 = (float(value) for value in np.quantile(dollars, list(QUANTILES.values())))
    return Spread(p10, p50, p80, p90, float(np.mean(dollars)))


def spreads_of(dollars: np.ndarray, index: pd.Index) -> pd.DataFrame:
    """p10 p50 p80 p90 mean of each of m bridges, from draws by m amounts."""
    found = np.quantile(dollars, list(QUANTILES.values()), axis=0)
    table = {name: found[place] for place, name in enumerate(QUANTILES)}
    return pd.DataFrame({**table, "mean": dollars.mean(axis=0)}, index=index)


def quantile_error(dollars: np.ndarray, probability: float) -> float:
    """Half the range in which more draws would leave a quantile in 19 cases of 20 (order statistics, dollars)."""
    step = _Z95 * np.sqrt(probability * (1 - probability) / len(dollars))
    low, high = np.quantile(dollars, [max(probability - step, 0.0), min(probability + step, 1.0)])
    return float(high - low) / 2

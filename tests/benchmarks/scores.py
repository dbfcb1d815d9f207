"""Scores of foretold quantiles against what was paid, all on the natural-log scale but the percent error.

Winkler interval score: Gneiting and Raftery, JASA 102:359-378 (2007), eq. 43; CRPS there as twice the mean quantile
(pinball) loss, here over seven quantiles.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from tests.benchmarks.methods import PROBABILITIES, Foretold
from tests.benchmarks.worlds import World


def score(world: World, foretold: Foretold) -> pd.DataFrame:
    """One row per foretold letting: its errors, whether it fell inside each range, its scores, rows of its type."""
    logs, actual = np.log(foretold.quantiles), np.log(world.actual)
    low, high = logs[:, 0], logs[:, -1]
    over = actual[:, None] - logs
    pinball = np.maximum(PROBABILITIES * over, (PROBABILITIES - 1) * over)
    outside = np.maximum(low - actual, 0) + np.maximum(actual - high, 0)
    counts = world.history["superstructure"].value_counts()
    return pd.DataFrame(
        {
            "error": np.abs(foretold.quantiles[:, 3] / world.actual - 1),
            "inside90": (actual >= low) & (actual <= high),
            "inside80": (actual >= logs[:, 1]) & (actual <= logs[:, -2]),
            "below05": actual < low,
            "above95": actual > high,
            "winkler90": high - low + 2 / 0.10 * outside,
            "crps": 2 * pinball.mean(axis=1),
            "mean": foretold.mean,
            "actual": world.actual,
            "of_type": world.target["superstructure"].map(counts).fillna(0).to_numpy(dtype=int),
            "failed": ~np.isfinite(foretold.quantiles).all(axis=1),
        }
    )

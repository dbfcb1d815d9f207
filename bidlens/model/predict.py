"""From posterior cells to a predictive distribution for new structures: quantiles, mean, percentile.

The cells are mixed into one Student-t on the natural-log scale. Its scale holds the scatter of one letting, the doubt
in every coefficient, the spread between types and market years where those are new, distance outside the spans on
record, filled-in geometry, and the index forecast. exp of its middle is a median; only the mean is retransformed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import stdtr, stdtrit

from bidlens.model import priors
from bidlens.model.design import NewGround
from bidlens.model.fit import GridFit
from bidlens.model.geometry import Terms

QUANTILES = {"p05": 0.05, "p10": 0.10, "p25": 0.25, "p50": 0.50, "p75": 0.75, "p90": 0.90, "p95": 0.95}
_AT_ONCE = 20_000  # rows predicted in one go, for the sake of memory


@dataclass(frozen=True, slots=True, eq=False)
class Predictive:
    """Predictive distribution of ln unit cost for m structures: middle + scale * Student-t(df).

    ignorance : squared scale over the squared scatter of one letting, less one; 0 means pure scatter.
    mean_log : ln of the predictive mean. scatter_variance : variance of one letting about its expectation.
    """

    middle: np.ndarray
    scale: np.ndarray
    df: float
    ignorance: np.ndarray
    mean_log: np.ndarray
    scatter_variance: float

    def quantile(self, probability: float) -> np.ndarray:
        """Dollars per square foot below which a price stays with this probability, m values."""
        return np.asarray(np.exp(self.middle + stdtrit(self.df, probability) * self.scale))

    def percentile(self, unit_cost: np.ndarray) -> np.ndarray:
        """Where m prices sit, 0 to 1; NaN for a price that is not above zero."""
        price = np.asarray(unit_cost, dtype=float)
        logs = np.log(np.where(price > 0, price, np.nan))
        return np.asarray(stdtr(self.df, (logs - self.middle) / self.scale))

    def table(self, index: pd.Index) -> pd.DataFrame:
        """p05 to p95, mean and df, one row per structure."""
        columns = {name: self.quantile(probability) for name, probability in QUANTILES.items()}
        return pd.DataFrame({**columns, "mean": np.exp(self.mean_log), "df": self.df}, index=index)


def predictive(
    fit: GridFit, design: np.ndarray, ground: NewGround, log_level: np.ndarray, added_variance: np.ndarray
) -> Predictive:
    """Mix the cells for m structures (m by p design).

    added_variance : variance on the log scale beyond the model's own: extrapolation, filled-in values, index forecast.
    """
    df = float(fit.share @ [cell.df for cell in fit.cells])
    heavy = df / (df - 2)  # a Student-t's variance over its squared scale
    middle = design @ fit.mean
    scale2 = np.zeros(len(design))
    for cell, share, spreads in zip(fit.cells, fit.share, fit.grid, strict=True):
        own = cell.variance * (1 + _quadratic(design, cell.cov) + ground.variance(spreads))
        scale2 += share * (own + (design @ cell.mean - middle) ** 2 / heavy)
    scale2 += added_variance
    scatter = fit.scatter_variance
    location = middle + log_level
    return Predictive(
        middle=location,
        scale=np.sqrt(scale2) * fit.touch_up,
        df=df,
        ignorance=scale2 / scatter - 1,
        mean_log=location + 0.5 * scatter * priors.NOISE_DF / (priors.NOISE_DF - 2),
        scatter_variance=scatter,
    )


def filled_in_variance(fit: GridFit, terms: Terms) -> np.ndarray:
    """Variance from geometry nobody wrote down: squared slope times the variance of what was filled in."""
    mean = fit.mean
    span_slope = mean[priors.SPAN] + 2 * mean[priors.SPAN_SQUARED] * terms.span
    return np.asarray(
        span_slope**2 * terms.span_variance
        + mean[priors.AREA] ** 2 * terms.area_variance
        + mean[priors.BIDDERS] ** 2 * terms.bidders_variance
    )


def _quadratic(design: np.ndarray, cov: np.ndarray) -> np.ndarray:
    """x' C x for every row of a design, in pieces."""
    pieces = [
        np.einsum("ij,ij->i", design[start : start + _AT_ONCE] @ cov, design[start : start + _AT_ONCE])
        for start in range(0, len(design), _AT_ONCE)
    ]
    return np.concatenate(pieces) if pieces else np.zeros(0)

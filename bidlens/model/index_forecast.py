"""A cost index past its last published quarter: medians, spread, and a stress line.

Logs of the index follow an ARIMA(1,1,0) with drift: quarterly growth reverts to its mean at one rate. The exact
Gaussian likelihood of that process has a closed form in all but one parameter, so the default needs no statistics
package; `by="statsmodels"` fits the same process there and agrees closely. Intervals use Student-t(5) quantiles.
No such interval held in 2021-23, hence the stress line.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

import numpy as np
from scipy.special import stdtrit

from bidlens import quarters
from bidlens.errors import BadValue
from bidlens.reference import CostIndex

#: Quantiles of a forecast use this many degrees of freedom.
FORECAST_DF = 5.0
#: Growth per quarter a short series is drawn toward, and how firmly.
USUAL_GROWTH, USUAL_GROWTH_SD = 0.0075, 0.0075
#: Quarterly scatter assumed before any is seen, worth this many quarters.
USUAL_SCATTER, USUAL_SCATTER_QUARTERS = 0.025, 4.0
#: Fewer published quarters than this do not carry an autoregression.
QUARTERS_FOR_AUTOREGRESSION = 20
#: NHCCI, not seasonally adjusted, 2020 Q4 to 2023 Q2: +59 % in ten quarters (FHWA; also reported by BTS).
STRESS_GROWTH, STRESS_QUARTERS = 1.59, 10

Method = Literal["closed form", "statsmodels"]


@dataclass(frozen=True, slots=True, eq=False)
class IndexForecast:
    """An index after its last published quarter, h quarters of it.

    quarters : h quarters, the first right after `last_published`.
    median : index values. log_sd : standard deviation of ln of the index, known to have no parameter doubt in it.
    stress : index values if 2021-23 happened again from here.
    growth : mean quarterly growth of the log index, known to within growth_sd; carry : share of a quarter's excess
        growth that carries on; scatter : standard deviation of what each quarter adds. method : how it was found.
    """

    quarters: tuple[str, ...]
    median: np.ndarray
    log_sd: np.ndarray
    stress: np.ndarray
    growth: float
    growth_sd: float
    carry: float
    scatter: float
    method: str

    def quantile(self, probability: float) -> np.ndarray:
        """Index values below which the index stays with this probability, h of them."""
        return np.asarray(self.median * np.exp(stdtrit(FORECAST_DF, probability) * self.log_sd))


@dataclass(frozen=True, slots=True)
class _Process:
    """Growth d[t] = growth + carry * (d[t-1] - growth) + scatter * e[t]."""

    growth: float
    carry: float
    scatter: float
    growth_sd: float
    method: str


def forecast_index(index: CostIndex, quarters_ahead: int, by: Method = "closed form") -> IndexForecast:
    """Carry an index `quarters_ahead` quarters past its last published one. Use for lettings after that.

    Values the index already holds as forecast are not used. Raises BadValue unless quarters_ahead is 1 or more.
    """
    if quarters_ahead < 1:
        raise BadValue(f"{quarters_ahead} quarters ahead cannot be forecast", do="Ask for one quarter or more.")
    logs = np.log(published_values(index))
    growth = np.diff(logs)
    process = _process(growth, by)
    steps = np.arange(1, quarters_ahead + 1)
    last_excess = growth[-1] - process.growth if len(growth) else 0.0
    carried = np.cumsum(process.carry**steps) * last_excess
    weights = np.cumsum(process.carry ** np.arange(quarters_ahead))
    return IndexForecast(
        quarters=tuple(quarters.step(index.last_published, int(step)) for step in steps),
        median=np.exp(logs[-1] + process.growth * steps + carried),
        log_sd=process.scatter * np.sqrt(np.cumsum(weights**2)),
        stress=_stress_line(float(np.exp(logs[-1])), process.growth, steps),
        growth=process.growth,
        growth_sd=process.growth_sd,
        carry=process.carry,
        scatter=process.scatter,
        method=process.method,
    )


def extend_index(index: CostIndex, to_quarter: str) -> CostIndex:
    """The index with forecast medians appended up to `to_quarter`, marked by `forecast_from`.

    An index that reaches that far already is given back as it is.
    """
    ahead = quarters.position(to_quarter) - quarters.position(index.last)
    if ahead <= 0:
        return index
    published = len(published_values(index))
    missing = quarters.position(to_quarter) - quarters.position(index.last_published)
    forecast = forecast_index(index, missing)
    return replace(
        index,
        quarters=index.quarters[:published] + forecast.quarters,
        values=np.concatenate([np.asarray(index.values, dtype=float)[:published], forecast.median]),
        forecast_from=forecast.quarters[0],
    )


def published_values(index: CostIndex) -> np.ndarray:
    """The values up to and with the last published quarter."""
    count = quarters.position(index.last_published) - quarters.position(index.first) + 1
    if count < 1:
        raise BadValue(f"the index {index.name} has no published quarter", do="Give at least one published value.")
    return np.asarray(index.values, dtype=float)[:count]


def _process(growth: np.ndarray, by: Method) -> _Process:
    if len(growth) + 1 < QUARTERS_FOR_AUTOREGRESSION:
        return _shrunken_random_walk(growth)
    found = _by_statsmodels(growth) if by == "statsmodels" else _by_likelihood(growth)
    usable = np.isfinite([found.growth, found.carry, found.scatter]).all() and abs(found.carry) < 0.98
    return found if usable else _shrunken_random_walk(growth)


def _shrunken_random_walk(growth: np.ndarray) -> _Process:
    """Random walk whose drift is drawn toward usual growth: for short series, and where the autoregression fails."""
    count = len(growth)
    seen = float(np.var(growth)) * count if count else 0.0
    variance = (seen + USUAL_SCATTER_QUARTERS * USUAL_SCATTER**2) / (count + USUAL_SCATTER_QUARTERS)
    data, prior = count / variance, 1 / USUAL_GROWTH_SD**2
    mean = float(np.mean(growth)) if count else 0.0
    drift = (data * mean + prior * USUAL_GROWTH) / (data + prior)
    return _Process(
        drift,
        0.0,
        float(np.sqrt(variance)),
        float((data + prior) ** -0.5),
        "random walk, drift drawn toward 0.75 % a quarter",
    )


def _by_likelihood(growth: np.ndarray) -> _Process:
    """Exact maximum likelihood of a stationary AR(1) with mean: growth and scatter profiled out, carry searched."""
    return _likeliest(tuple(growth.tolist()))


@lru_cache(maxsize=32)  # one county asks about the same index hundreds of times
def _likeliest(values: tuple[float, ...]) -> _Process:
    growth = np.array(values)
    carry = _lowest(lambda trial: _given_carry(growth, trial)[2], -0.99, 0.99)
    mean, scatter, _ = _given_carry(growth, carry)
    return _Process(
        mean, carry, scatter, _growth_sd(len(growth), carry, scatter), "ARIMA(1,1,0) with drift, exact likelihood"
    )


def _given_carry(growth: np.ndarray, carry: float) -> tuple[float, float, float]:
    """Best mean and scatter for one carry, and minus twice the log-likelihood up to a constant."""
    first = np.sqrt(1 - carry**2)
    response = np.concatenate([[first * growth[0]], growth[1:] - carry * growth[:-1]])
    constant = np.concatenate([[first], np.full(len(growth) - 1, 1 - carry)])
    mean = float(constant @ response / (constant @ constant))
    variance = float(np.mean((response - mean * constant) ** 2))
    deviance = len(growth) * np.log(max(variance, 1e-300)) - np.log(1 - carry**2)
    return mean, float(np.sqrt(variance)), float(deviance)


def _lowest(function: Callable[[float], float], low: float, high: float) -> float:
    """Where a function of one number is lowest: a coarse look, then golden sections."""
    looked = np.linspace(low, high, 100)
    best = int(np.argmin([function(float(trial)) for trial in looked]))
    left, right = float(looked[max(best - 1, 0)]), float(looked[min(best + 1, len(looked) - 1)])
    golden = (np.sqrt(5.0) - 1) / 2
    while right - left > 1e-9:
        one, two = right - golden * (right - left), left + golden * (right - left)
        left, right = (left, two) if function(one) < function(two) else (one, right)
    return (left + right) / 2


def _by_statsmodels(growth: np.ndarray) -> _Process:
    """The same process fitted by statsmodels' state-space ARIMA."""
    from statsmodels.tsa.arima.model import ARIMA

    logs = np.concatenate([[0.0], np.cumsum(growth)])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fitted = ARIMA(logs, order=(1, 1, 0), trend="t").fit()
    drift, carry, variance = (float(value) for value in fitted.params)
    if not fitted.mle_retvals.get("converged", True):
        return _shrunken_random_walk(growth)
    scatter = float(np.sqrt(variance))
    return _Process(
        drift, carry, scatter, _growth_sd(len(growth), carry, scatter), "ARIMA(1,1,0) with drift, statsmodels"
    )


def _growth_sd(count: int, carry: float, scatter: float) -> float:
    """Standard deviation of the mean of a first-order autoregression seen `count` times."""
    return float(scatter / (1 - carry) / np.sqrt(count))


def _stress_line(last: float, growth: float, steps: np.ndarray) -> np.ndarray:
    """2021-23 again for its ten quarters, usual growth after."""
    hot, usual = np.minimum(steps, STRESS_QUARTERS), np.maximum(steps - STRESS_QUARTERS, 0)
    return np.asarray(last * STRESS_GROWTH ** (hot / STRESS_QUARTERS) * np.exp(growth * usual))

"""In which dollars a price stands: the cost index at each letting, or prices taken as they stand."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from bidlens import quarters
from bidlens.errors import BadValue
from bidlens.model.index_forecast import IndexForecast, forecast_index, published_values
from bidlens.reference import CostIndex


def as_cost_index(index: CostIndex | pd.DataFrame | None) -> CostIndex | None:
    """A cost index from a CostIndex, or from a frame with columns `quarter` ("2024Q2") and `value`.

    Raises BadValue for a frame without those columns, MissingReference for gaps or values that are not positive.
    """
    if index is None or isinstance(index, CostIndex):
        return index
    if not isinstance(index, pd.DataFrame) or not {"quarter", "value"} <= set(index.columns):
        raise BadValue("the cost index has no columns “quarter” and “value”", do="Give a CostIndex or such a frame.")
    series = index.assign(quarter=[quarters.parse_quarter(str(text)) for text in index["quarter"]])
    series = series.sort_values("quarter", kind="stable")
    return CostIndex("cost index", "as given", None, tuple(series["quarter"]), series["value"].to_numpy(dtype=float))


def quarter_positions(dates: pd.Series) -> np.ndarray:
    """Quarters since year 0 of n dates; NaN where the date is missing."""
    months = dates.to_numpy(dtype="datetime64[M]")  # whole months since January 1970
    return np.where(np.isnat(months), np.nan, months.astype("int64") // 3 + 4 * 1970)


@dataclass(frozen=True, slots=True, eq=False)
class Levels:
    """The price level behind each letting.

    index : None when prices are modelled as they stand.
    highest : ln index at its highest over the history; the departure term is measured from there.
    known_quarters, known_departure : without an index, what the history's own `index_ratio` says, by quarter.
    """

    index: CostIndex | None
    highest: float = 0.0
    known_quarters: np.ndarray = field(default_factory=lambda: np.zeros(0))
    known_departure: np.ndarray = field(default_factory=lambda: np.zeros(0))

    def log_level(self, dates: pd.Series) -> np.ndarray:
        """ln of the index at n dates: forecast medians after its end, NaN before it or for a missing date.

        Without an index, zero.
        """
        if self.index is None:
            return np.zeros(len(dates))
        where = quarter_positions(dates) - quarters.position(self.index.first)
        logs = np.log(np.asarray(self.index.values, dtype=float))
        forecast = self._forecast(where, len(logs))
        if forecast is not None:
            published = len(published_values(self.index))
            beyond = np.log(forecast.median)[len(logs) - published :]
            logs = np.concatenate([logs, beyond])
        return _looked_up(logs, where)

    def quarters_ahead(self, dates: pd.Series) -> np.ndarray:
        """How many quarters past the last published one n dates lie; 0 when inside it or without an index."""
        if self.index is None:
            return np.zeros(len(dates))
        return np.nan_to_num(np.maximum(quarter_positions(dates) - quarters.position(self.index.last_published), 0))

    def forecast_variance(self, dates: pd.Series) -> np.ndarray:
        """Variance of ln of the index at n dates; zero where it is published."""
        ahead = self.quarters_ahead(dates)
        if not ahead.any() or self.index is None:
            return np.zeros(len(dates))
        sd = np.concatenate([[0.0], forecast_index(self.index, int(ahead.max())).log_sd])
        return np.asarray(sd[ahead.astype(int)] ** 2)

    def forecast(self, dates: pd.Series) -> IndexForecast | None:
        """The forecast that reaches the last of n dates; None where all are inside the published index."""
        ahead = int(self.quarters_ahead(dates).max(initial=0))
        return forecast_index(self.index, ahead) if ahead and self.index is not None else None

    def departure(self, dates: pd.Series) -> np.ndarray:
        """ln index less its highest over the history, n values: what local escalation may depart from."""
        if self.index is not None:
            return self.log_level(dates) - self.highest
        if not len(self.known_quarters):
            return np.zeros(len(dates))
        return np.nan_to_num(np.interp(quarter_positions(dates), self.known_quarters, self.known_departure))

    def _forecast(self, where: np.ndarray, held: int) -> IndexForecast | None:
        """The forecast that reaches the farthest of the places asked for, if the index itself does not."""
        asked = where[np.isfinite(where)]
        if self.index is None or not len(asked) or asked.max() < held:
            return None
        return forecast_index(self.index, int(asked.max()) - len(published_values(self.index)) + 1)


def _looked_up(values: np.ndarray, where: np.ndarray) -> np.ndarray:
    inside = np.isfinite(where) & (where >= 0) & (where < len(values))
    out = np.full(len(where), np.nan)
    out[inside] = values[where[inside].astype(int)]
    return out


def levels_of(index: CostIndex | None, dates: pd.Series, ratio: np.ndarray | None) -> Levels:
    """Levels for a history: from the index, else from its `index_ratio` where every row has one."""
    if index is not None:
        level = Levels(index).log_level(dates)
        return Levels(index, highest=float(np.nanmax(level, initial=-np.inf)) if np.isfinite(level).any() else 0.0)
    if ratio is None or not len(ratio) or not (np.isfinite(ratio) & (ratio > 0)).all():
        return Levels(None)
    by_quarter = pd.Series(-np.log(ratio)).groupby(quarter_positions(dates)).mean()
    departure = by_quarter.to_numpy() - float(by_quarter.max())
    return Levels(None, known_quarters=by_quarter.index.to_numpy(dtype=float), known_departure=departure)

"""Bridges past their service life, year by year at some pace of replacement: when the backlog clears, or that it grows.

The age profile alone: nothing is taken as spread evenly, the oldest go first, and a new bridge is not due again.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

#: Years looked ahead, and years within which near replacements are counted.
HORIZON_YEARS, NEAR_YEARS = 50, 20
_AGE_BAND = 10


@dataclass(frozen=True, slots=True, eq=False)
class Backlog:
    """What becomes of the bridges past a service life at one pace.

    path : year, reaching (bridges that reach the life in it), backlog (bridges past it at its end).
    at_start : past it before the first year. clears : first year that ends without a backlog; None within the horizon.
    largest, largest_year : where it is at its highest.
    """

    per_year: float
    service_life_years: float
    path: pd.DataFrame
    at_start: int
    clears: int | None
    largest: float
    largest_year: int

    @property
    def grows(self) -> bool:
        """Whether more bridges wait at the end than at the start."""
        return bool(self.path["backlog"].iloc[-1] > self.at_start)


def backlog_of(year_built: np.ndarray, service_life_years: float, from_year: int, per_year: float) -> Backlog:
    """Follow the backlog for HORIZON_YEARS. year_built : NaN where not known, which is left out."""
    reach = np.floor(year_built + service_life_years)
    waiting = at_start = int((reach < from_year).sum())
    years = np.arange(from_year, from_year + HORIZON_YEARS)
    reaching = np.array([int((reach == year).sum()) for year in years])
    path, left = [], float(waiting)
    for due in reaching:
        left = max(left + due - per_year, 0.0)
        path.append(left)
    clear = np.flatnonzero(np.array(path) < 0.5)
    most = int(np.argmax(path))
    return Backlog(
        per_year,
        service_life_years,
        pd.DataFrame({"year": years, "reaching": reaching, "backlog": path}),
        at_start,
        int(years[clear[0]]) if len(clear) else None,
        path[most],
        int(years[most]),
    )


def near_pace(year_built: np.ndarray, service_life_years: float, from_year: int) -> float:
    """Replacements a year that leave no bridge past its life after NEAR_YEARS, by the age profile."""
    due = year_built + service_life_years < from_year + NEAR_YEARS
    return float(due.sum()) / NEAR_YEARS


def ages_of(year_built: np.ndarray, year: int) -> pd.DataFrame:
    """Bridges by age in bands of ten years: from, to (years of age), bridges. Unknown ages are left out."""
    age = np.clip(year - year_built[np.isfinite(year_built)], 0, None)
    band = (age // _AGE_BAND).astype(int)
    count = np.bincount(band) if len(band) else np.zeros(1, dtype=int)
    starts = np.arange(len(count)) * _AGE_BAND
    return pd.DataFrame({"from": starts, "to": starts + _AGE_BAND - 1, "bridges": count})

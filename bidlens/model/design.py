"""The design matrix: shared terms, a column for every type, a market year, and the walk of the price level.

No reference type is dropped; every type and year is shrunk. A type or year without rows has no column: it would
keep its prior untouched by data, so its prior variance is added where it is predicted, which is the same thing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bidlens.model import priors
from bidlens.model.geometry import Terms

_FIXED = len(priors.FIXED_TERMS)


@dataclass(frozen=True, slots=True)
class Layout:
    """Which column is what: fixed terms, then types, then market years, then yearly steps of the level.

    A step counts for its own year and every later one.
    """

    types: tuple[str, ...]
    first_year: int
    last_year: int

    @property
    def years(self) -> int:
        return self.last_year - self.first_year + 1

    @property
    def columns(self) -> int:
        return _FIXED + len(self.types) + 2 * self.years

    @property
    def names(self) -> list[str]:
        """One name per column."""
        years = range(self.first_year, self.last_year + 1)
        return [
            *(term.name for term in priors.FIXED_TERMS),
            *(f"type: {name}" for name in self.types),
            *(f"market year: {year}" for year in years),
            *(f"level from: {year}" for year in years),
        ]


@dataclass(frozen=True, slots=True, eq=False)
class NewGround:
    """What n structures have that the history has no column for.

    new_type, new_year : 1.0 where the type or the market year is new. steps : yearly steps from the nearest year.
    """

    new_type: np.ndarray
    new_year: np.ndarray
    steps: np.ndarray

    def variance(self, cell: np.ndarray) -> np.ndarray:
        """Prior variance it adds for one grid cell (type, year, step spread), in units of the scatter's variance."""
        tau, market, walk = cell**2 / priors.S0**2
        return np.asarray(self.new_type * tau + self.new_year * market + self.steps * walk)


def design_matrix(
    terms: Terms, departure: np.ndarray, type_code: np.ndarray, year: np.ndarray, layout: Layout
) -> np.ndarray:
    """n rows by `layout.columns`. A type code of -1 or a year outside the layout leaves its columns at zero."""
    count = len(type_code)
    design = np.zeros((count, layout.columns))
    design[:, priors.INTERCEPT] = 1.0
    design[:, priors.SPAN], design[:, priors.SPAN_SQUARED] = terms.span, terms.span_squared
    design[:, priors.AREA], design[:, priors.BIDDERS] = terms.area, terms.bidders
    design[:, priors.SKEW], design[:, priors.DEPARTURE] = terms.skew, departure
    row = np.arange(count)
    known = type_code >= 0
    design[row[known], _FIXED + type_code[known]] = 1.0
    start = _FIXED + len(layout.types)
    inside = (year >= layout.first_year) & (year <= layout.last_year)
    design[row[inside], start + (year - layout.first_year)[inside]] = 1.0
    reached = np.maximum(year, layout.first_year)[:, None] >= np.arange(layout.first_year, layout.last_year + 1)
    design[:, start + layout.years :] = reached
    return design


def new_ground(type_code: np.ndarray, year: np.ndarray, layout: Layout) -> NewGround:
    """Types and years of n structures that the layout has no column for."""
    later, earlier = year - layout.last_year, layout.first_year - year
    beyond = np.maximum(np.maximum(later, earlier), 0).astype(float)
    return NewGround((type_code < 0).astype(float), (beyond > 0).astype(float), beyond)


def prior_mean(layout: Layout, middle: float) -> np.ndarray:
    """Prior mean of every column; `middle` is that of the intercept."""
    mean = np.zeros(layout.columns)
    mean[:_FIXED] = [term.prior_mean for term in priors.FIXED_TERMS]
    mean[priors.INTERCEPT] = middle
    return mean


def prior_precision(layout: Layout, grid: np.ndarray = priors.GRID) -> np.ndarray:
    """Prior precision of every column for every grid cell (cells by columns), in units of the scatter's precision."""
    sd = np.empty((len(grid), layout.columns))
    sd[:, :_FIXED] = [term.prior_sd for term in priors.FIXED_TERMS]
    types, years = _FIXED + len(layout.types), _FIXED + len(layout.types) + layout.years
    sd[:, _FIXED:types] = grid[:, [0]]
    sd[:, types:years] = grid[:, [1]]
    sd[:, years:] = grid[:, [2]]
    return np.asarray((priors.S0 / sd) ** 2)

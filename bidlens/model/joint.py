"""Prices of several bridges drawn together: what a program of them may cost in all.

Bridges of one program share the doubt about every slope, about new types, about the market of their year and about the
index. Drawing them one by one, or adding up their upper quantiles, gives the total a spread that is too narrow or too
wide; here every draw is one county and one future, and only the scatter of each letting is its own.
"""

from __future__ import annotations

import zlib
from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from bidlens.errors import BadValue
from bidlens.model import priors
from bidlens.model.fit import GridFit
from bidlens.model.index_forecast import IndexForecast

#: A single letting's scatter is cut off at this many scales: beyond, it would be re-let rather than paid.
MOST_SCATTER = 6.0

#: Where the doubt about a price comes from: each can be left out of a draw, to see what it carries.
SOURCES_OF_DOUBT = ("index", "market", "model", "scatter")


@dataclass(frozen=True, slots=True, eq=False)
class Bridges:
    """m bridges as the model sees them.

    design : m by p. new_type : names of types without history, else empty. year : letting years.
    own_variance : of what is filled in or lies outside the spans on record. log_level : ln index, medians where
        forecast. quarters_ahead : past the last published quarter. years : first and last year of the history.
    """

    design: np.ndarray
    new_type: np.ndarray
    year: np.ndarray
    own_variance: np.ndarray
    log_level: np.ndarray
    quarters_ahead: np.ndarray
    years: tuple[int, int]
    letting: np.ndarray
    lettings: int


@dataclass(frozen=True, slots=True, eq=False)
class Together:
    """Bridges made ready to be drawn together, as often as is wanted. Get one from `CostModel.together`.

    forecast : needed where a bridge is let after the published index.
    """

    fit: GridFit
    bridges: Bridges
    forecast: IndexForecast | None

    def draw(self, draws: int, rng: np.random.Generator, without: Collection[str] = ()) -> np.ndarray:
        """Unit costs, draws by m; see `CostModel.draw`."""
        return np.asarray(np.exp(draw_logs(self.fit, self.bridges, self.forecast, draws, rng, without)))


def draw_logs(
    fit: GridFit,
    bridges: Bridges,
    forecast: IndexForecast | None,
    draws: int,
    rng: np.random.Generator,
    without: Collection[str] = (),
) -> np.ndarray:
    """ln unit cost, draws by m. forecast : needed where a bridge is let after the published index.

    without : names of SOURCES_OF_DOUBT held at their middle. All else is drawn as it would have been.
    Each source has a stream of its own: one bridge more, a later year or another type leaves all other draws alone.
    Every draw's distance from the middle carries the fit's touch-up, so that totals are as wide as single predictions.
    """
    if unknown := set(without) - set(SOURCES_OF_DOUBT):
        raise BadValue(f"no source of doubt is called {sorted(unknown)[0]}", do=f"Use: {', '.join(SOURCES_OF_DOUBT)}.")
    for_cells, for_types, for_market, for_index, for_sizes, for_scatter = rng.spawn(6)
    cell = for_cells.choice(len(fit.cells), draws, p=fit.share)
    scale = np.sqrt(_rates(fit)[cell] / for_cells.gamma(_shapes(fit)[cell]))
    learnt = _expected(fit, bridges.design, cell, scale, for_cells)
    learnt += _new_types(fit, bridges, cell, scale, for_types)
    middle = bridges.design @ fit.mean
    away = np.zeros_like(learnt) if "model" in without else learnt - middle
    if "market" not in without:
        away += _new_years(fit, bridges, cell, scale, for_market)
    if "index" not in without:
        away += _index_paths(bridges, forecast, draws, for_index)
    if "model" not in without and bridges.own_variance.any():
        unknown_size = for_sizes.standard_normal((draws, bridges.lettings))
        away += np.sqrt(bridges.own_variance) * unknown_size[:, bridges.letting]
    if "scatter" not in without:
        scatter = np.clip(
            for_scatter.standard_t(priors.NOISE_DF, (draws, bridges.lettings)), -MOST_SCATTER, MOST_SCATTER
        )
        away += scale[:, None] * scatter[:, bridges.letting]
    return np.asarray(middle + bridges.log_level + fit.touch_up * away)


def _rates(fit: GridFit) -> np.ndarray:
    return np.array([posterior.rate for posterior in fit.cells])


def _shapes(fit: GridFit) -> np.ndarray:
    return np.array([posterior.shape for posterior in fit.cells])


def _expected(
    fit: GridFit, design: np.ndarray, cell: np.ndarray, scale: np.ndarray, rng: np.random.Generator
) -> np.ndarray:
    """The regression at coefficients drawn once per draw for all bridges."""
    out = np.empty((len(cell), len(design)))
    for which, posterior in enumerate(fit.cells):
        drawn = np.flatnonzero(cell == which)
        lower = np.linalg.cholesky(posterior.cov)
        doubt = rng.standard_normal((len(drawn), len(posterior.mean))) @ lower.T
        out[drawn] = (posterior.mean + scale[drawn, None] * doubt) @ design.T
    return out


def _new_types(
    fit: GridFit, bridges: Bridges, cell: np.ndarray, scale: np.ndarray, rng: np.random.Generator
) -> np.ndarray:
    """One level a draw for every type without history, shared by all bridges of that type; a stream for each name."""
    out = np.zeros((len(cell), len(bridges.design)))
    root = int(rng.integers(2**62))
    for name in sorted(set(bridges.new_type) - {""}):
        own = np.random.default_rng([root, zlib.crc32(name.encode())])
        level = scale * fit.grid[cell, 0] / priors.S0 * own.standard_normal(len(cell))
        out[:, bridges.new_type == name] = level[:, None]
    return out


def _new_years(
    fit: GridFit, bridges: Bridges, cell: np.ndarray, scale: np.ndarray, rng: np.random.Generator
) -> np.ndarray:
    """Market of each year outside the history and the walk to it, shared by all bridges of that year."""
    out = np.zeros((len(cell), len(bridges.design)))
    first, last = bridges.years
    market_sd, step_sd = (scale * fit.grid[cell, column] / priors.S0 for column in (1, 2))
    later = range(last + 1, int(bridges.year.max(initial=last)) + 1)
    earlier = range(first - 1, int(bridges.year.min(initial=first)) - 1, -1)
    for onward, own in zip((later, earlier), rng.spawn(2), strict=True):
        walk = np.zeros(len(cell))
        for year in onward:
            walk = walk + step_sd * own.standard_normal(len(cell))
            market = market_sd * own.standard_normal(len(cell))
            out[:, bridges.year == year] = (walk + market)[:, None]
    return out


def _index_paths(bridges: Bridges, forecast: IndexForecast | None, draws: int, rng: np.random.Generator) -> np.ndarray:
    """How far ln of the index strays from its forecast medians: one path a draw, doubt about growth included."""
    ahead = bridges.quarters_ahead.astype(int)
    if forecast is None or not ahead.any():
        return np.zeros((draws, len(ahead)))
    steps = int(ahead.max(initial=0))
    growth, excess = forecast.growth_sd * rng.standard_normal(draws), np.zeros(draws)
    path = np.zeros((draws, steps + 1))
    for step in range(1, steps + 1):
        excess = forecast.carry * excess + forecast.scatter * rng.standard_normal(draws)
        path[:, step] = path[:, step - 1] + growth + excess
    return np.asarray(path[:, ahead])

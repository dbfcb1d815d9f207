"""Fitting: robust weights, one screening, and an average over the grid of spreads.

Weights follow a Student-t(5) likelihood by reweighting in the best cell. Rows that lie too far out to carry any weight
are screened once and listed; the cells are then fitted afresh and weighted by their evidence.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from bidlens.model import priors
from bidlens.model.posterior import Posterior, Problem, grams, log_evidence, middle_and_variance, posterior

_PASSES, _TOLERANCE = 25, 1e-3


@dataclass(frozen=True, slots=True, eq=False)
class GridFit:
    """Retained cells, best first in evidence order of the grid, and what happened to the n rows.

    cells : posteriors; grid : their spreads (type, year, step); share : their weights, summing to one.
    problem : rows with final weights. best : place of the best cell. screened : n booleans.
    touch_up : factor on the width of every interval, 1.0 below 300 rows.
    """

    cells: tuple[Posterior, ...]
    grid: np.ndarray
    precisions: np.ndarray
    share: np.ndarray
    problem: Problem
    screened: np.ndarray
    best: int
    touch_up: float

    @property
    def scatter_variance(self) -> float:
        """Variance of one letting about its expectation, averaged over cells."""
        return float(self.share @ [cell.variance for cell in self.cells])

    @property
    def mean(self) -> np.ndarray:
        """Coefficients averaged over cells, p values."""
        return np.asarray(self.share @ np.array([cell.mean for cell in self.cells]))

    def contrast(self, along: np.ndarray) -> tuple[float, float]:
        """Mean and standard deviation of a weighted sum of coefficients; along : p weights."""
        means = np.array([cell.mean @ along for cell in self.cells])
        within = [cell.variance * (along @ cell.cov @ along) * cell.shape / (cell.shape - 1) for cell in self.cells]
        middle = float(self.share @ means)
        return middle, float(np.sqrt(self.share @ (np.array(within) + (means - middle) ** 2)))

    @property
    def sd(self) -> np.ndarray:
        """Posterior standard deviations over cells, p values."""
        within = np.array([cell.variance * np.diag(cell.cov) * cell.shape / (cell.shape - 1) for cell in self.cells])
        between = (np.array([cell.mean for cell in self.cells]) - self.mean) ** 2
        return np.sqrt(self.share @ (within + between))


@dataclass(frozen=True, slots=True, eq=False)
class RowChecks:
    """How each of n rows sits in the best cell.

    residual : ln, fitted with the row in. leverage : share of its own fit. left_out_residual : ln, fitted without it.
    z : screening residual. left_out_z : left-out residual over its predictive scale.
    """

    residual: np.ndarray
    leverage: np.ndarray
    left_out_residual: np.ndarray
    z: np.ndarray
    left_out_z: np.ndarray


def fit_grid(
    design: np.ndarray, response: np.ndarray, base: np.ndarray, mean: np.ndarray, precisions: np.ndarray
) -> GridFit:
    """Fit n rows. base : weights before robustness; mean : prior mean (p); precisions : grid cells by p."""
    problem = Problem(design, response, base, mean, len(response))
    best = int(np.argmax(log_evidence(grams(problem), precisions) + priors.LOG_HYPERPRIOR))
    kept = np.ones(len(response), dtype=bool)
    problem = _reweight(problem, precisions[best], base, kept)
    kept = ~_screen(problem, posterior(problem, precisions[best]))
    if not kept.all():
        problem = _reweight(problem.reweighted(problem.weights * kept, int(kept.sum())), precisions[best], base, kept)
    return _averaged(problem, precisions, kept)


def _averaged(problem: Problem, precisions: np.ndarray, kept: np.ndarray) -> GridFit:
    given = grams(problem)
    evidence = log_evidence(given, precisions) + priors.LOG_HYPERPRIOR
    share = np.exp(evidence - evidence.max())
    share /= share.sum()
    chosen = np.flatnonzero(share >= priors.LEAST_CELL_SHARE)
    share = share[chosen] / share[chosen].sum()
    fit = GridFit(
        cells=tuple(posterior(given, precisions[cell]) for cell in chosen),
        grid=priors.GRID[chosen],
        precisions=precisions[chosen],
        share=share,
        problem=problem,
        screened=~kept,
        best=int(np.argmax(share)),
        touch_up=1.0,
    )
    return _touched_up(fit) if problem.count >= priors.ROWS_FOR_TOUCH_UP else fit


def _reweight(problem: Problem, precision: np.ndarray, base: np.ndarray, kept: np.ndarray) -> Problem:
    """Student-t weights to convergence: (df + 1) / (df + standardised residual squared)."""
    for _ in range(_PASSES):
        mean, variance = middle_and_variance(grams(problem), precision)
        standard = base * (problem.response - problem.design @ mean) ** 2 / variance
        weights = base * kept * (priors.NOISE_DF + 1) / (priors.NOISE_DF + standard)
        moved = float(np.max(np.abs(weights - problem.weights), initial=0.0))
        problem = problem.reweighted(weights, problem.count)
        if moved < _TOLERANCE:
            break
    return problem


def _screen(problem: Problem, fitted: Posterior) -> np.ndarray:
    """Rows too far out to keep: beyond the cut-off, the farthest first, at most 15 % of all."""
    count = len(problem.response)
    far = np.abs(row_checks(problem, fitted).z)
    cut = priors.SCREEN_Z_SMALL if count < priors.SCREEN_LARGE_FROM else priors.SCREEN_Z_LARGE
    farthest = np.argsort(-far, kind="stable")[: int(priors.SCREEN_SHARE * count)]
    out = np.zeros(count, dtype=bool)
    out[farthest] = far[farthest] > cut
    return out


def row_checks(problem: Problem, fitted: Posterior) -> RowChecks:
    """Residuals and leverages of n rows under one posterior."""
    spread = np.einsum("ij,ij->i", problem.design @ fitted.cov, problem.design)
    leverage = np.minimum(problem.weights * spread, 1 - 1e-12)
    residual = problem.response - problem.design @ fitted.mean
    left_out = residual / (1 - leverage)
    return RowChecks(
        residual=residual,
        leverage=leverage,
        left_out_residual=left_out,
        z=residual / np.sqrt(fitted.variance * (1 - leverage)),
        left_out_z=left_out / np.sqrt(fitted.variance * (1 + spread / (1 - leverage))),
    )


def _touched_up(fit: GridFit) -> GridFit:
    """Scale interval widths by how the record's own left-out prices fell (conformal, drawn toward no change)."""
    checks = row_checks(fit.problem, fit.cells[fit.best])
    count = fit.problem.count
    df = float(fit.share @ [cell.df for cell in fit.cells])
    seen = float(np.quantile(np.abs(checks.left_out_z[~fit.screened]), 0.90))
    factor = (count * seen / float(stdtrit(df, 0.95)) + 40) / (count + 40)
    return GridFit(fit.cells, fit.grid, fit.precisions, fit.share, fit.problem, fit.screened, fit.best, factor)

"""The posterior of one regression under normal priors, found twice: in closed form, and by weighted least squares.

With prior precisions in units of the scatter's precision, the prior is one extra row a coefficient: its response is
the prior mean, its weight the precision. Weighted least squares on the lengthened rows then gives the posterior mean
and covariance, and the conjugate inverse-gamma update the scatter (Gelman et al., Bayesian Data Analysis, ch. 14).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from bidlens.errors import BadValue
from bidlens.model import priors


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """Posterior of p coefficients and the scatter.

    mean : p values. cov : p by p, to be multiplied by the scatter's variance.
    shape, rate : inverse gamma of the scatter's variance. log_evidence : up to a constant shared by all cells.
    """

    mean: np.ndarray
    cov: np.ndarray
    shape: float
    rate: float
    log_evidence: float

    @property
    def variance(self) -> float:
        """Working value of the scatter's variance, rate over shape."""
        return self.rate / self.shape

    @property
    def df(self) -> float:
        """Degrees of freedom of a prediction: scatter's own tails and the doubt about its size."""
        return 1 / (1 / priors.NOISE_DF + 1 / (2 * self.shape))


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """What is to be fitted: n rows of p columns, weights, prior mean; `count` rows carry evidence of scatter."""

    design: np.ndarray
    response: np.ndarray
    weights: np.ndarray
    prior_mean: np.ndarray
    count: int

    def reweighted(self, weights: np.ndarray, count: int) -> Problem:
        return Problem(self.design, self.response, weights, self.prior_mean, count)


@dataclass(frozen=True, slots=True, eq=False)
class Grams:
    """Weighted cross products of one problem, worked out once for any number of prior precisions."""

    problem: Problem
    cross: np.ndarray
    moment: np.ndarray


def grams(problem: Problem) -> Grams:
    """X'WX and X'Wy."""
    weighted = problem.design * problem.weights[:, None]
    return Grams(problem, weighted.T @ problem.design, weighted.T @ problem.response)


def posterior(given: Grams | Problem, precision: np.ndarray) -> Posterior:
    """Closed form for one prior precision (p values).

    Raises BadValue if the rows hold numbers that cannot be fitted.
    """
    given = given if isinstance(given, Grams) else grams(given)
    lower, mean = _solve(given, precision)
    inverse = np.linalg.inv(lower)
    return _with_scatter(
        given.problem, precision, mean, inverse.T @ inverse, *_sizes(given.problem, precision, lower, mean)
    )


def log_evidence(given: Grams, precisions: np.ndarray) -> np.ndarray:
    """Log evidence of several prior precisions (cells by p), one value a cell, up to one constant."""
    found = []
    for precision in precisions:
        lower, mean = _solve(given, precision)
        shape, rate, determinant = _scatter(given.problem, *_sizes(given.problem, precision, lower, mean))
        found.append(_evidence(precision, shape, rate, determinant))
    return np.array(found)


def middle_and_variance(given: Grams, precision: np.ndarray) -> tuple[np.ndarray, float]:
    """Posterior mean (p values) and working scatter variance: all that reweighting needs."""
    lower, mean = _solve(given, precision)
    shape, rate, _ = _scatter(given.problem, *_sizes(given.problem, precision, lower, mean))
    return mean, rate / shape


def _solve(given: Grams, precision: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Cholesky factor of the information matrix, and the posterior mean."""
    information = given.cross + np.diag(precision)
    try:
        lower = np.linalg.cholesky(information)
    except np.linalg.LinAlgError as cause:
        raise BadValue(
            "the cost history cannot be fitted: its numbers are not finite or far out of scale",
            do="Look for a deck area, span or price with a misplaced decimal point.",
        ) from cause
    return lower, np.linalg.solve(information, given.moment + precision * given.problem.prior_mean)


def _sizes(problem: Problem, precision: np.ndarray, lower: np.ndarray, mean: np.ndarray) -> tuple[float, float]:
    """Weighted squares of rows and prior about the posterior mean, and the log determinant of the information."""
    residual = problem.response - problem.design @ mean
    squares = problem.weights @ residual**2 + precision @ (mean - problem.prior_mean) ** 2
    return float(squares), 2 * float(np.log(np.diag(lower)).sum())


def _scatter(problem: Problem, squares: float, log_determinant: float) -> tuple[float, float, float]:
    return priors.A0 + problem.count / 2, priors.B0 + squares / 2, log_determinant


def _evidence(precision: np.ndarray, shape: float, rate: float, log_determinant: float) -> float:
    return -0.5 * log_determinant + 0.5 * float(np.log(precision).sum()) - shape * float(np.log(rate))


def _with_scatter(
    problem: Problem, precision: np.ndarray, mean: np.ndarray, cov: np.ndarray, squares: float, log_determinant: float
) -> Posterior:
    shape, rate, determinant = _scatter(problem, squares, log_determinant)
    return Posterior(mean, cov, shape, rate, _evidence(precision, shape, rate, determinant))


def weighted_least_squares(design: np.ndarray, response: np.ndarray, weights: np.ndarray) -> Any:
    """statsmodels' weighted least squares by QR, the one path every printed regression here goes through."""
    from statsmodels.regression.linear_model import WLS

    return WLS(response, design, weights=weights).fit(method="qr")


def lengthened(problem: Problem, precision: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Design, response and weights with the prior as one extra row a coefficient."""
    return (
        np.vstack([problem.design, np.eye(len(precision))]),
        np.concatenate([problem.response, problem.prior_mean]),
        np.concatenate([problem.weights, precision]),
    )


def posterior_by_wls(problem: Problem, precision: np.ndarray) -> Posterior:
    """The same posterior as `posterior`, through statsmodels: use it to check, and to print a summary."""
    fitted = weighted_least_squares(*lengthened(problem, precision))
    cov = np.asarray(fitted.normalized_cov_params)
    log_determinant = -float(np.linalg.slogdet(cov)[1])
    return _with_scatter(problem, precision, np.asarray(fitted.params), cov, float(fitted.ssr), log_determinant)

"""The closed-form posterior against statsmodels and scipy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from bidlens.model import priors
from bidlens.model.design import Layout, prior_mean, prior_precision
from bidlens.model.posterior import Problem, posterior, posterior_by_wls

#: Double precision leaves about 1e-12; 1e-8 is what the two paths promise each other.
AGREEMENT = 1e-8


def _problem(seed: int, rows: int, columns: int, weighted: bool = True) -> tuple[Problem, np.ndarray]:
    rng = np.random.default_rng(seed)
    design = np.column_stack([np.ones(rows), rng.normal(size=(rows, columns - 1))])
    design[:, -1] = rng.random(rows) < 0.1  # a column that may be empty, as an unseen year is
    weights = rng.uniform(0, 1.2, rows) if weighted else np.ones(rows)
    precision = np.exp(rng.uniform(-3, 4, columns))
    return Problem(design, rng.normal(5, 0.3, rows), weights, rng.normal(0, 0.2, columns), rows), precision


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10_000), rows=st.integers(4, 60), columns=st.integers(2, 25))
def test_closed_form_and_weighted_least_squares_agree(seed, rows, columns):
    problem, precision = _problem(seed, rows, columns)
    closed, fitted = posterior(problem, precision), posterior_by_wls(problem, precision)
    assert closed.mean == pytest.approx(fitted.mean, abs=AGREEMENT)
    assert closed.cov == pytest.approx(fitted.cov, abs=AGREEMENT)
    assert closed.rate == pytest.approx(fitted.rate, abs=AGREEMENT)
    assert closed.log_evidence == pytest.approx(fitted.log_evidence, abs=AGREEMENT * 10)


def test_evidence_is_the_multivariate_t_density_of_the_prices():
    # scipy.stats.multivariate_t: the marginal law of the response under a normal-inverse-gamma prior.
    seen = []
    problem, _ = _problem(3, 12, 5, weighted=False)
    for tau in (0.5, 3.0):
        precision = np.array([0.1, 1.0, 2.0, tau, 4.0])
        spread = np.eye(12) + problem.design @ np.diag(1 / precision) @ problem.design.T
        law = stats.multivariate_t(
            problem.design @ problem.prior_mean, priors.B0 / priors.A0 * spread, df=2 * priors.A0
        )
        seen.append((posterior(problem, precision).log_evidence, law.logpdf(problem.response)))
    (one, law_one), (two, law_two) = seen
    assert one - two == pytest.approx(law_one - law_two, abs=1e-9)


def test_without_a_prior_it_is_ordinary_regression():
    # statsmodels OLS as reference library.
    from statsmodels.regression.linear_model import OLS

    problem, _ = _problem(4, 40, 4, weighted=False)
    ours, theirs = posterior(problem, np.full(4, 1e-12)), OLS(problem.response, problem.design).fit()
    assert ours.mean == pytest.approx(theirs.params, abs=1e-8)
    assert ours.cov == pytest.approx(theirs.normalized_cov_params, abs=1e-8)


def test_a_type_or_year_without_rows_changes_no_other_coefficient():
    rng = np.random.default_rng(8)
    few, more = Layout(("a", "b"), 2020, 2022), Layout(("a", "b", "c"), 2020, 2022)
    design = rng.normal(size=(20, few.columns))
    response = rng.normal(5, 0.2, 20)
    wider = np.insert(design, len(priors.FIXED_TERMS) + 2, 0.0, axis=1)
    for cell in (0, 20, 47):
        one = posterior(Problem(design, response, np.ones(20), prior_mean(few, 5.0), 20), prior_precision(few)[cell])
        two = posterior(Problem(wider, response, np.ones(20), prior_mean(more, 5.0), 20), prior_precision(more)[cell])
        assert np.delete(two.mean, len(priors.FIXED_TERMS) + 2) == pytest.approx(one.mean, abs=1e-10)
        assert two.log_evidence == pytest.approx(one.log_evidence, abs=1e-9)

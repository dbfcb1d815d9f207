"""The fit beside statsmodels' own estimators on an open data set: 45 bridges of Tryfos (1998).

Mixed estimation with stochastic prior restrictions (Theil and Goldberger 1961) is the posterior mean of a regression
with a normal prior; a linear model with Student-t errors by maximum likelihood is what the reweighting aims at.
"""

from __future__ import annotations

import numpy as np
import pytest
from statsmodels.api import OLS
from statsmodels.miscmodels.tmodel import TLinearModel
from statsmodels.sandbox.regression.penalized import TheilGLS

from bidlens.model import priors
from bidlens.model.fit import fit_grid
from bidlens.model.posterior import Problem, posterior
from bidlens.reference import load_table

#: The same normal equations solved by Cholesky here and by a pseudo-inverse there, condition number about 1e3.
SAME_EQUATIONS = 1e-9
#: Share of a standard error. Same weights at the optimum, but scale is a posterior value here (a prior worth six
#: lettings) and a likelihood maximum there, which moves the weights a little.
SAME_WEIGHTS = 0.25
#: A prior this weak, in units of the scatter's precision, moves nothing a tolerance above could see.
HARDLY_ANY = 1e-8


@pytest.fixture(scope="module")
def bridges():
    # Tryfos (1998), 45 bridges; ln construction cost on ln deck area, ln length and ln spans.
    data = np.log(load_table("tryfos_bridges").frame.drop(columns="Case"))
    design = np.column_stack([np.ones(len(data)), *(data[name] for name in ("DArea", "Length", "Spans"))])
    return design, data["CCost"].to_numpy()


@pytest.mark.parametrize("prior_sd", [0.05, 0.2, 1.0])
def test_the_posterior_mean_is_mixed_estimation(bridges, prior_sd):
    design, response = bridges
    middle = np.array([4.0, 0.7, 0.1, 0.0])
    precision = np.full(4, (priors.S0 / prior_sd) ** 2)
    ours = posterior(Problem(design, response, np.ones(len(response)), middle, len(response)), precision)
    # Its weight is multiplied by the scatter's variance, which our precisions are in units of already.
    scatter = OLS(response, design).fit().mse_resid
    theirs = TheilGLS(response, design, r_matrix=np.eye(4), q_matrix=middle, sigma_prior=np.diag(1 / precision))
    fitted = theirs.fit(pen_weight=1 / scatter, cov_type="data-prior", use_t=True)
    assert ours.mean == pytest.approx(np.asarray(fitted.params), rel=SAME_EQUATIONS)


def test_robust_weights_find_the_student_t_regression(bridges):
    design, response = bridges
    response = response.copy()
    response[3] += 2.0  # one bridge priced seven times too high
    fit = fit_grid(
        design, response, np.ones(len(response)), np.zeros(4), np.full((len(priors.GRID), 4), HARDLY_ANY)
    )  # fmt: skip
    assert fit.screened[3]
    kept = ~fit.screened
    start = np.append(fit.mean, np.log(1.0) + 0.3)
    model = TLinearModel(response[kept], design[kept], fix_df=priors.NOISE_DF)
    fitted = model.fit(start_params=start, disp=0, maxiter=5000)
    apart = np.abs(fit.mean - np.asarray(fitted.params)[:4]) / fit.sd
    assert apart.max() < SAME_WEIGHTS

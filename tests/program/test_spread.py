"""Quantiles of totals against published multipliers and sums. Sources are named beside each check."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm

from bidlens.program import spread_of
from bidlens.program.spread import quantile_error, spreads_of

N = 400_000


def test_multipliers_on_the_middle_of_a_lognormal_cost():
    # Year-of-expenditure practice of FHWA's major project guidance (2007) plans above the middle. For a lognormal cost
    # with log sd 0.25 the P50 and P80 multipliers are 1.000 and 1.2342 and the mean 1.0317: exp(0.25 z), exp(0.25^2/2).
    # P70 (1.1401) is no level of ours; the same function of z is checked at P90.
    cost = np.exp(0.25 * np.random.default_rng(1).standard_normal(N))
    found = spread_of(cost)
    assert found.p50 == pytest.approx(1.000, abs=0.002)
    assert found.p80 == pytest.approx(1.2342, abs=0.003)
    assert found.p90 == pytest.approx(float(np.exp(0.25 * norm.ppf(0.9))), abs=0.004)
    assert found.mean == pytest.approx(1.0317, abs=0.001)
    assert np.quantile(cost, 0.7) == pytest.approx(1.1401, abs=0.003)


@pytest.mark.parametrize(("correlation", "p80_of_sum"), [(0.0, 537.6), (0.3, 555.8)])
def test_five_jobs_whose_p80s_must_not_be_added(correlation, p80_of_sum):
    # Arithmetic of sums: five normal jobs, mean 100, sd 20. Their P80s add to 584.2; the P80 of the sum is
    # 500 + 0.8416 * 20 * sqrt(5 + 20 r): 537.6 independent, 555.8 with correlation 0.3.
    rng = np.random.default_rng(2)
    shared, own = rng.standard_normal((N, 1)), rng.standard_normal((N, 5))
    jobs = 100 + 20 * (np.sqrt(correlation) * shared + np.sqrt(1 - correlation) * own)
    each = spreads_of(jobs, None)
    assert each["p80"].sum() == pytest.approx(584.2, abs=0.5)
    assert spread_of(jobs.sum(axis=1)).p80 == pytest.approx(p80_of_sum, abs=0.4)


def test_the_stated_monte_carlo_error_is_that_of_order_statistics():
    # For a normal, the standard error of a quantile is sqrt(p (1 - p) / n) / density; 1.96 of them each way.
    n = 10_000
    exact = 1.96 * np.sqrt(0.8 * 0.2 / n) / norm.pdf(norm.ppf(0.8))
    stated = [quantile_error(np.random.default_rng(seed).standard_normal(n), 0.8) for seed in range(40)]
    assert np.mean(stated) == pytest.approx(exact, rel=0.05)

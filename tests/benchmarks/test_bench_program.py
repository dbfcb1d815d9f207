"""How long a program takes to draw after the fit, beside a plain loop in the same run, and how much memory.

Times are of the processor, so that other work on the machine does not count.
"""

from __future__ import annotations

import time
import tracemalloc

import numpy as np
import pytest

from bidlens.findings import Unavailable
from bidlens.program import forecast, futures_of, schedule, simulate
from tests.program.conftest import county, listed

RUNS = 10_000
#: Seconds for 10,000 draws after the fit, and megabytes held at most.
LIMITS = {40: 1.0, 500: 5.0}
MOST_MB = 500

__all__ = ["county"]

pytestmark = pytest.mark.benchmark(timer=time.process_time)


@pytest.mark.parametrize("bridges", LIMITS)
def test_ten_thousand_futures(benchmark, county, bridges):
    plan = county.plan(listed(bridges))
    drawn = benchmark.pedantic(simulate, args=(plan, county.model, RUNS, 1), rounds=3)
    assert drawn.dollars.shape == (RUNS, bridges)
    assert benchmark.stats.stats.min < LIMITS[bridges]


@pytest.mark.parametrize("bridges", LIMITS)
def test_a_whole_forecast_with_budget_and_drivers(benchmark, county, bridges):
    plan = county.plan(listed(bridges))
    found = benchmark.pedantic(
        forecast,
        args=(plan, county.history, county.model, county.index, Unavailable("not asked")),
        kwargs={"budget_usd": 1e7, "runs": RUNS},
        rounds=1,
    )
    assert found.total.p80 > 0
    assert benchmark.stats.stats.min < LIMITS[bridges] * 3


def test_all_bridges_at_once_beside_a_plain_loop(benchmark, county):
    plan = county.plan(listed(40))
    parts = plain_parts(plan, county.model)
    started = time.process_time()
    for run in range(100):
        one_future(np.random.default_rng(run), *parts)
    one_by_one = (time.process_time() - started) / 100 * RUNS
    drawn = benchmark.pedantic(simulate, args=(plan, county.model, RUNS, 1), rounds=3)
    assert drawn.runs == RUNS
    assert benchmark.stats.stats.min < one_by_one / 5


def plain_parts(plan, model):
    """What a loop of one's own needs: ln prices' middles, posterior, deck areas; looked up once, outside the time."""
    structures = plan.frame[["superstructure", "deck_area_sf", "span_ft", "skew_deg", "letting_date"]]
    middle = np.log(model.predict(structures)["p50"].to_numpy())
    fit = model.fit
    rows = np.eye(len(plan.frame), len(fit.cells[0].mean))
    return fit, middle, rows, plan.frame["deck_area_sf"].to_numpy()


def one_future(rng, fit, middle, rows, areas):
    """One future as a plain numpy loop draws it: coefficients, market, eight quarters of the index, scatter."""
    cell = fit.cells[rng.choice(len(fit.cells), p=fit.share)]
    scale = np.sqrt(cell.rate / rng.gamma(cell.shape))
    doubt = scale * np.linalg.cholesky(cell.cov) @ rng.standard_normal(len(cell.mean))
    market = scale * 0.1 * rng.standard_normal()
    path, excess = 0.0, 0.0
    for _ in range(8):
        excess = 0.5 * excess + 0.02 * rng.standard_normal()
        path += excess
    total = 0.0
    for level, row, area in zip(middle, rows, areas, strict=True):
        scatter = scale * np.clip(rng.standard_t(5), -6, 6)
        total += area * np.exp(level + row @ doubt + market + path + scatter)
    return total


@pytest.mark.parametrize("bridges", LIMITS)
def test_four_years_under_yearly_budgets(benchmark, county, bridges):
    # Every year asks anew what is left, so that four years cost at most four draws of the whole list.
    plan = county.plan(listed(bridges), years=4)
    futures = futures_of(plan, county.model, RUNS, 1)
    laid_out = benchmark.pedantic(schedule, args=(futures, [bridges * 1e5] * 4), rounds=1)
    assert laid_out.years["bridges"].sum() > 0
    assert benchmark.stats.stats.min < LIMITS[bridges] * 6


@pytest.mark.parametrize("years", [1, 4])
def test_memory_stays_within_bounds(benchmark, county, years):
    plan = county.plan(listed(500), years=years)

    def peak():
        tracemalloc.start()
        futures = futures_of(plan, county.model, RUNS, 1)
        if years == 1:
            futures.as_planned()
        else:
            schedule(futures, [5e7] * years)
        most = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return most / 1e6

    assert benchmark.pedantic(peak, rounds=1) < MOST_MB

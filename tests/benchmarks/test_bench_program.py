"""How long a program takes to draw after the fit, beside a plain loop in the same run, and how much memory.

Times are of the processor, so that other work on the machine does not count.
"""

from __future__ import annotations

import time
import tracemalloc

import numpy as np
import pytest

from bidlens.findings import Unavailable
from bidlens.program import forecast, simulate
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


def test_all_bridges_at_once_beside_one_future_at_a_time(benchmark, county):
    plan = county.plan(listed(40))
    started = time.process_time()
    for run in range(50):
        simulate_one(plan, county.model, run)
    one_by_one = (time.process_time() - started) / 50 * RUNS
    drawn = benchmark.pedantic(simulate, args=(plan, county.model, RUNS, 1), rounds=3)
    assert drawn.runs == RUNS
    assert benchmark.stats.stats.min < one_by_one / 20


def simulate_one(plan, model, run):
    """One future of the list, as a plain loop would draw it."""
    structures = plan.frame[["superstructure", "deck_area_sf", "span_ft", "skew_deg", "letting_date"]]
    price = model.draw(structures, 1, np.random.default_rng(run))[0]
    return float(price @ plan.frame["deck_area_sf"].to_numpy())


def test_memory_stays_within_bounds(benchmark, county):
    plan = county.plan(listed(500))

    def peak():
        tracemalloc.start()
        simulate(plan, county.model, RUNS, 1)
        most = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return most / 1e6

    assert benchmark.pedantic(peak, rounds=1) < MOST_MB

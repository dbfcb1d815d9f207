"""What a fit costs, beside ordinary regression with dummies on the same rows; and what a cold start costs.

Run with: python -m pytest tests/benchmarks/test_bench_model.py --benchmark-only
Limits are for one core: a fit within 0.05 s at 150 rows and 3 s at 50,000.
"""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pandas as pd
import pytest

from bidlens.model import fit_cost_model, forecast_index
from bidlens.reference import load_shipped_index
from tests.model.histories import asked, history

MOST_SECONDS = {150: 0.05, 5_000: 0.5, 50_000: 3.0}


def _ordinary(rows: pd.DataFrame) -> np.ndarray:
    """Ordinary least squares with a dummy a type, through statsmodels."""
    from statsmodels.regression.linear_model import OLS

    shared = [np.log(rows["span_ft"] / 60), np.log(rows["deck_area_sf"] / 2000), rows["bidders"] - 5]
    types = pd.get_dummies(rows["superstructure"]).to_numpy(dtype=float)
    design = np.column_stack([*shared, types])
    return np.asarray(OLS(np.log(rows["unit_cost_adjusted"].to_numpy()), design).fit().params)


@pytest.mark.parametrize("count", [150, 5_000, 50_000])
def test_fit(benchmark, count):
    rows = history(count)
    model = benchmark.pedantic(fit_cost_model, args=(rows,), rounds=5, warmup_rounds=1)
    assert model.n == count
    assert benchmark.stats.stats.min < MOST_SECONDS[count]


@pytest.mark.parametrize("count", [150, 5_000, 50_000])
def test_ordinary_regression_beside_it(benchmark, count):
    rows = history(count)
    assert len(benchmark.pedantic(_ordinary, args=(rows,), rounds=5, warmup_rounds=1)) == 8


@pytest.mark.parametrize("asked_for", [1, 50_000])
def test_predict(benchmark, asked_for):
    model, wanted = fit_cost_model(history(150)), pd.concat([asked()] * asked_for, ignore_index=True)
    assert len(benchmark.pedantic(model.predict, args=(wanted,), rounds=3, warmup_rounds=1)) == asked_for


@pytest.mark.parametrize("by", ["closed form", "statsmodels"])
def test_index_forecast(benchmark, by):
    index = load_shipped_index()
    benchmark.pedantic(forecast_index, args=(index, 8, by), rounds=3, warmup_rounds=1)


@pytest.mark.parametrize("module", ["bidlens.model", "statsmodels.tsa.arima.model"])
def test_import_in_a_fresh_process(benchmark, module):
    benchmark.pedantic(
        subprocess.run, args=([sys.executable, "-c", f"import {module}"],), kwargs={"check": True}, rounds=3
    )

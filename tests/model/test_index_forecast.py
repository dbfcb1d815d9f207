"""The index forecast against statsmodels' ARIMA and against what the published index did."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from bidlens.errors import BadValue
from bidlens.model import extend_index, fit_cost_model, forecast_index
from bidlens.model.index_forecast import STRESS_GROWTH
from bidlens.reference import CostIndex, load_shipped_index, load_table
from tests.model.histories import asked, history


@pytest.fixture(scope="module", params=["nhcci", "nhcci-adjusted"])
def index(request) -> CostIndex:
    return load_shipped_index(request.param)


def _cut(index: CostIndex, count: int) -> CostIndex:
    return replace(index, quarters=index.quarters[:count], values=np.asarray(index.values)[:count])


def test_closed_form_agrees_with_statsmodels_arima(index):
    # Reference library: statsmodels ARIMA(1,1,0) with drift. Its search stops a little early: medians agree to 0.2 %,
    # standard deviations to 1 %.
    from statsmodels.tsa.arima.model import ARIMA

    theirs = ARIMA(np.log(index.values), order=(1, 1, 0), trend="t").fit().get_forecast(8)
    ours = forecast_index(index, 8)
    assert ours.median == pytest.approx(np.exp(theirs.predicted_mean), rel=2e-3)
    assert ours.log_sd == pytest.approx(theirs.se_mean, rel=1e-2)
    through = forecast_index(index, 8, by="statsmodels")
    assert through.median == pytest.approx(ours.median, rel=2e-3)
    assert "statsmodels" in through.method


def test_exact_likelihood_is_no_worse_than_the_one_statsmodels_finds(index):
    # Both by statsmodels' own likelihood of the differenced logs.
    from statsmodels.tsa.arima.model import ARIMA

    reference = ARIMA(np.diff(np.log(index.values)), order=(1, 0, 0), trend="c")
    ours = forecast_index(index, 1)
    theirs = reference.fit()
    scatter = ours.log_sd[0]
    assert reference.loglike([ours.growth, ours.carry, scatter**2]) >= theirs.llf - 1e-6


def test_past_forecasts_of_the_published_index_were_as_good_as_they_claim():
    # 68 overlapping origins on the adjusted NHCCI, each forecast from its own past. A longer look (other vintages)
    # had scaled errors of 1.21, 2.17, 2.96, 3.81 at 2, 4, 6, 8 quarters, and t(5) ranges that held 9 in 10.
    index = load_shipped_index("nhcci-adjusted")
    logs = np.log(index.values)
    errors = {ahead: [] for ahead in (2, 4, 6, 8)}
    for known in range(24, len(logs)):
        forecast = forecast_index(_cut(index, known), 8)
        naive = np.abs(np.diff(logs[:known])).mean()
        for ahead, seen in errors.items():
            if known - 1 + ahead < len(logs):
                miss = abs(logs[known - 1 + ahead] - np.log(forecast.median[ahead - 1]))
                half = np.log(forecast.quantile(0.95)[ahead - 1] / forecast.median[ahead - 1])
                still = abs(logs[known - 1 + ahead] - logs[known - 1])
                seen.append((miss / naive, miss <= half, still / naive))
    for ahead, scaled in {2: 1.21, 4: 2.17, 6: 2.96, 8: 3.81}.items():
        miss, inside, still = np.array(errors[ahead], dtype=float).mean(axis=0)
        assert miss == pytest.approx(scaled, rel=0.05)
        assert inside > 0.85
        assert miss < still  # better than no change


def test_the_stress_line_is_what_was_published_for_2020_to_2023():
    # BTS, Transportation Economic Trends (2023): +59.3 % from 2020 Q4 to 2023 Q2, first print.
    index = load_shipped_index()
    facts = load_table("nhcci_check_values").frame
    published = facts[(facts["from_quarter"] == "2020Q4") & (facts["to_quarter"] == "2023Q2")]["published_value"]
    assert float(published.iloc[0]) == pytest.approx((STRESS_GROWTH - 1) * 100, abs=0.5)
    assert index.ratio("2020Q4", "2023Q2") == pytest.approx(STRESS_GROWTH, abs=0.01)
    forecast = forecast_index(index, 12)
    assert forecast.stress[9] == pytest.approx(index.values[-1] * STRESS_GROWTH)
    assert (forecast.stress > forecast.median).all()


def test_quantiles_are_student_t_with_five_degrees(index):
    forecast = forecast_index(index, 4)
    expected = forecast.median * np.exp(stats.t(5).ppf(0.9) * forecast.log_sd)
    assert forecast.quantile(0.9) == pytest.approx(expected)
    assert forecast.quantile(0.5) == pytest.approx(forecast.median)
    assert (np.diff(forecast.log_sd) > 0).all()


@pytest.mark.parametrize("count", [1, 2, 5, 19])
def test_a_short_series_falls_back_to_a_walk_with_usual_drift(count):
    forecast = forecast_index(_cut(load_shipped_index(), count), 6)
    assert "random walk" in forecast.method
    assert 0.0 < forecast.growth < 0.02
    assert np.isfinite(forecast.log_sd).all()
    assert (np.diff(forecast.log_sd) > 0).all()


def test_a_series_that_never_moves_is_forecast_nonetheless():
    still = CostIndex("still", "r", None, load_shipped_index().quarters[:40], np.full(40, 2.0))
    forecast = forecast_index(still, 4)
    assert np.isfinite(forecast.median).all()
    assert forecast.median == pytest.approx(2.0, rel=0.05)


def test_an_extended_index_says_from_where_it_is_forecast():
    index = load_shipped_index()
    longer = extend_index(index, "2027Q3")
    assert (longer.last, longer.last_published, longer.forecast_from) == ("2027Q3", index.last, "2026Q2")
    assert longer.at("2026Q1") == index.at("2026Q1")
    assert longer.at("2027Q3") == pytest.approx(forecast_index(index, 6).median[-1])
    assert extend_index(index, "2025Q1") is index
    assert extend_index(longer, "2027Q1") is longer
    assert extend_index(longer, "2028Q4").values == pytest.approx(extend_index(index, "2028Q4").values)
    with pytest.raises(BadValue):
        forecast_index(index, 0)


def test_an_extended_index_predicts_as_the_index_itself():
    index = load_shipped_index()
    bid = history(40).rename(columns={"unit_cost_adjusted": "unit_cost"})
    later = asked(letting_date=pd.Timestamp("2027-05-01"))
    one = fit_cost_model(bid, index).predict(later)
    for reach in ("2026Q3", "2027Q2", "2028Q4"):
        pd.testing.assert_frame_equal(fit_cost_model(bid, extend_index(index, reach)).predict(later), one)

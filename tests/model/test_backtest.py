"""The back-test foretells only what it could have known."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from bidlens.model import backtest, fit_cost_model
from bidlens.model.backtest import usual_count
from bidlens.reference import load_shipped_index
from tests.model.histories import history


def test_each_year_is_foretold_from_the_years_before():
    rows = history(60)
    result = backtest(rows)
    lettings = result.lettings.set_index("contract_id")
    year = rows["letting_date"].dt.year
    for which in (2016, 2024):
        earlier, now = rows[year < which], rows[year == which].set_index("contract_id")
        table = fit_cost_model(earlier).predict(now)
        assert lettings.loc[now.index, "p50"].to_numpy() == pytest.approx(table["p50"].to_numpy())
        means = earlier.groupby("superstructure")["unit_cost_adjusted"].mean()
        expected = now["superstructure"].map(means).fillna(earlier["unit_cost_adjusted"].mean())
        assert lettings.loc[now.index, "type_mean"].to_numpy() == pytest.approx(expected.to_numpy())


def test_its_figures_follow_from_its_lettings():
    result = backtest(history(60))
    lettings = result.lettings
    assert result.n == len(lettings)
    assert result.coverage_90 == pytest.approx(lettings["inside"].mean())
    assert result.median_abs_error == pytest.approx((lettings["p50"] / lettings["unit_cost"] - 1).abs().median())
    between = lettings["unit_cost"].between(lettings["p05"], lettings["p95"])
    assert between.equals(lettings["inside"].astype(bool))
    assert lettings["letting_date"].is_monotonic_increasing


def test_with_an_index_the_type_mean_is_brought_to_the_letting():
    index = load_shipped_index()
    rows = history(60)
    level = np.array([index.at(f"{date.year}Q{date.quarter}") for date in rows["letting_date"]])
    bid = rows.assign(unit_cost=rows["unit_cost_adjusted"] * level).drop(columns="unit_cost_adjusted")
    indexed, plain = backtest(bid, index), backtest(rows)
    assert indexed.n == plain.n
    # Prices that follow the index exactly: the comparison must miss by the same share either way.
    assert indexed.type_mean_median_abs_error == pytest.approx(plain.type_mean_median_abs_error)


def test_too_little_to_foretell_is_said():
    none = backtest(history(60).head(3))
    assert none.n == 0
    assert np.isnan(none.median_abs_error)
    assert none.lettings.empty
    assert none.findings[0].code == "backtest_not_possible"
    one_year = backtest(history(20).assign(letting_date=pd.Timestamp("2020-05-01")))
    assert one_year.n == 0
    few = backtest(history(60).sort_values("letting_date").head(12))
    assert 0 < few.n < 20
    assert any(finding.code == "backtest_thin" and "too few" in finding.text for finding in few.findings)


def test_an_empty_history_has_an_empty_backtest():
    assert backtest(history(5).head(0)).n == 0


@pytest.mark.parametrize("count", [5, 20, 80])
def test_chance_counts_are_binomial(count):
    # scipy.stats.binom as reference.
    assert usual_count(count) == (int(stats.binom(count, 0.9).ppf(0.025)), int(stats.binom(count, 0.9).ppf(0.975)))

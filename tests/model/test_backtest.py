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


def _lettings_of(*rows: tuple[str, int, float]) -> pd.DataFrame:
    """One structure a row, alike but for type, letting year and price; spans a little apart."""
    return pd.DataFrame(
        {
            "contract_id": [f"B-{which}" for which in range(len(rows))],
            "structure_id": [f"K-{which}" for which in range(len(rows))],
            "letting_date": [
                pd.Timestamp(year, 5, 1) + pd.Timedelta(days=which) for which, (_, year, _) in enumerate(rows)
            ],
            "superstructure": [kind for kind, _, _ in rows],
            "deck_area_sf": [1800.0 + 10 * which for which in range(len(rows))],
            "span_ft": [50.0 + which for which in range(len(rows))],
            "unit_cost": [price for _, _, price in rows],
        }
    )


def test_plain_methods_by_hand():
    rows = _lettings_of(
        ("steel", 2010, 100.0), ("steel", 2012, 120.0), ("steel", 2013, 140.0), ("timber", 2013, 90.0),
        ("steel", 2015, 150.0), ("timber", 2015, 100.0), ("slab", 2015, 110.0),
    )  # fmt: skip
    found = backtest(rows).lettings.query("letting_date >= 2015").set_index("superstructure")
    # All years before: steel (100 + 120 + 140) / 3; three years 2012 to 2014: steel (120 + 140) / 2; slab is new, so
    # the mean of all: 450 / 4, and 350 / 3 of the three years. Seven rows carry no ordinary regression.
    assert list(found.loc[["steel", "timber", "slab"], "type_mean"]) == pytest.approx([120.0, 90.0, 112.5])
    assert list(found.loc[["steel", "timber", "slab"], "last_three_years"]) == pytest.approx([130.0, 90.0, 350 / 3])
    assert found["ordinary"].isna().all()


def test_last_three_years_are_not_brought_to_the_letting_by_the_index():
    index = load_shipped_index()
    rows = _lettings_of(*[("steel", year, 100.0) for year in (2016, 2017, 2018, 2019, 2020, 2022)])
    found = backtest(rows, index).lettings.iloc[-1]
    assert found["last_three_years"] == pytest.approx(100.0)
    assert found["type_mean"] > 115.0  # the index rose by a third from 2018 to 2022


def test_ordinary_regression_agrees_with_statsmodels():
    import statsmodels.formula.api as smf

    rows = history(80)
    result = backtest(rows)
    before = rows[rows["letting_date"].dt.year < 2024]
    frame = before.assign(
        y=np.log(before["unit_cost_adjusted"]), ls=np.log(before["span_ft"] / 60), la=np.log(before["deck_area_sf"]),
        nb=before["bidders"].clip(upper=8), sk=before["skew_deg"] ** 2,
    )  # fmt: skip
    fitted = smf.ols("y ~ ls + I(ls**2) + la + nb + sk + C(superstructure)", frame).fit()
    now = rows[rows["letting_date"].dt.year == 2024].set_index("contract_id")
    now = now[now["superstructure"].isin(before["superstructure"])]
    asked = now.assign(
        ls=np.log(now["span_ft"] / 60), la=np.log(now["deck_area_sf"]), nb=now["bidders"].clip(upper=8),
        sk=now["skew_deg"] ** 2,
    )  # fmt: skip
    ours = result.lettings.set_index("contract_id").loc[now.index, "ordinary"]
    # The same least squares by another factorization, in double precision.
    assert ours.to_numpy() == pytest.approx(np.exp(fitted.predict(asked)).to_numpy(), rel=1e-9)


def test_tables_of_methods_and_years_follow_from_the_lettings():
    result = backtest(history(60))
    lettings, methods = result.lettings, result.methods.set_index("method")
    for name in ("type_mean", "last_three_years", "ordinary"):
        error = (lettings[name] / lettings["unit_cost"] - 1).abs()
        assert methods.loc[name, "median_abs_error"] == pytest.approx(error.median())
        assert methods.loc[name, "n"] == error.notna().sum()
        own = (lettings["p50"] / lettings["unit_cost"] - 1).abs()[error.notna()]
        assert methods.loc[name, "model_on_same"] == pytest.approx(own.median())
    assert result.last_three_years_median_abs_error == methods.loc["last_three_years", "median_abs_error"]
    assert result.ols_median_abs_error == methods.loc["ordinary", "median_abs_error"]
    assert result.coverage_80 == pytest.approx(lettings["unit_cost"].between(lettings["p10"], lettings["p90"]).mean())
    assert result.by_year["n"].sum() == result.n
    assert result.by_year["inside"].sum() == lettings["inside"].sum()
    assert result.by_year["year"].is_monotonic_increasing


def test_a_plain_method_that_did_better_is_named():
    rows = history(60).assign(unit_cost_adjusted=150.0)
    assert all(finding.code != "backtest_no_better" for finding in backtest(history(200)).findings)
    codes = [finding.code for finding in backtest(rows).findings]
    assert "backtest_no_better" in codes

"""Fitting and predicting through the public surface: properties that must hold whatever the prices are."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bidlens.errors import BadValue, NotEnoughHistory
from bidlens.model import fit_cost_model
from bidlens.model.posterior import posterior_by_wls
from bidlens.reference import load_shipped_index
from tests.model.histories import TYPES, asked, history

QUANTILES = ["p05", "p10", "p25", "p50", "p75", "p90", "p95"]


def _width(table: pd.DataFrame) -> float:
    return float(np.log(table["p95"] / table["p05"]).iloc[0])


def test_the_truth_is_found_back_from_a_long_history():
    coefficients = fit_cost_model(history(3000)).coefficients.set_index("term")
    for term, truth in (("ln span", 0.12), ("ln deck area", -0.15), ("per bidder", -0.03), ("ln span squared", 0.0)):
        found = coefficients.loc[term]
        assert abs(found["mean"] - truth) < 3.5 * found["sd"]
        assert found["sd"] < 0.03


def test_percentile_is_half_at_the_median_and_fits_every_quantile():
    model = fit_cost_model(history(60))
    table = model.predict(asked())
    for name, probability in zip(QUANTILES, (0.05, 0.10, 0.25, 0.50, 0.75, 0.90, 0.95), strict=True):
        assert model.percentile(asked(), table[name]) == pytest.approx(probability, abs=1e-10)


@settings(max_examples=30, deadline=None)
@given(offers=st.lists(st.floats(20, 900), min_size=2, max_size=20, unique=True))
def test_percentile_rises_strictly_with_the_offer(offers):
    offers = sorted(round(offer, 3) for offer in offers)
    offers = np.unique(offers)
    model = _MODEL
    places = model.percentile(pd.concat([asked()] * len(offers)), offers)
    assert (np.diff(places) > 0).all()
    assert ((places > 0) & (places < 1)).all()


_MODEL = fit_cost_model(history(40))


def test_interval_widens_when_rows_of_the_type_are_taken_away():
    rows = history(80)
    own = rows.index[rows["superstructure"] == "rolled steel beam"]
    widths = [_width(fit_cost_model(rows.drop(index=own[keep:])).predict(asked())) for keep in (len(own), 3, 0)]
    assert widths[0] < widths[1] < widths[2]


def test_interval_widens_as_the_span_leaves_those_on_record():
    model = fit_cost_model(history(80))
    longest = model.span_range("rolled steel beam")[1]
    widths = [_width(model.predict(asked(span_ft=longest * times))) for times in (1.0, 1.2, 1.6, 2.4)]
    assert widths == sorted(widths)
    assert widths[0] < widths[-1]


def test_interval_widens_beyond_the_published_index_and_prices_follow_it_inside():
    index = load_shipped_index()
    bid = history(80).rename(columns={"unit_cost_adjusted": "unit_cost"})
    model = fit_cost_model(bid, index)
    dates = pd.to_datetime(["2026-02-01", "2026-11-01", "2027-11-01"])
    widths = [_width(model.predict(asked(letting_date=date))) for date in dates]
    assert widths[0] < widths[1] < widths[2]
    assert "cost index forecast 7 quarters ahead" in model.predict(asked(letting_date=dates[2]))["reason"].iloc[0]


def test_a_frame_serves_as_index_as_well():
    index = load_shipped_index()
    bid = history(30).rename(columns={"unit_cost_adjusted": "unit_cost"})
    frame = pd.DataFrame({"quarter": index.quarters, "value": index.values}).iloc[::-1]
    one, two = fit_cost_model(bid, index).predict(asked()), fit_cost_model(bid, frame).predict(asked())
    pd.testing.assert_frame_equal(one, two)


def test_an_index_on_another_base_changes_nothing():
    index = load_shipped_index()
    bid = history(30).rename(columns={"unit_cost_adjusted": "unit_cost"})
    frame = pd.DataFrame({"quarter": index.quarters, "value": index.values * 137.0})
    one, two = fit_cost_model(bid, index).predict(asked()), fit_cost_model(bid, frame).predict(asked())
    assert two[QUANTILES].to_numpy() == pytest.approx(one[QUANTILES].to_numpy(), rel=1e-9)


@settings(max_examples=8, deadline=None)
@given(factor=st.floats(0.01, 100), seed=st.integers(0, 50))
def test_scaling_all_prices_scales_predictions_and_nothing_else(factor, seed):
    rows = history(25, seed)
    one, two = fit_cost_model(rows), fit_cost_model(rows.assign(unit_cost_adjusted=rows["unit_cost_adjusted"] * factor))
    here, there = one.predict(asked()), two.predict(asked())
    scaled = [*QUANTILES, "mean"]
    assert there[scaled].to_numpy() == pytest.approx(here[scaled].to_numpy() * factor, rel=1e-8)
    assert list(there["grade"]) == list(here["grade"])
    assert list(there["reason"]) == list(here["reason"])
    assert list(two.screened["contract_id"]) == list(one.screened["contract_id"])


def test_row_order_and_type_names_change_not_a_byte():
    rows = history(60)
    names = {"rolled steel beam": "zz", "timber": "000", "concrete slab": "‮'; DROP TABLE structure; --"}
    renamed = rows.assign(superstructure=rows["superstructure"].replace(names))
    one = fit_cost_model(rows).predict(asked())
    for again, name in (
        (rows, "rolled steel beam"),
        (rows.sample(frac=1, random_state=5), "rolled steel beam"),
        (renamed, "zz"),
    ):
        two = fit_cost_model(again).predict(asked(superstructure=name))
        assert (
            two[[*QUANTILES, "mean", "df"]].to_numpy().tobytes() == one[[*QUANTILES, "mean", "df"]].to_numpy().tobytes()
        )
        assert list(two["reason"]) == list(one["reason"])


@pytest.mark.parametrize("name", ["", "   ", "\x00", "a\nb", "𝕋" * 300, "=cmd()", "<script>", "None", "nan", "-1"])
def test_any_text_is_a_type_name(name):
    rows = history(20)
    rows.loc[:4, "superstructure"] = name
    table = fit_cost_model(rows).predict(asked(superstructure=name))
    assert np.isfinite(table[QUANTILES].to_numpy()).all()


def test_a_type_nobody_let_is_grade_d_and_wider():
    model = fit_cost_model(history(60))
    new = model.predict(asked(superstructure="buried structure"))
    assert new["grade"].iloc[0] == "D"
    assert new["reason"].iloc[0].startswith("no history for this type")
    assert _width(new) > _width(model.predict(asked()))


@pytest.mark.parametrize("count", [0, 1, 2, 3])
def test_below_four_rows_nothing_is_predicted(count):
    model = fit_cost_model(history(8).head(count))
    table = model.predict(asked())
    assert table[[*QUANTILES, "mean", "df"]].isna().all(axis=None)
    assert table["grade"].iloc[0] == "D"
    assert "published ranges only" in table["reason"].iloc[0]
    assert np.isnan(model.percentile(asked(), 150.0)).all()
    assert [finding.code for finding in model.findings if finding.severity == "stop"] == ["history_too_small"]
    assert model.coefficients.empty
    assert model.screened.empty
    with pytest.raises(NotEnoughHistory):
        model.summary()


def test_four_rows_give_an_indicative_answer_of_grade_c_at_best():
    rows = history(40)
    rows = rows[rows["superstructure"] == "rolled steel beam"].head(4)
    model = fit_cost_model(rows)
    table = model.predict(asked())
    assert np.isfinite(table[QUANTILES].to_numpy()).all()
    assert table["grade"].iloc[0] in {"C", "D"}
    assert "only 4 priced structures in all, so indicative" in table["reason"].iloc[0]


@pytest.mark.parametrize(
    ("rows", "label"),
    [
        (3, "published ranges only"), (4, "indicative"), (11, "indicative"), (12, "no type findings"),
        (24, "no type findings"), (25, "checked against ordinary regression"),
        (59, "checked against ordinary regression"), (60, "checked against mixed and robust regression"),
        (300, "checked, and widths tuned to its own record"),
    ],
)  # fmt: skip
def test_the_ladder_of_support(rows, label):
    assert fit_cost_model(history(rows)).support == label


def test_summary_is_the_best_cell_through_statsmodels():
    model = fit_cost_model(history(50))
    fit = model.fit
    best = fit.cells[fit.best]
    assert np.asarray(model.summary().params) == pytest.approx(best.mean, abs=1e-8)
    again = posterior_by_wls(fit.problem, fit.precisions[fit.best])
    assert again.cov == pytest.approx(best.cov, abs=1e-8)
    assert "ln deck area" in str(model.summary().summary())


def test_a_long_history_tunes_its_widths_a_little_and_a_short_one_not_at_all():
    assert fit_cost_model(history(299)).fit.touch_up == 1.0
    assert 0.85 < fit_cost_model(history(400)).fit.touch_up < 1.15
    model = fit_cost_model(history(400))
    assert model.percentile(asked(), model.predict(asked())["p95"]) == pytest.approx(0.95, abs=1e-10)


def test_needed_columns_are_named_when_absent():
    with pytest.raises(BadValue, match="letting_date, unit_cost or unit_cost_adjusted"):
        fit_cost_model(history(5).drop(columns=["letting_date", "unit_cost_adjusted"]))
    with pytest.raises(BadValue, match="adjusted prices only"):
        fit_cost_model(history(5), load_shipped_index())


def test_price_as_bid_is_found_from_the_index_ratio():
    index = load_shipped_index()
    rows = history(30)
    ratio = np.full(30, 1.25)
    bid = rows.assign(unit_cost=rows["unit_cost_adjusted"] / ratio).drop(columns="unit_cost_adjusted")
    adjusted = rows.assign(index_ratio=ratio)
    one, two = fit_cost_model(bid, index), fit_cost_model(adjusted, index)
    assert two.predict(asked())["p50"].to_numpy() == pytest.approx(one.predict(asked())["p50"].to_numpy(), rel=1e-9)
    three = fit_cost_model(bid.assign(index_ratio=ratio))
    assert three.rows.frame["unit_cost"].sum() == pytest.approx(rows["unit_cost_adjusted"].sum())


def test_unknown_values_of_the_structure_asked_for_widen_and_are_named():
    model = fit_cost_model(history(60))
    full = model.predict(asked())
    bare = model.predict(asked()[["superstructure", "letting_date", "deck_area_sf"]])
    assert _width(bare) > _width(full)
    assert "span and number of bidders not known" in bare["reason"].iloc[0]
    barest = model.predict(asked()[["superstructure"]])
    assert np.isfinite(barest[QUANTILES].to_numpy()).all()
    assert "deck area" in barest["reason"].iloc[0]


def test_predictions_keep_the_row_index_given():
    model = fit_cost_model(history(30))
    wanted = pd.concat([asked(), asked(span_ft=np.nan)]).set_axis(["x", "x"])
    assert list(model.predict(wanted).index) == ["x", "x"]
    assert model.predict(wanted.head(0)).empty
    assert len(model.percentile(wanted, [100.0, -3.0])) == 2
    assert np.isnan(model.percentile(wanted, [100.0, -3.0])[1])


def test_the_frame_given_is_left_as_it_was():
    rows = history(20)
    before = rows.copy(deep=True)
    fit_cost_model(rows).predict(rows)
    pd.testing.assert_frame_equal(rows, before)


def test_types_are_counted_most_first():
    counts = fit_cost_model(history(100)).types
    assert set(counts) == set(TYPES)
    assert list(counts.values()) == sorted(counts.values(), reverse=True)
    assert sum(counts.values()) == 100


def test_a_deck_far_beyond_those_on_record_is_not_judged():
    model = fit_cost_model(history(60))
    largest = history(60)["deck_area_sf"].max()
    assert model.predict(asked(deck_area_sf=largest * 2.8))["grade"].iloc[0] == "D"
    assert "2.8 times the largest on record" in model.predict(asked(deck_area_sf=largest * 2.8))["reason"].iloc[0]

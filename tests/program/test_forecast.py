"""The forecast of a program: reproducible, joint, and honest about its own error."""

from __future__ import annotations

import dataclasses

import numpy as np
import pandas as pd
import pytest

from bidlens.errors import BadValue, NotEnoughHistory
from bidlens.findings import Unavailable
from bidlens.model import fit_cost_model
from bidlens.program import dots_of, forecast, simulate
from bidlens.program.budget import against_budget, running_quantiles
from bidlens.program.words import answer, chances_of_100, millions, support
from tests.program.conftest import listed, price_frame

NO_LIST = Unavailable("no structure list is on record")


def found(county, bridges=None, **more):
    plan = county.plan(listed() if bridges is None else bridges)
    return forecast(plan, county.history, county.model, county.index, NO_LIST, **{"runs": 4000, **more})


def test_the_same_seed_gives_the_same_numbers_on_any_row_order(county):
    one = found(county, budget_usd=4e6)
    other = found(county, listed().sample(frac=1, random_state=3), budget_usd=4e6)
    pd.testing.assert_frame_equal(one.structures, other.structures)
    assert one.total == other.total
    assert one.budget.covered == other.budget.covered
    assert found(county, seed=2).total != one.total


def test_more_draws_move_the_p80_by_less_than_the_stated_error(county):
    few, many = found(county, runs=10_000), found(county, runs=200_000)
    assert abs(few.total.p80 - many.total.p80) < few.p80_error
    assert many.p80_error < few.p80_error / 3


def test_a_bridge_alone_costs_what_the_model_predicts(county):
    # Two routes to one distribution, see tests/model/test_joint.py; 5 % covers the difference in the tails.
    one = found(county, listed(1), runs=40_000).structures.iloc[0]
    asked = county.plan(listed(1)).frame[["superstructure", "deck_area_sf", "span_ft", "skew_deg", "letting_date"]]
    table = county.model.predict(asked).iloc[0]
    for name in ("p10", "p50", "p90", "mean"):
        assert one[name] == pytest.approx(table[name] * one["deck_area_sf"], rel=0.05)


def test_the_sum_of_p80s_is_above_the_p80_of_the_sum(county):
    seen = found(county)
    assert seen.sum_of_p80 > seen.total.p80
    text = next(finding.text for finding in seen.findings if finding.code == "p80_not_added")
    assert millions(seen.sum_of_p80) in text
    assert millions(seen.total.p80) in text
    assert seen.structures["running_p80"].iloc[-1] == pytest.approx(seen.total.p80)


def test_fixed_costs_shift_and_contingency_scales(county):
    plain = found(county)
    dearer = found(county, listed(engineering_usd=100_000))
    assert dearer.total.p50 == pytest.approx(plain.total.p50 + 600_000)
    plan = county.plan(listed(), contingency_ratio=0.10)
    scaled = forecast(plan, county.history, county.model, county.index, NO_LIST, runs=4000)
    assert scaled.total.p80 == pytest.approx(plain.total.p80 * 1.10)


def test_if_2021_23_came_again_the_contracts_rise_by_the_published_jump(county):
    # Index up 59 % in ten quarters (BTS on the NHCCI, 2020 Q4 to 2023 Q2): 1.59 ** (4 / 10) after four quarters.
    seen = found(county)
    ratio = 1.59**0.4 / (1 + seen.index_growth.per_year)
    assert seen.stress.p50 == pytest.approx(seen.total.p50 * ratio, rel=1e-9)
    assert seen.index_growth.to_quarter == "2027Q1"


def test_each_source_of_doubt_switched_off_narrows_the_range(county):
    table = found(county).drivers
    assert set(table["source"]) == {"index", "market", "model", "scatter"}
    assert table["narrower"].is_monotonic_decreasing
    assert table["narrower"].iloc[0] > 0.1
    plan = county.plan(listed())
    still = simulate(plan, county.model, 500, 1, ("index", "market", "model", "scatter")).totals
    assert np.ptp(still) < 1e-6 * still.mean()
    with pytest.raises(BadValue, match="no source of doubt is called moon"):
        simulate(plan, county.model, 500, 1, ("moon",))


def test_a_type_never_let_gets_a_number_that_is_marked(county):
    seen = found(county, listed(3, superstructure=["timber", "concrete slab", "concrete slab"]))
    assert seen.structures["grade"].iloc[0] == "D"
    assert np.isfinite(seen.structures["p50"]).all()
    assert any(finding.code == "too_thin" and "P-000" in finding.text for finding in seen.findings)
    assert "P-000 on history too thin to judge" in answer(seen)


def test_a_budget_by_hand():
    # three bridges that cost 1, 3 and 1 for certain
    dollars = np.tile([1.0, 3.0, 1.0], (200, 1))
    seen = against_budget(dollars, running_quantiles(dollars), 2.5)
    assert (seen.chance_covers, seen.covered) == (0.0, {50: 1, 80: 1, 90: 1})
    assert seen.by_priority == (0, 2)
    assert seen.most_bridges == (0, 2)
    all_of_them = against_budget(dollars, running_quantiles(dollars), 5.0)
    assert (all_of_them.chance_covers, all_of_them.covered[90], all_of_them.by_priority) == (1.0, 3, (0, 1, 2))


def test_the_surer_the_fewer(county):
    seen = found(county, budget_usd=2e6).budget
    assert seen.covered[90] <= seen.covered[80] <= seen.covered[50]
    assert len(seen.by_priority) >= seen.covered[80]
    assert len(seen.most_bridges) >= len(seen.by_priority)


@pytest.mark.parametrize("usd", [0, -5.0, float("nan"), float("inf")])
def test_a_budget_that_is_none_is_refused(county, usd):
    with pytest.raises(BadValue, match="a budget of"):
        found(county, budget_usd=usd)


@pytest.mark.parametrize(
    ("more", "told"), [({"runs": 10}, "10 runs"), ({"runs": 10**9}, "runs"), ({"seed": -1}, "seed")]
)
def test_runs_and_seed_out_of_bounds_are_refused(county, more, told):
    with pytest.raises(BadValue, match=told):
        found(county, **more)


def test_three_prices_are_too_few(county):
    few = dataclasses.replace(county, model=fit_cost_model(price_frame(3), county.index))
    with pytest.raises(NotEnoughHistory):
        found(few)


def test_fifty_dots_never_straddle_the_budget(county):
    totals = found(county).totals
    for budget in (None, float(np.quantile(totals, 0.65)), 1.0, 1e9):
        dots = dots_of(totals, budget)
        assert len(dots.x) == 50
        if budget is not None:
            assert (dots.within == (dots.x < budget)).all()
    assert dots_of(totals, float(np.quantile(totals, 0.65))).within.sum() == pytest.approx(32.5, abs=1)


def test_the_answer_is_a_sentence_with_counts(county):
    seen = found(county, budget_usd=1e7)
    assert answer(seen).startswith("The six bridges will most likely cost about $")
    assert answer(seen).endswith("; with 80 it covers them all.")
    assert "in more than 95 chances of 100" in answer(seen)
    assert "in dollars of 2027 Q1." in support(seen)
    assert found(county, listed(1)).structures.shape[0] == 1
    assert answer(found(county, listed(1))).startswith("The one bridge will most likely cost about $")
    assert (chances_of_100(0.66), chances_of_100(0.01)) == ("65 chances of 100", "fewer than 5 chances of 100")
    assert (millions(6_149_000), millions(604_000), millions(6.1e6, short=True)) == (
        "$6.1 million",
        "$600,000",
        "$6.1 M",
    )


def test_the_public_form_has_its_keys(county):
    record = found(county, budget_usd=4e6).as_dict()
    assert set(record) >= {
        "year", "dollars_of", "structures", "total", "budget", "rotation", "index_growth", "findings",
    }  # fmt: skip
    assert set(record["total"]) == {"p10", "p50", "p80", "p90", "mean"}
    assert set(record["budget"]) >= {"usd", "chance_covers", "structures_covered_at_p80"}
    assert set(record["rotation"]) >= {"inventory", "per_year", "implied_years", "needed_per_year"}
    assert {"p10", "p50", "p80", "p90"} <= set(record["structures"].columns)
    assert (record["year"], record["dollars_of"]) == (2027, "2027Q1")

"""Several years: dollars of each letting, yearly budgets, money carried over, the cost of waiting."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from bidlens.errors import BadValue
from bidlens.findings import Unavailable
from bidlens.program import forecast, futures_of, schedule
from bidlens.program.schedule import yearly
from tests.program.conftest import listed

NO_LIST = Unavailable("no structure list is on record")


def futures(county, years=4, bridges=None, runs=2000, seed=1):
    plan = county.plan(listed(8) if bridges is None else bridges, years=years)
    return futures_of(plan, county.model, runs, seed)


def found(county, budget, years=4, bridges=None, **more):
    plan = county.plan(listed(8) if bridges is None else bridges, years=years)
    return forecast(
        plan, county.history, county.model, county.index, NO_LIST, budget_usd=budget, **{"runs": 2000, **more}
    )


def test_a_future_asked_twice_is_the_same_and_waiting_follows_the_index(county):
    asked = futures(county)
    planned = asked.as_planned()
    again = asked.dollars(np.array([3, 3]))
    assert again[:, 0] == pytest.approx(planned[:, 3], rel=1e-12)
    assert again[:, 1] == pytest.approx(planned[:, 3], rel=1e-12)
    # One index path and one luck a future: a year's wait spreads far less than two lettings of their own would.
    ratio = np.log(asked.later([3])[:, 0] / planned[:, 3])
    assert np.std(ratio) < 0.5 * np.std(np.log(planned[:, 3] / planned[:, 4]))
    grown = 4 * np.log(county.model.levels.forecast(pd.Series([pd.Timestamp("2028-02-01")])).median[-1]) / 4
    grown -= np.log(county.model.levels.forecast(pd.Series([pd.Timestamp("2027-02-01")])).median[-1])
    assert np.median(ratio) == pytest.approx(grown, abs=0.02)


def test_the_owners_order_fills_the_years_and_nothing_outruns_the_money(county):
    laid_out = schedule(futures(county), yearly([1.2e6], 4))
    assert laid_out.years["bridges"].sum() + len(laid_out.left) == 8
    assert (laid_out.years["chance_covers"] >= 0.80 - 1e-9).all()
    first = laid_out.bridges[laid_out.bridges["year"] == 2027]
    assert first["structure_id"].iloc[0] == "P-000"
    assert list(laid_out.bridges["letting_date"].dropna().dt.strftime("%m-%d").unique()) == ["02-01"]
    assert (laid_out.bridges["letting_date"].dt.year == laid_out.bridges["year"]).all()
    assert (laid_out.bridges["year"] - 2027 == laid_out.bridges["postponed"]).all()


def test_money_by_hand_when_nothing_is_in_doubt(county, monkeypatch):
    # Bridges of 60, 60 and 50 dollars and 100 a year: one in the first, and the 40 left help to let two in the second.
    asked = futures(county, years=2, bridges=listed(3), runs=100)
    certain = np.array([60.0, 60.0, 50.0])
    monkeypatch.setattr(type(asked), "later", lambda self, places, years=1: np.tile(certain[places], (100, 1)))
    carried = schedule(asked, (100.0, 100.0))
    assert list(carried.bridges["year"]) == [2027, 2028, 2028]
    assert list(carried.years["unspent_p50"]) == [40.0, 30.0]
    lapsed = schedule(asked, (100.0, 100.0), carries_over=False)
    assert list(lapsed.bridges["year"].fillna(0)) == [2027, 2028, 0]
    assert lapsed.left == ("P-002",)
    assert list(lapsed.years["unspent_p50"]) == [40.0, 40.0]


def test_a_bridge_is_never_let_before_its_planned_year(county):
    dates = [pd.Timestamp(f"{2027 + place % 3}-05-01") for place in range(8)]
    laid_out = schedule(futures(county, bridges=listed(8, letting_date=dates)), yearly([9e6], 4))
    assert list(laid_out.bridges["year"]) == [date.year for date in dates]
    assert laid_out.waiting.p50 == 0.0
    assert laid_out.total == laid_out.planned


def test_the_same_seed_lays_out_the_same_years_in_any_row_order(county):
    one, other = found(county, 1.2e6), found(county, 1.2e6, bridges=listed(8).sample(frac=1, random_state=3))
    pd.testing.assert_frame_equal(one.schedule.years, other.schedule.years)
    pd.testing.assert_frame_equal(one.structures, other.structures)
    assert one.total == other.total
    assert found(county, 1.2e6, seed=2).total != one.total


def test_the_totals_are_those_of_the_years_in_the_same_futures(county):
    seen = found(county, 1.2e6)
    let = seen.schedule.bridges["year"].notna().sum()
    assert len(seen.structures) == let
    assert seen.total.p80 == pytest.approx(seen.schedule.total.p80, rel=1e-9)
    assert seen.schedule.years["mean"].sum() == pytest.approx(seen.total.mean, rel=1e-9)
    assert seen.budget.usd == pytest.approx(4.8e6)
    assert seen.schedule.waiting.p10 < seen.schedule.waiting.p50 < seen.schedule.waiting.p90
    assert seen.dollars_of.startswith("2027Q1-20")


def test_more_draws_move_the_p80_of_several_years_by_less_than_the_stated_error(county):
    few, many = found(county, None, runs=10_000), found(county, None, runs=100_000)
    assert abs(few.total.p80 - many.total.p80) < few.p80_error


def test_without_budgets_every_bridge_is_let_as_planned(county):
    seen = found(county, None)
    assert seen.schedule.years["bridges"].tolist() == [8, 0, 0, 0]
    assert seen.schedule.years["chance_covers"].isna().all()
    assert seen.budget is None


@pytest.mark.parametrize(
    ("budget", "years", "told"),
    [
        ([1e6, 2e6], 3, "2 budgets given for 3 years"),
        ([1e6, 0.0], 2, "a budget of 0 dollars"),
        (-5.0, 4, "a budget of -5 dollars"),
        (10.0, 4, "no bridge of the list fits a yearly budget"),
        (1e6, 7, "a program of 7 years"),
        (1e6, 0, "a program of 0 years"),
    ],
)
def test_what_cannot_be_laid_out_is_refused_in_clear_words(county, budget, years, told):
    with pytest.raises(BadValue, match=told):
        found(county, budget, years)

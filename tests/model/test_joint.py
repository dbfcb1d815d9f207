"""Bridges drawn together agree with each one's own prediction, and move together."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from bidlens.errors import BadValue, NotEnoughHistory
from bidlens.model import fit_cost_model, forecast_index
from bidlens.model.joint import SOURCES_OF_DOUBT
from bidlens.reference import load_shipped_index
from tests.model.histories import asked, history

DRAWS = 40_000


@pytest.fixture(scope="module")
def bid() -> pd.DataFrame:
    return history(40).rename(columns={"unit_cost_adjusted": "unit_cost"})


@pytest.fixture(scope="module")
def model(bid):
    return fit_cost_model(bid, load_shipped_index())


@pytest.mark.parametrize(
    "more",
    [
        {},
        {"superstructure": "buried structure"},
        {"letting_date": pd.Timestamp("2027-08-01")},
        {"letting_date": pd.Timestamp("2010-08-01")},
        {"span_ft": 190.0},
        {"span_ft": np.nan, "bidders": np.nan},
    ],
)
def test_one_bridge_drawn_often_is_its_own_prediction(model, more):
    # Two routes to one distribution. A prediction is one Student-t matched to a mixture, so its tails differ by a
    # little; the middle half and the 8-in-10 range must agree.
    drawn = model.draw(asked(**more), DRAWS, np.random.default_rng(3))[:, 0]
    table = model.predict(asked(**more)).iloc[0]
    for name, probability in (("p10", 0.10), ("p25", 0.25), ("p50", 0.50), ("p75", 0.75), ("p90", 0.90)):
        assert np.quantile(drawn, probability) == pytest.approx(table[name], rel=0.05)


def test_a_long_history_draws_as_wide_as_it_predicts():
    # From 300 rows on interval widths carry the touch-up ; draws must carry it too. The factor of
    # the fit itself is close to 1, so a larger one is set by hand as well.
    long = fit_cost_model(history(320))
    assert long.fit is not None
    assert long.fit.touch_up != 1.0
    for factor in (long.fit.touch_up, 1.3):
        told = replace(long, fit=replace(long.fit, touch_up=factor))
        drawn = told.draw(asked(), DRAWS, np.random.default_rng(3))[:, 0]
        table = told.predict(asked()).iloc[0]
        width = np.log(np.quantile(drawn, 0.9) / np.quantile(drawn, 0.1))
        assert width == pytest.approx(np.log(table["p90"] / table["p10"]), rel=0.04)


def test_bridges_of_one_future_move_together(model):
    alike = pd.concat([asked(superstructure="buried structure")] * 2, ignore_index=True)
    logs = np.log(model.draw(alike, 8000, np.random.default_rng(4)))
    new_type = np.corrcoef(logs.T)[0, 1]
    other = pd.concat([asked(), asked(superstructure="timber", letting_date=pd.Timestamp("2012-06-01"))])
    apart = np.corrcoef(np.log(model.draw(other, 8000, np.random.default_rng(4))).T)[0, 1]
    assert new_type > 0.3
    assert apart < new_type


def test_a_total_is_wider_than_bridges_drawn_one_by_one(model):
    program = pd.concat([asked(letting_date=pd.Timestamp("2027-05-01"))] * 20, ignore_index=True)
    rng = np.random.default_rng(5)
    together = model.draw(program, 5000, rng).sum(axis=1)
    one_by_one = np.column_stack([model.draw(program.head(1), 5000, rng)[:, 0] for _ in range(20)]).sum(axis=1)
    assert np.std(np.log(together)) > 1.5 * np.std(np.log(one_by_one))


def test_index_paths_spread_as_the_forecast_says(bid):
    # With the scatter of single lettings and the fit held equal, what the index adds is its forecast variance, and the
    # doubt about its mean growth on top.
    index = load_shipped_index()
    forecast = forecast_index(index, 8)
    model = fit_cost_model(bid, index)
    later = asked(letting_date=pd.Timestamp("2028-02-01"))
    variance = np.var(np.log(model.draw(later, DRAWS, np.random.default_rng(6))))
    frozen = model.levels.forecast_variance(pd.Series([pd.Timestamp("2028-02-01")]))[0]
    assert frozen == pytest.approx(forecast.log_sd[-1] ** 2)
    assert variance > frozen


def test_the_same_seed_draws_the_same(model):
    one, two = (model.draw(asked(), 50, np.random.default_rng(7)) for _ in range(2))
    assert one.tobytes() == two.tobytes()
    assert model.draw(asked().head(0), 10, np.random.default_rng(7)).shape == (10, 0)
    assert np.isnan(model.draw(asked(letting_date=pd.Timestamp("1990-01-01")), 5, np.random.default_rng(7))).all()


def test_nothing_is_drawn_from_three_rows():
    with pytest.raises(NotEnoughHistory):
        fit_cost_model(history(3)).draw(asked(), 10, np.random.default_rng(8))


@pytest.mark.parametrize("source", SOURCES_OF_DOUBT)
def test_a_source_of_doubt_held_at_its_middle_narrows_a_draw(model, source):
    later = asked(letting_date=pd.Timestamp("2027-08-01"))
    whole = np.log(model.draw(later, DRAWS, np.random.default_rng(9)))
    held = np.log(model.draw(later, DRAWS, np.random.default_rng(9), (source,)))
    assert np.var(held) < np.var(whole)
    assert np.median(held) == pytest.approx(np.median(whole), abs=0.02)


def test_a_source_of_doubt_nobody_knows_is_refused(model):
    with pytest.raises(BadValue, match="Use: index, market, model, scatter"):
        model.draw(asked(), 10, np.random.default_rng(9), ("moon",))


def test_another_question_about_a_future_leaves_the_rest_of_it_as_it_was(model):
    # A bridge let later, or as a type never let, is asked about beside the first: what the first costs does not move,
    # and the two share the luck of one letting.
    one = asked(letting_date=pd.Timestamp("2027-05-01"))
    later = asked(letting_date=pd.Timestamp("2031-05-01"))
    unknown = asked(letting_date=pd.Timestamp("2027-05-01"), superstructure="buried structure")
    together = pd.concat([one, later, unknown], ignore_index=True)
    alone = model.draw(one, 500, np.random.default_rng(7), letting=np.zeros(1, dtype=int), lettings=1)
    beside = model.draw(together, 500, np.random.default_rng(7), letting=np.zeros(3, dtype=int), lettings=1)
    assert beside[:, 0] == pytest.approx(alone[:, 0], rel=1e-12)
    apart = model.draw(together, 500, np.random.default_rng(7))
    assert np.std(np.log(beside[:, 1] / beside[:, 0])) < np.std(np.log(apart[:, 1] / apart[:, 0]))

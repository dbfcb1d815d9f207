"""The doubt in what added work costs, and what it does to the share of lettings that would come in lower."""

from __future__ import annotations

import math
from decimal import Decimal

import numpy as np
import pytest
from scipy import stats

from bidlens.proposal.spread import POINTS, chance_below, spread_of, total_points
from bidlens.reference import CostIndex
from tests.proposal.conftest import WORK, Check, County, Letter

PLAIN = {"rows_assumed": 4, "scatter_assumed": 0.35}


def test_the_scale_of_one_kind_of_work_by_hand() -> None:
    # ln of 20, 40, 80 about ln 40: -ln 2, 0, +ln 2. df 4 + 3 - 1 = 6; (4 x 0.35^2 + 2 ln2^2) / 6 = 0.24182;
    # times 1 + pi / 6 = 0.36843, whose root is 0.60699.
    spread = spread_of(np.array([20.0, 40.0, 80.0]), ("deck", "x"), **PLAIN)
    assert spread.middle == 40
    assert spread.df == 6
    assert spread.log_scale == pytest.approx(0.60699, abs=1e-4)


def test_the_points_are_the_log_t_they_stand_for() -> None:
    spread = spread_of(np.array([30.0, 34.0, 36.0, 40.0, 44.0]), ("deck", "x"), **PLAIN)
    expected = 36 * np.exp(spread.log_scale * stats.t.ppf([0.1, 0.5, 0.9], spread.df))
    assert np.quantile(spread.points(), [0.1, 0.5, 0.9]) == pytest.approx(expected, rel=0.01)


def test_a_sum_of_points_agrees_with_drawing() -> None:
    deck = spread_of(np.array([30.0, 34.0, 36.0, 40.0, 44.0]), ("deck", "x"), **PLAIN)
    rail = spread_of(np.array([18.0, 22.0, 25.0]), ("railing", "x"), **PLAIN)
    rng = np.random.default_rng(5)
    drawn = 100 + sum(s.middle * np.exp(s.log_scale * rng.standard_t(s.df, 200_000)) for s in (deck, rail))
    total = total_points(100.0, [deck, rail])
    assert len(total) == POINTS
    assert np.quantile(total, [0.1, 0.5, 0.9]) == pytest.approx(np.quantile(drawn, [0.1, 0.5, 0.9]), rel=0.005)


def test_chance_below_agrees_with_counting_pairs() -> None:
    first, second = np.array([1.0, 3.0, 3.0]), np.array([2.0, 3.0])
    # nine... six pairs by hand: 1<2, 1<3, 3>2, 3=3, 3>2, 3=3: (2 + 2 x 1/2) / 6
    assert chance_below(first, second) == pytest.approx(0.5)
    assert chance_below(first, second) + chance_below(second, first) == pytest.approx(1)


def test_uncertain_work_pulls_the_share_toward_the_middle(
    county: County, letter: Letter, check: Check, flat_index: CostIndex
) -> None:
    rng = np.random.default_rng(3)
    for _ in range(14):
        level = math.exp(rng.normal(0, 0.12))
        work = {name: price * level * math.exp(rng.normal(0, 0.35)) for name, price in WORK.items()}
        county.bridge(work)
    history = county.history(flat_index)
    offer = check(
        letter(scope=("furnish", "deliver", "set", "bearings"), price_per_sf=Decimal(20)), history, index=flat_index
    )
    firm = check(letter(price_per_sf=Decimal(str(round(offer.like_for_like_per_sf, 5)))), history, index=flat_index)
    assert offer.percentile is not None
    assert firm.percentile is not None
    assert firm.like_for_like_per_sf == pytest.approx(offer.like_for_like_per_sf)
    assert firm.percentile < offer.percentile < 0.5
    assert len(firm.offer.points()) == 1


def test_the_share_of_a_firm_price_is_the_models_own(
    county: County, letter: Letter, check: Check, flat_index: CostIndex
) -> None:
    from bidlens.model import fit_cost_model
    from bidlens.proposal.expected import offer_row

    history = county.usual(12).history(flat_index)
    result = check(letter(), history, index=flat_index)
    model = fit_cost_model(history.frame, index=flat_index)
    row = offer_row(result.offer.geometry, result.offer.kind, result.offer.dollars)
    assert result.percentile == pytest.approx(float(model.percentile(row, result.like_for_like_per_sf)[0]), abs=1e-9)

"""Several offers beside each other: the chance that one is cheaper, noise named as noise, and the type effect."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import numpy as np
import pytest

from bidlens.errors import BadValue
from bidlens.model import CostModel, fit_cost_model
from bidlens.normalizer import UnitCostHistory
from bidlens.proposal import ProposalCheck, side_by_side, usual_price
from bidlens.proposal.side_by_side import chance_cheaper
from bidlens.proposal.usual_price import break_even_usd, questions
from bidlens.reference import CostIndex
from tests.proposal.conftest import Check, County, Letter

BEAMS_ONLY = ("furnish", "deliver", "set", "bearings")


@pytest.fixture(scope="module")
def history(flat_index: CostIndex) -> UnitCostHistory:
    return County().usual(16).usual(12, kind="adjacent box beam", seed=4).history(flat_index)


@pytest.fixture(scope="module")
def model(history: UnitCostHistory, flat_index: CostIndex) -> CostModel:
    return fit_cost_model(history.frame, index=flat_index)


@pytest.fixture
def run(letter: Letter, check: Check, history: UnitCostHistory, flat_index: CostIndex) -> Any:
    def one(name: str, price: float, **changes: Any) -> ProposalCheck:
        fields = {"proposal_id": name, "supplier": name, "price_per_sf": Decimal(str(price))} | changes
        return check(letter(**fields), history, index=flat_index)

    return one


def test_82_against_84_dollars_is_noise_though_two_dollars_are_two_dollars(run: Any, model: CostModel) -> None:
    # Common practice, no source: 82 is 2.4 % below 84 (2 / 84), far inside what two lettings of one bridge differ by.
    side = side_by_side([run("Alder", 84), run("Birch", 82)], model)
    (pair,) = side.pairs
    assert (pair.first, pair.second) == ("Birch", "Alder")
    assert pair.difference_per_sf == pytest.approx(-2)
    assert pair.difference_ratio == pytest.approx(-0.0238, abs=1e-4)
    assert pair.chance_first_cheaper == 1
    assert pair.noise
    assert "2.4%" in pair.text
    assert "noise" in pair.text


def test_a_wide_difference_is_not_noise(run: Any, model: CostModel) -> None:
    (pair,) = side_by_side([run("Alder", 140), run("Birch", 90)], model).pairs
    assert not pair.noise
    assert "noise" not in pair.text


def test_work_both_leave_out_at_one_price_leaves_no_doubt_between_them(run: Any, model: CostModel) -> None:
    side = side_by_side([run("Alder", 70, scope=BEAMS_ONLY), run("Birch", 75, scope=BEAMS_ONLY)], model)
    assert side.pairs[0].chance_first_cheaper == 1


def test_the_chance_agrees_with_drawing_the_missing_work(run: Any) -> None:
    whole, beams = run("Alder", 138), run("Birch", 72, scope=BEAMS_ONLY)
    rng = np.random.default_rng(11)
    total = np.full(200_000, 72.0)
    for step in beams.adjustments:
        total += step.spread.middle * np.exp(step.spread.log_scale * rng.standard_t(step.spread.df, len(total)))
    assert chance_cheaper(beams.offer, whole.offer) == pytest.approx((total < 138).mean(), abs=0.01)
    both = chance_cheaper(beams.offer, whole.offer) + chance_cheaper(whole.offer, beams.offer)
    assert both == pytest.approx(1)


def test_the_type_effect_is_the_fits_own_contrast(run: Any, model: CostModel) -> None:
    box = run("Cedar", 130, superstructure="adjacent box beam")
    (effect,) = side_by_side([run("Alder", 130), box], model).type_effects
    table = model.coefficients.set_index("term")["mean"]
    by_hand = np.exp(table["type: rolled steel beam"] - table["type: adjacent box beam"])
    assert effect.ratio == pytest.approx(by_hand)
    assert effect.low < effect.ratio < effect.high
    assert "8 in 10 chances" in effect.text
    # Both types were invented from one law, so the record must not tell them apart.
    assert "cannot tell the two types apart" in effect.text


def test_an_offer_that_could_not_be_made_like_for_like_is_not_ranked(
    run: Any, letter: Letter, check: Check, flat_index: CostIndex
) -> None:
    few = County().bridge({"beams": 90.0, "deck": 40.0}).bridge({"beams": 92.0, "deck": 41.0})
    history = few.bridge({"beams": 88.0}).bridge({"beams": 85.0, "deck": 44.0, "railing": 9.0}).history(flat_index)
    beams = check(letter(scope=("furnish", "deliver", "set"), proposal_id="b"), history, index=flat_index)
    whole = check(letter(proposal_id="w"), history, index=flat_index)
    side = side_by_side([beams, whole], None)
    unknown = [one for one in side.offers if one.middle is None]
    assert len(side.pairs) == (0 if unknown else 1)
    assert all("not ranked" in doubt or "leaves" in doubt for doubt in side.doubts)


@pytest.mark.parametrize("n", [1, 7])
def test_two_to_six_offers(run: Any, model: CostModel, n: int) -> None:
    with pytest.raises(BadValue, match="side by side"):
        side_by_side([run("Alder", 100)] * n, model)


def test_the_usual_price_is_where_the_verdict_turns(run: Any) -> None:
    beams = run("Alder", 72, scope=BEAMS_ONLY)
    ends = usual_price(beams)
    assert ends is not None
    low, high = (end / beams.deck_area_sf for end in ends)
    assert run("Alder", low * 1.005, scope=BEAMS_ONLY).verdict.code == "usual"
    assert run("Alder", low * 0.99, scope=BEAMS_ONLY).verdict.code == "below_usual"
    assert run("Alder", high * 0.995, scope=BEAMS_ONLY).verdict.code == "usual"
    assert run("Alder", high * 1.01, scope=BEAMS_ONLY).verdict.code == "above_usual"


def test_the_break_even_price_is_level_with_the_best_other(run: Any) -> None:
    beams, whole, dear = run("Alder", 90, scope=BEAMS_ONLY), run("Birch", 140), run("Cedar", 150)
    even = break_even_usd(beams, [whole, dear])
    assert even is not None
    again = run("Alder", even / beams.deck_area_sf, scope=BEAMS_ONLY)
    assert again.like_for_like_per_sf == pytest.approx(140, abs=1e-3)


def test_questions_come_from_the_findings_each_once(run: Any) -> None:
    asked = questions(run("Alder", 90, scope=("furnish",), scope_unclear=("complete",), fob="plant"))
    assert len(asked) == len(set(asked)) >= 3
    assert all(one.startswith("Ask") for one in asked)
    assert any("delivered to the site" in one for one in asked)


def test_beams_explain_most_of_a_single_bids_overrun(run: Any) -> None:
    # Greene County, Missouri (news report, January 2023): lone bid 898,000, estimate 750,000; precast deck beams
    # estimated at 175,000 came in at about 300,000. By hand: +19.73 %; 125,000 of 148,000 is 84.5 %.
    rest = ("deck", "railing", "wearing_surface", "joints")

    def whole(name: str, beams: int, total: int) -> ProposalCheck:
        own = {"own_forces_usd": Decimal(total - beams), "own_forces_scope": rest}
        return run(name, 1, price_usd=Decimal(beams), price_per_sf=None, scope=BEAMS_ONLY, **own)

    estimate, bid = whole("Estimate", 175_000, 750_000), whole("Bid", 300_000, 898_000)
    overrun = (bid.like_for_like_per_sf - estimate.like_for_like_per_sf) * bid.deck_area_sf
    assert overrun == pytest.approx(148_000)
    assert bid.like_for_like_per_sf / estimate.like_for_like_per_sf - 1 == pytest.approx(0.1973, abs=5e-5)
    assert (bid.quoted_usd - estimate.quoted_usd) / overrun == pytest.approx(0.845, abs=5e-4)

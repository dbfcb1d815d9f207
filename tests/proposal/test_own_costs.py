"""Own forces and the engineer's own figures beside the county's medians."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from bidlens.proposal import ProposalCheck
from bidlens.reference import CostIndex
from tests.proposal.conftest import WORK, Check, County, Letter

BEAMS_ONLY = ("furnish", "deliver", "set", "bearings")


def _line(check: ProposalCheck, what: str) -> Any:
    return next(step for step in check.adjustments if step.what == what)


def _codes(check: ProposalCheck) -> list[str]:
    return [finding.code for finding in check.findings]


def _auglaize(letter: Letter, **changes: Any) -> Any:
    """Auglaize County, Ohio (newspaper report): seven box beams, 36 x 28 ft, bids 45,825 and 55,200, estimate 52,000,
    county forces 49,500 more."""
    fields: dict[str, Any] = {
        "price_usd": Decimal(45_825), "price_per_sf": None, "length_ft": 36.0, "scope": BEAMS_ONLY,
        "superstructure": "adjacent box beam",
    }  # fmt: skip
    return letter(**(fields | changes))


def test_own_forces_are_a_line_and_cover_the_work_they_are_named_for(
    county: County, letter: Letter, check: Check, flat_index: CostIndex
) -> None:
    for _ in range(6):
        county.bridge({"beams": 45.0, "bearings": 2.0, "deck": 30.0, "railing": 20.0}, kind="adjacent box beam")
    offer = _auglaize(letter, own_forces_usd=Decimal(49_500), own_forces_scope=("deck", "railing"))
    result = check(offer, county.history(flat_index), index=flat_index)
    # By hand: 36 x 28 = 1,008 sf; 45,825 / 1,008 = 45.46; 49,500 / 1,008 = 49.11; together 95,325 / 1,008 = 94.57
    assert result.quoted_per_sf == pytest.approx(45.46, abs=0.005)
    assert _line(result, "Own forces").per_sf == pytest.approx(49.11, abs=0.005)
    assert result.like_for_like_per_sf == pytest.approx(94.57, abs=0.005)
    assert [step.what for step in result.adjustments] == ["Own forces"]
    # The other bid of the report: 55,200 / 1,008 = 54.76; 9,375 left on the table is 20.46 % of the low bid, which is
    # 11.88 % under the estimate of 52,000.
    second = check(_auglaize(letter, price_usd=Decimal(55_200)), county.history(flat_index), index=flat_index)
    assert second.quoted_per_sf == pytest.approx(54.76, abs=0.005)
    assert (second.quoted_usd - result.quoted_usd) / result.quoted_usd == pytest.approx(0.2046, abs=5e-5)
    assert 1 - result.quoted_usd / 52_000 == pytest.approx(0.1188, abs=5e-5)


def test_own_forces_without_their_work_are_added_with_a_question(
    county: County, letter: Letter, check: Check, flat_index: CostIndex
) -> None:
    offer = letter(scope=BEAMS_ONLY, own_forces_usd=Decimal(17_360))
    result = check(offer, county.usual(6).history(flat_index), index=flat_index)
    assert _line(result, "Own forces").per_sf == pytest.approx(10)  # 17,360 / (62 x 28)
    assert "Railing" in [step.what for step in result.adjustments]
    assert "own_forces_scope_missing" in _codes(result)


def test_the_engineers_own_figure_wins_over_the_countys_median_and_says_so(
    county: County, letter: Letter, check: Check, flat_index: CostIndex
) -> None:
    for _ in range(5):
        county.bridge(WORK)
    offer = letter(scope=BEAMS_ONLY, own_figures=(("deck", Decimal(52_080)),))
    result = check(offer, county.history(flat_index), index=flat_index)
    assert _line(result, "Deck").per_sf == pytest.approx(30)  # 52,080 / 1,736
    assert _line(result, "Deck").source == ("your own figure, $52,080; our 5 rolled steel beam bridges: median $36/sf")
    assert "Deck slab, reinforcement" not in [step.what for step in result.adjustments]


def test_an_own_figure_for_setting_closes_that_gap(
    county: County, letter: Letter, check: Check, flat_index: CostIndex
) -> None:
    for _ in range(5):
        county.bridge(WORK)
    history = county.history(flat_index, "beams")
    open_gap = check(letter(scope=("furnish", "deliver")), history, index=flat_index)
    closed = check(
        letter(scope=("furnish", "deliver"), own_figures=(("set", Decimal(12_000)),)), history, index=flat_index
    )
    assert "scope_gap_setting" in _codes(open_gap)
    assert "scope_gap_setting" not in _codes(closed)
    assert _line(closed, "Setting").per_sf == pytest.approx(12_000 / 1_736)


def test_an_own_figure_for_work_the_letter_includes_is_not_added_twice(
    county: County, letter: Letter, check: Check, flat_index: CostIndex
) -> None:
    offer = letter(own_figures=(("railing", Decimal(30_000)),))
    result = check(offer, county.usual(6).history(flat_index), index=flat_index)
    assert "Railing" not in [step.what for step in result.adjustments]
    assert "own_figure_not_used" in _codes(result)


def test_own_costs_are_in_dollars_of_the_letter(county: County, letter: Letter, check: Check, index: CostIndex) -> None:
    import datetime as dt

    for _ in range(5):
        county.bridge(WORK, date="2025-11-05")
    offer = letter(
        scope=BEAMS_ONLY,
        delivery=dt.date(2025, 2, 3),
        price_per_sf=Decimal(100),
        own_figures=(("deck", Decimal(17_360)),),
    )
    result = check(offer, county.history(index), index=index)
    assert result.adjustments[-1].per_sf == pytest.approx((100 + 10) * (1.01**3 - 1))

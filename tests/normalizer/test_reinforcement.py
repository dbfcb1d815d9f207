"""Bars for deck and substructure together, split by concrete volume. Worked by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bidlens.normalizer.reinforcement import concrete_volumes, deck_share, split_reinforcement
from tests.normalizer.conftest import BidTab


def test_equal_volumes_give_the_deck_2_2_parts_of_3_2() -> None:
    assert deck_share(100, 100) == pytest.approx(2.2 / 3.2)


def test_the_weight_agrees_with_the_bar_densities_it_was_measured_from() -> None:
    # Measured on public low bids: 193 lb/cy of deck and 89 lb/cy of substructure (234 contracts, one state)
    deck_cy, substructure_cy = 180.0, 140.0
    by_density = 193 * deck_cy / (193 * deck_cy + 89 * substructure_cy)
    assert deck_share(deck_cy, substructure_cy) == pytest.approx(by_density, abs=0.01)


def test_a_schedule_with_volumes_is_split_by_hand(tab: BidTab) -> None:
    # 150 cy deck, 110 cy substructure: 2.2 x 150 = 330; 330 / 440 = 0.75. $40,000 of bars: 30,000 and 10,000.
    items = (
        tab.line("deck", 90_000, pay_unit="CY", quantity=150, description="Concrete, superstructure")
        .line("substructure", 70_000, pay_unit="CY", quantity=110, description="Concrete, abutment")
        .line("substructure", 9_000, pay_unit="CY", quantity=60, description="Concrete, subfooting")
        .line("foundation", 9_000, pay_unit="CY", quantity=60, description="Concrete, tremie seal")
        .line("reinforcement_unsplit", 40_000, pay_unit="LB", quantity=20_000)
        .frame()
    )
    split = split_reinforcement(items)
    bars = split.items[split.items["extension"] == 40_000]
    dollars = (bars["extension"] * bars["split_share"]).groupby(bars["work_category"]).sum()
    assert dollars.to_dict() == pytest.approx({"deck": 30_000, "substructure": 10_000})
    assert split.findings[0].code == "reinforcement_split"
    assert "75%" in split.findings[0].text
    assert "150 cy" in split.findings[0].text
    assert "110 cy" in split.findings[0].text


def test_night_lighting_billed_by_the_cubic_yard_is_no_concrete(tab: BidTab) -> None:
    items = (
        tab.line("deck", 90_000, pay_unit="CY", quantity=150, description="Superstructure concrete")
        .line("deck", 3_000, pay_unit="CY", quantity=150, description="Bridge lighting, furnish and remove")
        .line("substructure", 70_000, pay_unit="CY", quantity=110, description="Substructure concrete")
        .line("reinforcement_unsplit", 40_000)
        .frame()
    )
    assert concrete_volumes(items)["deck_cy"].tolist() == [150]


def test_without_cubic_yards_of_one_side_nothing_is_split_and_the_dollars_are_said(tab: BidTab) -> None:
    items = (
        tab.line("deck", 90_000, pay_unit="SF", quantity=1_800)
        .line("substructure", 70_000, pay_unit="CY", quantity=110)
        .line("reinforcement_unsplit", 40_000)
        .frame()
    )
    split = split_reinforcement(items)
    assert split.items["split_share"].eq(1).all()
    assert split.findings[0].code == "reinforcement_not_split"
    assert split.findings[0].severity == "check"
    assert "$40,000" in split.findings[0].text


def test_bars_where_only_one_side_is_built_are_all_its_own(tab: BidTab) -> None:
    items = tab.line("substructure", 7e4, pay_unit="CY", quantity=110).line("reinforcement_unsplit", 4e4).frame()
    split = split_reinforcement(items).items
    assert split["work_category"].tolist() == ["substructure", "substructure"]


def test_each_schedule_is_split_by_its_own_volumes(tab: BidTab) -> None:
    for schedule, deck_cy in (("A", 50), ("B", 500)):
        tab.line("deck", 9e4, pay_unit="CY", quantity=deck_cy, schedule=schedule)
        tab.line("substructure", 7e4, pay_unit="CY", quantity=110, schedule=schedule)
        tab.line("reinforcement_unsplit", 4e4, schedule=schedule)
    volumes = concrete_volumes(tab.frame())
    assert volumes["deck_share"].tolist() == pytest.approx([110 / 220, 1100 / 1210])


def test_no_volumes_at_all_is_no_share() -> None:
    assert math.isnan(deck_share(0, 0))


@given(st.floats(0.1, 1e5), st.floats(0.1, 1e5), st.floats(1.01, 10))
def test_more_deck_concrete_never_lowers_the_deck_share(deck: float, sub: float, times: float) -> None:
    assert 0 < deck_share(deck, sub) < deck_share(deck * times, sub) < 1

"""Prices in other units, clear widths, F.O.B., validity and unclear words: each gets the right words."""

from __future__ import annotations

import datetime as dt
import math
from decimal import Decimal
from typing import Any

import pandas as pd
import pytest

from bidlens.errors import BadValue
from bidlens.normalizer import UnitCostHistory
from bidlens.proposal import Proposal
from bidlens.proposal.geometry import offer_geometry
from bidlens.reference import CostIndex
from tests.proposal.conftest import Check, County, Letter


@pytest.fixture(scope="module")
def history(index: CostIndex) -> UnitCostHistory:
    return County().usual(14).history(index)


def _codes(result: Any) -> list[str]:
    return [finding.code for finding in result.findings]


@pytest.mark.parametrize(
    ("price", "usd"),
    [
        ({"price_usd": Decimal(243_040)}, 243_040),
        ({"price_per_sf": Decimal(140)}, 243_040),  # 62 x 28 = 1,736 sf
        ({"price_per_beam": Decimal(34_720), "beams": 7}, 243_040),
        ({"price_per_lb": Decimal("4.96"), "weight_lb": 49_000.0}, 243_040),
    ],
)
def test_offers_by_the_lump_the_square_foot_the_beam_and_the_pound_are_one_price(
    letter: Letter, check: Check, history: UnitCostHistory, price: dict[str, Any], usd: float
) -> None:
    result = check(letter(**({"price_per_sf": None} | price)), history)
    assert result.quoted_usd == pytest.approx(usd)
    assert result.quoted_per_sf == pytest.approx(140)


@pytest.mark.parametrize(("name", "needed"), [("price_per_beam", "beams"), ("price_per_lb", "weight_lb")])
def test_a_price_by_the_beam_or_pound_needs_what_it_is_multiplied_with(letter: Letter, name: str, needed: str) -> None:
    with pytest.raises(BadValue, match=f"{name} is given without {needed}"):
        letter(price_per_sf=None, **{name: Decimal(10)})


def test_two_prices_that_differ_are_said(letter: Letter, check: Check, history: UnitCostHistory) -> None:
    result = check(
        letter(price_usd=Decimal(243_040), price_per_sf=None, price_per_beam=Decimal(40_000), beams=7), history
    )
    assert "prices_differ" in _codes(result)
    said = next(finding for finding in result.findings if finding.code == "prices_differ")
    assert "price by the beam that makes $161.29/sf" in said.text  # 280,000 / 1,736


def test_an_offer_past_its_last_day_is_said_and_one_in_time_is_not(
    letter: Letter, check: Check, history: UnitCostHistory
) -> None:
    offer = letter(valid_until=dt.date(2025, 10, 10))
    assert "offer_expired" in _codes(check(offer, history, today=dt.date(2025, 10, 11)))
    assert "offer_expired" not in _codes(check(offer, history, today=dt.date(2025, 10, 10)))
    assert "offer_expired" not in _codes(check(offer, history))


def test_fob_plant_asks_for_freight(letter: Letter, check: Check, history: UnitCostHistory) -> None:
    # common practice, no source: F.O.B. plant leaves freight to the buyer
    result = check(letter(fob="plant", scope=("furnish", "set", "bearings")), history)
    assert {"fob_plant", "scope_gap_setting"} <= set(_codes(result))
    assert "fob_and_delivered" in _codes(check(letter(fob="plant"), history))


def test_unclear_words_become_a_question(letter: Letter, check: Check, history: UnitCostHistory) -> None:
    result = check(letter(scope=("furnish", "deliver", "set"), scope_unclear=("complete package",)), history)
    said = next(finding for finding in result.findings if finding.code == "scope_unclear")
    assert "“complete package”" in said.text
    assert said.do.startswith("Ask Harrier Steel Works: does the price include the deck, bearings")


# -- width ---------------------------------------------------------------------------------------------------------


def _listed(**given: float) -> pd.Series:
    return pd.Series({"length_ft": 100.0, "width_ft": 30.0, "spans": 1.0, "span_ft": 98.0, "skew_deg": 0.0} | given)


def _clear(letter: Letter, **changes: Any) -> Proposal:
    return letter(**({"width_ft": None, "clear_width_ft": 24.0} | changes))


def test_a_clear_width_is_converted_when_the_letter_says_by_how_much(letter: Letter) -> None:
    # 24.0 ft clear on 26.67 ft out to out: dividing by the roadway's area overstates $/sf by 11.1 % (worked by hand
    # from the definition of deck area in 23 CFR 490.411, length times deck width out to out).
    geometry = offer_geometry(_clear(letter, clear_width_adds_ft=2 + 8 / 12), None)
    assert geometry.width_ft == pytest.approx(26.667, abs=0.001)
    assert geometry.deck_area_sf / (24 * 62) == pytest.approx(1.111, abs=0.001)
    assert "clear_width_converted" in [finding.code for finding in geometry.findings]


def test_a_clear_width_alone_is_a_finding_and_the_lists_width_is_used_where_there_is_one(letter: Letter) -> None:
    alone = offer_geometry(_clear(letter), None)
    assert alone.width_ft == 24
    assert "too high" in next(f for f in alone.findings if f.code == "clear_width_not_converted").text
    listed = offer_geometry(_clear(letter), _listed())
    assert listed.width_ft == 30
    assert "clear_width_not_converted" in [finding.code for finding in listed.findings]


def test_skew_changes_no_deck_area_and_a_width_along_it_is_told(letter: Letter) -> None:
    # Length along the centerline times width square to it is the parallelogram's area: 100 x 30 at 30 degrees is
    # 3,000 sf; 30 / cos 30 = 34.64 ft measured along the skew would make 3,464 sf, 15.5 % too large.
    square = offer_geometry(letter(length_ft=100.0, width_ft=30.0, skew_deg=30.0), _listed(skew_deg=30.0))
    assert square.deck_area_sf == 3000
    assert "width_along_skew" not in [finding.code for finding in square.findings]
    along = offer_geometry(letter(length_ft=100.0, width_ft=34.64, skew_deg=30.0), _listed(skew_deg=30.0))
    assert along.deck_area_sf == pytest.approx(3000 / math.cos(math.radians(30)), abs=1)
    assert "15.5% too large" in next(f for f in along.findings if f.code == "width_along_skew").text

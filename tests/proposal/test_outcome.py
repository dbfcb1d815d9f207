"""Offered beside paid, and a supplier's offers over time: by hand on a county without scatter or price movement."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from bidlens.findings import Unavailable
from bidlens.proposal.letter import Letter as OnRecord
from bidlens.proposal.outcome import Outcome, Paid, paid_beside_offer
from bidlens.proposal.over_time import Beside, beside_expected, of_a_supplier
from bidlens.reference import CostIndex
from tests.proposal.conftest import WORK, Check, County, Letter

DAY = dt.date(2026, 4, 2)
#: 70 + 4 + 36 + 22 + 5, $/sf: the superstructure basis of WORK.
USUAL = 137.0


def test_offer_and_low_bid_stand_on_one_basis_with_both_sources(
    county: County, letter: Letter, check: Check, flat_index: CostIndex
) -> None:
    county.usual(12, scatter=0.0).bridge(WORK, date="2025-10-07", length_ft=62.0)
    history = county.history(flat_index)
    offered = check(letter(price_per_sf=Decimal("150.70")), history, index=flat_index)
    paid = paid_beside_offer(offered, Outcome("let_instead", DAY, "bids were asked for", "B-012"), history)
    assert isinstance(paid, Paid)
    # 150.70 / 137 - 1 = 0.1; the offer holds the whole superstructure, so nothing is added to it
    assert (paid.offered_per_sf, paid.paid_per_sf) == (pytest.approx(150.70), pytest.approx(USUAL))
    assert paid.ratio == pytest.approx(0.1)
    assert paid.basis == "superstructure"
    assert (paid.paid_from, paid.low_bidder) == ("B-012.csv, row 2", "Basalt Civil")
    assert "10% above it (superstructure basis, dollars of 2025 Q4)" in paid.text


def test_several_structures_of_one_contract_count_by_their_decks(
    county: County, letter: Letter, check: Check, flat_index: CostIndex
) -> None:
    county.usual(12, scatter=0.0)
    frame = county.history(flat_index).frame
    history = county.history(flat_index)
    rows = frame.head(2).assign(
        contract_id="B-900", unit_cost_adjusted=[100.0, 200.0], deck_area_sf=[1000.0, 3000.0],
        letting_date=frame["letting_date"].iloc[0],
    )  # fmt: skip
    object.__setattr__(history, "frame", rows)
    offered = check(letter(price_per_sf=Decimal("175")), county.history(flat_index), index=flat_index)
    paid = paid_beside_offer(offered, Outcome("accepted", DAY, "why", "B-900"), history)
    # (100 x 1,000 + 200 x 3,000) / 4,000 = 175
    assert isinstance(paid, Paid)
    assert paid.paid_per_sf == pytest.approx(175.0)
    assert "for 2 structures together" in paid.text
    assert "level with it" in paid.text
    assert "The deck let is 4,000 sf, the one offered 1,736 sf." in paid.text


@pytest.mark.parametrize(("contract", "told"), [(None, "no contract is named"), ("B-777", "no price on the superstr")])
def test_what_was_paid_is_not_guessed(
    county: County, letter: Letter, check: Check, flat_index: CostIndex, contract: str | None, told: str
) -> None:
    history = county.usual(12).history(flat_index)
    offered = check(letter(), history, index=flat_index)
    paid = paid_beside_offer(offered, Outcome("accepted", DAY, "why", contract), history)
    assert isinstance(paid, Unavailable)
    assert told in str(paid)


def test_an_offer_stands_beside_its_expected_middle(
    county: County, letter: Letter, check: Check, flat_index: CostIndex
) -> None:
    offered = check(letter(price_per_sf=Decimal("150")), county.usual(30).history(flat_index), index=flat_index)
    one = beside_expected(offered, 30)
    assert offered.expected is not None
    assert one.ratio == pytest.approx(150 / offered.expected["p50"] - 1)
    assert one.low is not None
    assert one.high is not None
    assert one.low < 0 < one.high


def test_a_declined_check_has_a_reason_and_no_ratio(
    county: County, letter: Letter, check: Check, flat_index: CostIndex
) -> None:
    offered = check(letter(superstructure="timber"), county.usual(30).history(flat_index), index=flat_index)
    one = beside_expected(offered, 30)
    assert (one.ratio, one.expected) == (None, None)
    assert one.why_not.startswith("We have let no timber")


def test_nothing_is_said_of_a_supplier_from_fewer_than_five() -> None:
    few = [(dt.date(2020 + n, 1, 1), Beside(40, 100.0, 0.1, -0.2, 0.2)) for n in range(4)]
    said = of_a_supplier("Harrier", [*few, (None, Beside(0, why_not="the letter has no date"))])
    assert said.startswith("5 letters of Harrier on record, 4 of them placed")
    assert "n = 4, too few to say anything" in said
    assert "middle" not in said


def test_from_five_on_the_middle_and_the_ends_are_said() -> None:
    ratios = (-0.10, 0.02, 0.04, 0.08, 0.20)
    said = of_a_supplier("Harrier", [(dt.date(2020 + n, 1, 1), Beside(40, 100.0, r)) for n, r in enumerate(ratios)])
    assert "n = 5" in said
    assert "4 lay above the expected middle" in said
    assert "The middle one was +4%, the ends −10% and +20%." in said
    assert "not what comes next" in said


def test_an_open_letter_past_its_last_day_is_said_to_be(letter: Letter) -> None:
    nowhere = Beside(0)
    one = OnRecord(letter(valid_until=dt.date(2025, 12, 1)), None, None, "", nowhere, nowhere, None)
    assert one.status(dt.date(2025, 12, 1)) == "open"
    assert one.status(dt.date(2025, 12, 2)) == "open, past its last day"
    told = replace(one, outcome=Outcome("accepted", DAY, "board", "B-1"))
    assert told.status(dt.date(2026, 5, 1)) == "accepted, contract B-1"

"""What a letter leaves out or holds beyond the basis, priced by the county's own contracts."""

from __future__ import annotations

from decimal import Decimal

import pytest

from bidlens.errors import BadValue
from bidlens.normalizer import load_bases
from bidlens.proposal.offer import SCOPE_PARTS
from bidlens.proposal.scope import match_scope, offered_categories, scope_rules, work_words
from bidlens.reference import CostIndex
from tests.proposal.conftest import WORK, County, Letter

BEAMS_ONLY = ("furnish", "deliver", "set", "bearings")


def test_every_part_a_letter_can_name_is_work_of_the_superstructure_basis() -> None:
    assert set(scope_rules()["parts"]) == set(SCOPE_PARTS)
    assert set(scope_rules()["parts"].values()) == load_bases()["superstructure"].categories
    assert all(category in scope_rules()["work"] for basis in load_bases().values() for category in basis.categories)


def test_setting_alone_is_no_offer_of_beams() -> None:
    assert offered_categories(("deliver", "set", "railing")) == {"railing"}
    assert offered_categories(BEAMS_ONLY) == {"beams", "bearings"}
    assert offered_categories(("furnish", "closure")) == {"beams", "deck"}


def test_work_left_out_is_added_at_the_median_of_its_own_type(
    county: County, letter: Letter, flat_index: CostIndex
) -> None:
    for deck, railing in ((30.0, 20.0), (34.0, 22.0), (36.0, 21.0), (44.0, 29.0), (40.0, 28.0)):
        county.bridge({"beams": 70.0, "bearings": 4.0, "deck": deck, "railing": railing})
    county.usual(8, kind="adjacent box beam")
    match = match_scope(letter(scope=BEAMS_ONLY), "rolled steel beam", county.history(flat_index))
    lines = {line.what: line for line in match.adjustments}
    # Medians and quartiles of five numbers by hand: 30 34 36 40 44 and 20 21 22 28 29
    assert lines["Deck slab, reinforcement"].per_sf == pytest.approx(36)
    assert lines["Deck slab, reinforcement"].low_per_sf == pytest.approx(34)
    assert lines["Deck slab, reinforcement"].high_per_sf == pytest.approx(40)
    assert lines["Railing"].per_sf == pytest.approx(22)
    assert lines["Railing"].n == 5
    assert lines["Railing"].source == "our 5 rolled steel beam bridges, median; middle half 21 to 28"
    assert match.not_priced == ()


def test_prices_of_added_work_are_in_base_quarter_dollars(county: County, letter: Letter, index: CostIndex) -> None:
    for _ in range(4):
        county.bridge({"beams": 70.0, "bearings": 4.0, "railing": 20.0}, date="2024-11-05")
    match = match_scope(letter(scope=BEAMS_ONLY), "rolled steel beam", county.history(index, dollars_of="2025Q4"))
    assert match.adjustments[0].per_sf == pytest.approx(20 * 1.01**4)  # four quarters of 1 %


def test_a_type_with_few_rows_takes_the_price_of_all_types(
    county: County, letter: Letter, flat_index: CostIndex
) -> None:
    county.bridge(WORK).bridge(WORK, kind="timber").usual(6, kind="adjacent box beam")
    match = match_scope(letter(scope=BEAMS_ONLY), "rolled steel beam", county.history(flat_index))
    assert {line.n for line in match.adjustments} == {8}
    assert all("bridges of all types" in line.source for line in match.adjustments)


def test_work_that_few_comparable_contracts_bid_is_not_added_and_said(
    county: County, letter: Letter, flat_index: CostIndex
) -> None:
    for joints in (8.0, 9.0, 0.0, 0.0, 0.0):
        county.bridge(WORK | ({"expansion_joints": joints} if joints else {}))
    match = match_scope(letter(scope=BEAMS_ONLY), "rolled steel beam", county.history(flat_index))
    assert "Expansion joints" not in [line.what for line in match.adjustments]
    seldom = next(finding for finding in match.findings if finding.code == "seldom_bid")
    assert "expansion joints (40%)" in seldom.text


def test_two_kinds_of_work_bid_instead_of_each_other_are_added_once(
    county: County, letter: Letter, flat_index: CostIndex
) -> None:
    for work in ({"deck": 27.0}, {"wearing_surface": 16.0}) * 3:
        county.bridge({"beams": 90.0, "bearings": 4.0, "railing": 20.0} | work, kind="adjacent box beam")
    offer = letter(scope=BEAMS_ONLY, superstructure="adjacent box beam")
    match = match_scope(offer, "adjacent box beam", county.history(flat_index))
    assert [line.what for line in match.adjustments] == ["Deck slab, reinforcement", "Railing"]
    said = next(finding for finding in match.findings if finding.code == "bid_instead_of_each_other")
    assert "$11/sf lower" in said.do


def test_work_beyond_the_basis_is_taken_out_at_the_same_price(
    county: County, letter: Letter, flat_index: CostIndex
) -> None:
    history = county.usual(6, scatter=0.0).history(flat_index, "beams")
    match = match_scope(letter(scope=(*BEAMS_ONLY, "railing")), "rolled steel beam", history)
    line = match.adjustments[0]
    assert line.what == "Railing, not in this basis"
    assert line.per_sf < 0
    assert line.low_per_sf is not None
    assert line.high_per_sf is not None
    assert line.low_per_sf <= line.per_sf <= line.high_per_sf


def test_work_with_fewer_than_three_prices_is_not_filled(county: County, letter: Letter, flat_index: CostIndex) -> None:
    for _ in range(2):
        county.bridge(WORK)
    match = match_scope(letter(scope=BEAMS_ONLY), "rolled steel beam", county.history(flat_index))
    assert match.adjustments == ()
    assert match.not_priced == ("deck", "railing", "wearing_surface")
    assert [finding.severity for finding in match.findings if finding.code == "scope_not_priced"] == ["stop"]


@pytest.mark.parametrize(
    ("scope", "gap"),
    [
        (("furnish",), ("delivery", "setting")),
        (("furnish", "deliver"), ("setting",)),
        (("furnish", "set"), ("delivery",)),
    ],
)
def test_beams_not_delivered_or_set_are_a_gap_with_a_question(
    county: County, letter: Letter, flat_index: CostIndex, scope: tuple[str, ...], gap: tuple[str, ...]
) -> None:
    match = match_scope(letter(scope=scope), "rolled steel beam", county.usual(5).history(flat_index, "beams"))
    assert match.gap == gap
    finding = next(finding for finding in match.findings if finding.code == "scope_gap_setting")
    assert finding.do.startswith("Ask Harrier Steel Works")


def test_a_letter_that_does_not_say_what_it_includes_cannot_be_compared(
    county: County, letter: Letter, flat_index: CostIndex
) -> None:
    with pytest.raises(BadValue, match="does not say what its price includes"):
        match_scope(letter(scope=()), "rolled steel beam", county.usual(5).history(flat_index))


def test_the_whole_contract_basis_adds_every_other_kind_of_work_on_record(
    county: County, letter: Letter, flat_index: CostIndex
) -> None:
    for _ in range(4):
        county.bridge(WORK | {"removal": 25.0, "traffic": 9.0})
    match = match_scope(letter(price_per_sf=Decimal(90)), "rolled steel beam", county.history(flat_index, "contract"))
    added = [line.what for line in match.adjustments]
    assert added == [work_words(name) for name in ("substructure", "removal", "traffic")]

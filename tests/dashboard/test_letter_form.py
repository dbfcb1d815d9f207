"""A letter typed in: what the form's values make, and what it says when one cannot be read."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from bidlens.dashboard.letter_form import BY_HAND, LUMP_SUM, PER_BEAM, PER_LB, PER_SF, PLANT, proposal_of, read_money
from bidlens.errors import BadValue


def values(**changes: Any) -> dict[str, Any]:
    given = {
        "supplier": "Ouzel  Precast", "superstructure": "rolled steel beam", "date": None, "price": "158,000",
        "price_is": LUMP_SUM, "delivery": None, "scope": ["set", "furnish"], "structure": BY_HAND, "length": "62 ft",
        "width": "28'-0\"", "spans": None, "skew": None,
    }  # fmt: skip
    return {**given, **changes}


def test_lengths_are_read_as_engineers_write_them() -> None:
    offer = proposal_of(values(length="62'-6\"", width="8.5344 m"))
    assert offer.length_ft == 62.5
    assert offer.width_ft == pytest.approx(28.0)  # 0.3048 m to the foot, exactly
    assert offer.supplier == "Ouzel Precast"
    assert offer.scope == ("furnish", "set")


def test_a_price_by_the_square_foot_is_no_lump_sum() -> None:
    offer = proposal_of(values(price="$104.50", price_is=PER_SF))
    assert (offer.price_usd, offer.price_per_sf) == (None, Decimal("104.50"))


@pytest.mark.parametrize("text", ["", "abc", "1.2.50", "-5", "0", "NaN", "Infinity", "1e999999999"])
def test_a_price_that_is_none_is_refused_in_words(text: str) -> None:
    with pytest.raises(BadValue) as stopped:
        proposal_of(values(price=text))
    assert "Price" in str(stopped.value)


def test_thousands_and_dollar_signs_are_read() -> None:
    assert read_money(" $1,158,000.25 ") == Decimal("1158000.25")


def test_geometry_by_hand_needs_length_and_width() -> None:
    with pytest.raises(BadValue, match="length and out-to-out width are needed"):
        proposal_of(values(width=""))
    assert proposal_of(values(structure="K-117", length="", width="")).structure == "K-117"


def test_a_length_that_is_none_names_its_field() -> None:
    with pytest.raises(BadValue, match="Out-to-out width"):
        proposal_of(values(width="28-0-0"))


def test_a_letter_needs_a_type() -> None:
    with pytest.raises(BadValue, match="superstructure offered is missing"):
        proposal_of(values(superstructure=None))


def test_own_forces_and_own_figures_go_into_the_offer() -> None:
    offer = proposal_of(
        values(
            own_forces="$21,000", own_forces_do=["railing", "deck"],
            own_figures=[("set", "12,000"), (None, " "), ("wearing_surface", "8000.50")],
        )
    )  # fmt: skip
    assert (offer.own_forces_usd, offer.own_forces_scope) == (Decimal("21000"), ("deck", "railing"))
    assert offer.own_figures == (("set", Decimal("12000")), ("wearing_surface", Decimal("8000.50")))


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"own_forces": "a crew"}, "the form, Own forces: cannot read “a crew” as a number"),
        ({"own_figures": [("set", "")]}, "Your own cost of set"),
        ({"own_figures": [(None, "900")]}, "your own cost of 900 names no part"),
        ({"own_figures": [("set", "1"), ("set", "2")]}, "your own cost of set is given twice"),
        ({"price_is": PER_BEAM}, "a price per beam needs the number of beams"),
        ({"price_is": PER_LB, "weight": "heavy"}, "the form, Pounds: cannot read “heavy” as a number"),
    ],
)
def test_own_costs_and_units_that_cannot_be_used_name_their_field(changes: dict[str, Any], told: str) -> None:
    with pytest.raises(BadValue) as stopped:
        proposal_of(values(**changes))
    assert told in str(stopped.value)


def test_a_price_by_the_beam_or_the_pound_and_a_clear_width_are_kept_as_told() -> None:
    offer = proposal_of(
        values(price="21,700", price_is=PER_BEAM, beams=7, width="", clear_width="24 ft", clear_width_adds="2'-8\"",
               fob=PLANT)
    )  # fmt: skip
    assert (offer.price_per_beam, offer.beams, offer.fob) == (Decimal("21700"), 7, "plant")
    assert (offer.clear_width_ft, offer.clear_width_adds_ft) == (24, pytest.approx(2 + 8 / 12))
    heavy = proposal_of(values(price="2.15", price_is=PER_LB, weight="48,500"))
    assert (heavy.price_per_lb, heavy.weight_lb) == (Decimal("2.15"), 48500.0)

"""Pay units: spellings, dimensions, conversion."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bidlens.errors import BadValue
from bidlens.units import PAY_UNITS, UNIT_BY_NAME, canonical_unit, convert, standard_unit

# Spellings met in public bid tabs and in the pay unit lists of Nevada and Washington.
SPELLINGS = {
    "LS": "LS L.S. LSUM LUMP", "EA": "Ea EACH Each", "LF": "Ft LF L.F. Lft FT LNFT", "SF": "Sft SF S.F. SQFT",
    "SY": "Syd SY S.Y. SYS SQYD", "CY": "Cyd CY C.Y. CUYD", "CF": "CF CUFT Cft", "LB": "Lb LB LBS POUND",
    "TON": "Ton TON TON-G TN", "USD": "Dlr $", "MO": "MO MOS MONTH", "HR": "HR HOUR", "GAL": "GAL", "ACRE": "AC ACRE",
    "STA": "STA", "MI": "MI MILE", "DAY": "DAY", "MGAL": "MGAL", "MBM": "MBM",
}  # fmt: skip


@pytest.mark.parametrize(("name", "spellings"), SPELLINGS.items())
def test_spellings_met_in_public_bid_tabs_have_one_standard(name, spellings):
    assert {canonical_unit(spelling) for spelling in spellings.split()} == {name}


def test_force_account_is_read_with_and_without_its_blank():
    assert canonical_unit("FA") == canonical_unit("F A") == "FA"


def test_an_unknown_unit_has_no_standard_spelling():
    assert canonical_unit("furlong") is None
    assert canonical_unit("") is None


def test_the_standard_spelling_of_an_unknown_unit_is_its_own_in_capitals():
    assert [standard_unit(text) for text in ("L.F.", "furlong  long", "Syd", "")] == ["LF", "FURLONG LONG", "SY", ""]


def test_a_ton_is_two_thousand_pounds_and_neither_is_the_other():
    assert canonical_unit("TON") != canonical_unit("LB")
    assert convert(1, "TON", "LB") == 2000
    assert convert(Decimal("41250"), "LBS", "Ton") == 20.625


@pytest.mark.parametrize(
    ("quantity", "source", "target", "wanted"),
    [
        (1, "M", "LF", 3.280839895),  # 1 / 0.3048
        (1, "M2", "SF", 10.763910417),  # 1 / 0.3048 squared
        (1, "M3", "CY", 1.307950619),  # 1 / 0.3048 cubed / 27
        (1, "KG", "LB", 2.204622622),  # 1 / 0.45359237
        (1, "T", "LB", 2204.622621849),
        (1, "ACRE", "SF", 43560),
        (1, "MI", "LF", 5280),
        (2, "STA", "LF", 200),
        (9, "SF", "SY", 1),
    ],
)
def test_conversions_follow_the_exact_foot_and_pound_of_1959(quantity, source, target, wanted):
    """International yard and pound agreement, 1959: 1 ft = 0.3048 m and 1 lb = 0.45359237 kg exactly."""
    assert convert(quantity, source, target) == pytest.approx(wanted, rel=1e-9)


def test_units_of_two_dimensions_are_never_converted():
    with pytest.raises(BadValue, match="cannot be turned into"):
        convert(1, "CY", "SY")
    with pytest.raises(BadValue, match="cannot be turned into"):
        convert(1, "LS", "EA")
    with pytest.raises(BadValue, match="no pay unit we know"):
        convert(1, "furlong", "LF")


def test_a_unit_that_is_not_measured_stays_itself():
    assert convert(1, "LSUM", "LS") == 1


MEASURED = [unit.name for unit in PAY_UNITS if unit.factor is not None]


@given(st.sampled_from(MEASURED), st.sampled_from(MEASURED), st.decimals(0, 10**6, places=3))
def test_there_and_back_gives_the_same_quantity(source, target, quantity):
    if UNIT_BY_NAME[source].dimension == UNIT_BY_NAME[target].dimension:
        there = convert(quantity, source, target)
        assert convert(there, target, source) == pytest.approx(float(quantity), rel=1e-9)

"""Feet and inches, metres and areas.

Outside checks: the international foot (0.3048 m exactly, as in NIST SP 811); National Bridge Inventory areas computed
from metric records (15.0 m x 9.7 m and 43.0 m x 7.3 m); deck area by 23 CFR 490.411 (structure length times out-to-out
width).
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bidlens.errors import BadValue, Place
from bidlens.lengths import metres, parse_area_sf, parse_length_ft, shown_feet_inches


@pytest.mark.parametrize(
    ("written", "feet"),
    [
        ("62 ft", 62),
        ("62ft.", 62),
        ("62'", 62),
        ("57", 57),
        (57, 57),
        (57.5, 57.5),
        ("57.5'", 57.5),
        ("57.5 feet", 57.5),
        ("1,250 ft", 1250),
        ("26'-8\"", 26 + 8 / 12),
        ("26' 8\"", 26 + 8 / 12),
        ("26'8\"", 26 + 8 / 12),
        ("26'-8", 26 + 8 / 12),
        ("26′-8″", 26 + 8 / 12),
        ("26’–8”", 26 + 8 / 12),
        ("26'-8''", 26 + 8 / 12),
        ("26 ft 8 in", 26 + 8 / 12),
        ("26 FT. 8 IN.", 26 + 8 / 12),
        ("26 feet, 8 inches", 26 + 8 / 12),
        ("26'-8 1/2\"", 26 + 8.5 / 12),
        ("26'-8½\"", 26 + 8.5 / 12),
        ("26'-8.5\"", 26 + 8.5 / 12),
        ("26'-0 3/4\"", 26 + 0.75 / 12),
        ("26' 3/4\"", 26 + 0.75 / 12),
        ("28'-0\"", 28),
        ('320"', 320 / 12),
        ("8 1/2 in", 8.5 / 12),
        ("8.13 m", 8.13 / 0.3048),
        ("8.13m", 8.13 / 0.3048),
        ("8.13 metres", 8.13 / 0.3048),
        ("8130 mm", 8.13 / 0.3048),
        ("813 cm", 8.13 / 0.3048),
    ],
)
def test_lengths_are_read_as_engineers_write_them(written: object, feet: float) -> None:
    assert parse_length_ft(written) == pytest.approx(feet, rel=1e-12)


@pytest.mark.parametrize(
    "written",
    ["28-0-0", "28-0", "28 0", "-5", "-5 ft", "0", 0, -3.5, "0'-0\"", "26'-12\"", "26.5'-8\"", "abc", "", "55-60 ft",
     "+/- 60", "60 ft x 28 ft", "8,13 m", "1.234,5", math.nan, math.inf, None, True, "26'-8 1/0\"", "60 acres", "1e3"],
)  # fmt: skip
def test_what_is_not_a_length_is_refused_with_what_was_seen_and_how_to_write_it(written: object) -> None:
    place = Place("bridges.csv", None, 7, "length")
    with pytest.raises(BadValue) as refused:
        parse_length_ft(written, place=place)
    assert str(written) in str(refused.value)
    assert "bridges.csv, row 7, column “length”" in str(refused.value)
    assert "26'-8\"" in refused.value.do


def test_a_bare_number_takes_the_columns_unit_and_a_written_unit_wins() -> None:
    assert parse_length_ft("15.0", "m") == pytest.approx(15.0 / 0.3048, rel=1e-12)
    assert parse_length_ft("50 ft", "m") == 50
    assert parse_length_ft(96, "in") == 8


def test_an_unknown_column_unit_is_refused_with_the_known_ones() -> None:
    with pytest.raises(BadValue, match=r"ft, in, m, cm, mm"):
        parse_length_ft(3, "yd")


def test_the_foot_is_exactly_three_hundred_and_four_point_eight_millimetres() -> None:
    # NIST SP 811: foot (ft) = 3.048 E-01 m, exact.
    assert metres(1.0) == 0.3048
    assert parse_length_ft("0.3048 m") == 1.0
    assert parse_length_ft("304.8 mm") == 1.0


@pytest.mark.parametrize(
    ("length_m", "width_m", "area_sf"),
    [("15.0 m", "9.7 m", 1566.1), ("43.0 m", "7.3 m", 3378.8)],
)
def test_metric_inventory_records_give_the_same_deck_area_by_lengths_and_by_square_metres(
    length_m: str, width_m: str, area_sf: float
) -> None:
    # National Bridge Inventory: Item 49 x Item 52 in metres; 145.5 m2 and 313.9 m2.
    area = parse_length_ft(length_m) * parse_length_ft(width_m)
    square_metres = float(length_m.split()[0]) * float(width_m.split()[0])
    assert round(area, 1) == area_sf
    assert round(parse_area_sf(f"{square_metres:.2f} m2"), 1) == area_sf


def test_units_and_closure_pours_add_up_to_the_out_to_out_width() -> None:
    # Common practice, no source: four units and three 8 in closure pours make 26'-8"; by 57 ft that is 1,520 sf.
    units = ["6'-4\"", "6'-0\"", "6'-0\"", "6'-4\""]
    width = sum(map(parse_length_ft, units)) + 3 * parse_length_ft("8 in")
    assert shown_feet_inches(width) == "26′-8″"
    assert width * parse_length_ft("57 ft") == pytest.approx(1520, abs=1e-9)


def test_clear_width_and_width_along_the_skew_are_the_traps_the_published_rule_avoids() -> None:
    # 23 CFR 490.411 takes Item 49 x Item 52 (out to out). A 24 ft roadway on 26'-8" overstates $/sf by 11.1 %.
    assert parse_length_ft("26'-8\"") / parse_length_ft("24 ft") - 1 == pytest.approx(0.111, abs=0.0005)
    # 100 ft x 30 ft at 30 degrees is 3,000 sf; the width measured along the skew is 34.64 ft and gives 15.5 % more.
    along_skew = parse_length_ft("30 ft") / math.cos(math.radians(30))
    assert along_skew == pytest.approx(34.64, abs=0.005)
    assert along_skew * 100 / 3000 - 1 == pytest.approx(0.155, abs=0.0005)


@pytest.mark.parametrize(
    ("written", "area_sf"),
    [("1,520 sf", 1520), ("1520", 1520), (1520.5, 1520.5), ("1520 sq. ft.", 1520), ("1520 SF", 1520),
     ("1520 ft²", 1520), ("1520 square feet", 1520), ("10 sy", 90),
     ("145.5 m²", 145.5 / 0.3048**2), ("145.5 sq m", 145.5 / 0.3048**2)],
)  # fmt: skip
def test_areas_are_read_in_square_feet_and_square_metres(written: object, area_sf: float) -> None:
    assert parse_area_sf(written) == pytest.approx(area_sf, rel=1e-12)


@pytest.mark.parametrize("written", ["0", "-3 sf", "28 x 57", "57 ft", "n/a", "", None, math.nan])
def test_what_is_not_an_area_is_refused(written: object) -> None:
    with pytest.raises(BadValue, match="1520 sf"):
        parse_area_sf(written)


def test_shown_feet_inches_rounds_half_up_and_carries_to_the_next_foot() -> None:
    assert shown_feet_inches(26 + 8.5 / 12) == "26′-9″"
    assert shown_feet_inches(26 + 11.6 / 12) == "27′-0″"
    assert shown_feet_inches(26 + 8.5 / 12, parts_of_inch=8) == "26′-8 1/2″"
    assert shown_feet_inches(26.0) == "26′-0″"


@given(inches=st.integers(min_value=1, max_value=50_000))
def test_whole_inches_come_back_as_they_were_shown(inches: int) -> None:
    shown = shown_feet_inches(inches / 12)
    assert parse_length_ft(shown) == pytest.approx(inches / 12, rel=1e-12)
    assert shown_feet_inches(parse_length_ft(shown)) == shown


@given(eighths=st.integers(min_value=1, max_value=100_000))
def test_eighths_of_an_inch_come_back_as_they_were_shown(eighths: int) -> None:
    shown = shown_feet_inches(eighths / 96, parts_of_inch=8)
    assert parse_length_ft(shown) == pytest.approx(eighths / 96, rel=1e-12)


@given(feet=st.decimals(min_value="0.01", max_value="5000", places=2))
def test_decimal_feet_and_metres_agree(feet: object) -> None:
    assert parse_length_ft(f"{feet} ft") == float(str(feet))
    assert parse_length_ft(f"{metres(float(str(feet))):.9f} m") == pytest.approx(float(str(feet)), rel=1e-6)

"""Numbers as they are printed."""

import datetime as dt

import pytest

from bidlens import wording


@pytest.mark.parametrize(
    ("value", "shown"), [(162.5, "163"), (161.5, "162"), (0.4, "0"), (-0.4, "0"), (1735.6, "1,736")]
)
def test_whole_numbers_round_half_up_and_never_show_minus_zero(value, shown):
    assert wording.number(value) == shown


def test_signs_are_true_and_stand_before_the_dollar():
    assert wording.signed(-2.44, 1, "$") == "−$2.4"
    assert wording.signed(59, 0, "$") == "+$59"
    assert wording.percent(0.0949) == "+9%"
    assert wording.percent(-0.001) == "0%"
    assert wording.usd(-1730000) == "−$1,730,000"


@pytest.mark.parametrize(
    ("chance", "shown"),
    [
        (0.01, "fewer than 5 in 100"),
        (0.70, "about 70 in 100"),
        (0.724, "about 70 in 100"),
        (0.99, "more than 95 in 100"),
    ],
)
def test_chances_are_counts_to_the_nearest_five(chance, shown):
    assert wording.chances(chance) == shown


def test_days_have_no_leading_zero():
    assert wording.day(dt.date(2016, 3, 9)) == "9 Mar 2016"


def test_a_number_that_is_not_there_is_said_in_words():
    nothing = float("nan")
    shown = [wording.number(nothing), wording.usd(nothing), wording.per_sf(nothing), wording.percent(nothing)]
    assert shown == ["not given"] * 4


def test_a_printed_column_adds_up():
    assert wording.adding_up(104.55, [35.26, -1.15], 138.66) == ["$104.6", "+$35.3", "−$1.2", "$138.7"]
    assert wording.adding_up(104.55, [35.26, 18.86], 158.67) == ["$104.55", "+$35.26", "+$18.86", "$158.67"]
    printed = wording.adding_up(1.044, [1.044, 1.044], 3.132)
    assert printed == ["$1.04", "+$1.05", "+$1.04", "$3.13"]
    assert wording.adding_up(104.55, [35.26], float("nan"))[-1] == "not given"

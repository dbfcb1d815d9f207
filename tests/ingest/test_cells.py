"""Cells to numbers, dates and text."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bidlens.errors import BadValue, Place
from bidlens.ingest import cells
from bidlens.ingest.cells import RowPlaces

NOON = dt.datetime(2031, 4, 8, 12)  # noqa: DTZ001 - a cell of a workbook has no time zone
PLACES = RowPlaces("t.csv", "", np.arange(1, 100), "Price")


@pytest.mark.parametrize(
    ("cell", "wanted"),
    [
        ("$1,234.50", "1234.50"), ("(1,234.50)", "-1234.50"), ("-$1,234.50", "-1234.50"), ("$-5", "-5.00"),
        ("1 234.50", "1234.50"), ("5-", "-5.00"), (".5", "0.50"), ("7.", "7.00"), (" $ 3 ", "3.00"), ("−2", "-2.00"),
        (12609.999999999998, "12610.00"), (0.1 + 0.2, "0.30"), (1.005, "1.01"), (3, "3.00"), ("0", "0.00"),
        ("1,234,567.891", "1234567.89"), ("(0.005)", "-0.01"),
    ],
)  # fmt: skip
def test_numbers_as_bid_tabs_write_them(cell, wanted):
    assert cells.number(cell, 2) == Decimal(wanted)
    assert cells.numbers([cell], 2, PLACES, "a price").to_pylist() == [Decimal(wanted)]


@pytest.mark.parametrize(
    "cell",
    ["1.2.50", "1.234,50", "12,34", "1e5", "--5", "(-5)", "5 CY", "$", "-", "1,23,456", "twelve", "0x10", True,
     float("nan"), float("inf"), "1" * 30, dt.date(2031, 4, 8)],
)  # fmt: skip
def test_what_is_no_plain_number_is_refused(cell):
    with pytest.raises(ValueError, match=r"not a number|too large|two signs"):
        cells.number(cell, 2)


def test_a_refused_cell_is_named_with_its_row_and_column():
    with pytest.raises(BadValue) as caught:
        cells.numbers(["1", "2", "1.2.50"], 2, PLACES, "a price")
    assert caught.value.where == Place("t.csv", None, 3, "Price")


def test_blank_cells_and_words_for_no_bid_are_null():
    found = cells.numbers(["1", "", "  ", "No Bid", "N/B", "-"], 2, PLACES, "a price", blanks=cells.NO_BID)
    assert found.to_pylist() == [Decimal("1.00"), None, None, None, None, None]


@given(st.lists(st.one_of(st.decimals(-(10**9), 10**9, places=5), st.none()), max_size=30))
def test_a_column_of_written_numbers_comes_back_exactly(values):
    written = ["" if value is None else f"{value:,.5f}" for value in values]
    assert cells.numbers(written, 5, PLACES, "a price").to_pylist() == values


@given(st.lists(st.decimals(0, 10**7, places=2), min_size=1, max_size=30))
def test_floats_come_back_as_they_were_typed(values):
    assert cells.numbers([float(value) for value in values], 2, PLACES, "a price").to_pylist() == values


@given(st.floats(-1e9, 1e9), st.sampled_from([0, 2, 4, 5]))
def test_a_float_in_a_column_is_read_as_the_same_float_alone(value, scale):
    assert cells.numbers([value], scale, PLACES, "a price").to_pylist() == [cells.number(value, scale)]


@pytest.mark.parametrize(
    "cell",
    ["2031-04-08", "04/08/2031", "4/8/2031", "4/8/31", "April 8, 2031", "Apr. 8, 2031", "8-Apr-2031", "20310408",
     "04/08/2031 10:30 AM", "2031-04-08T00:00:00", 47946.0, 20310408.0, dt.date(2031, 4, 8), NOON],
)  # fmt: skip
def test_dates_in_the_forms_met(cell):
    assert cells.date(cell) == dt.date(2031, 4, 8)


@pytest.mark.parametrize("cell", ["May", "10", "1234", "13/05/2024", "5.3.2024", "2031-02-30", 0.0, 1e9, True])
def test_what_a_guesser_would_take_for_a_date_is_refused(cell):
    """A guessing date parser reads “May” as a day of this month, “1234” as a year and swaps 13/05."""
    with pytest.raises(BadValue, match="as a date"):
        cells.date(cell)


@pytest.mark.parametrize(
    "name", ["2031-04-08", "20310408", "letting_2031_04_08 final", "tab 4-8-2031", "bids 2031.04.08", "a2031-4-8b"]
)
def test_dates_in_file_names(name):
    assert cells.date_in_name(name) == dt.date(2031, 4, 8)


@pytest.mark.parametrize("name", ["2015D006", "contract 91000-300111", "item-12345678", "tab"])
def test_names_that_hold_no_date(name):
    assert cells.date_in_name(name) is None


def test_text_loses_the_point_of_whole_numbers_and_line_breaks():
    found = cells.texts([10.0, 2.5, "Deck\n (Sec 3)", "", NOON, "0012"])
    assert found.to_pylist() == ["10", "2.5", "Deck (Sec 3)", "", "2031-04-08 12:00:00", "0012"]


@given(st.lists(st.sampled_from(["a", "b", "", 1.0, 2.5]), max_size=20), st.data())
def test_a_part_of_a_coded_column_is_the_coded_part(values, data):
    keep = np.array(data.draw(st.lists(st.booleans(), min_size=len(values), max_size=len(values))), dtype=bool)
    part = cells.coded(values).where(keep)
    assert cells.texts(part).to_pylist() == cells.texts([v for v, k in zip(values, keep, strict=True) if k]).to_pylist()

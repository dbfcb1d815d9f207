"""Quarters are read, stepped and printed in one way."""

import datetime as dt

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bidlens import quarters
from bidlens.errors import BadValue


@pytest.mark.parametrize("text", ["2024Q2", "2024 Q2", "2024-Q2", " 2024q2 "])
def test_usual_spellings_are_read(text):
    assert quarters.parse_quarter(text) == "2024Q2"


@pytest.mark.parametrize("text", ["2024", "Q2 2024", "2024Q5", "24Q1", ""])
def test_anything_else_says_what_was_seen_and_how_to_write_it(text):
    with pytest.raises(BadValue, match="cannot read") as caught:
        quarters.parse_quarter(text)
    assert "2026Q1" in str(caught.value)


def test_dates_fall_in_their_quarter():
    assert quarters.quarter_of(dt.date(2024, 3, 31)) == "2024Q1"
    assert quarters.quarters_of(pd.Series([dt.date(2024, 10, 1), None])).tolist()[0] == "2024Q4"


@given(st.integers(1950, 2090), st.integers(1, 4), st.integers(-200, 200))
def test_steps_forth_and_back_cancel(year, number, by):
    quarter = f"{year}Q{number}"
    assert quarters.step(quarters.step(quarter, by), -by) == quarter
    assert quarters.position(quarters.step(quarter, by)) - quarters.position(quarter) == by

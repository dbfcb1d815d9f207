"""Bridges past their service life, followed year by year. By hand."""

from __future__ import annotations

import numpy as np
import pytest

from bidlens.program.backlog import ages_of, backlog_of, near_pace

# Past 75 years in 2027: six built 1940; reaching it in 2030: two built 1955; in 2040: one built 1965.
BUILT = np.array([1940.0] * 6 + [1955.0] * 2 + [1965.0] + [np.nan])


def test_a_backlog_clears_in_the_year_that_ends_without_one():
    found = backlog_of(BUILT, 75, 2027, 2.0)
    assert found.at_start == 6
    assert list(found.path["backlog"].head(5)) == [4, 2, 0, 0, 0]
    assert (found.clears, found.largest, found.largest_year, found.grows) == (2029, 4, 2027, False)


def test_a_pace_below_the_need_lets_it_grow():
    found = backlog_of(np.repeat(np.arange(1940.0, 2000.0), 3), 75, 2027, 1.0)
    assert found.clears is None
    assert found.grows
    assert found.largest_year > 2060


def test_near_years_follow_the_ages_and_not_an_even_spread():
    # All nine of known age reach 75 years before 2047: 9 in 20 years, where an even spread asks for 10 / 75 a year.
    assert near_pace(BUILT, 75, 2027) == pytest.approx(9 / 20)
    assert list(ages_of(BUILT, 2027)["bridges"]) == [0, 0, 0, 0, 0, 0, 1, 2, 6]
    assert ages_of(np.array([np.nan]), 2027)["bridges"].sum() == 0

"""The pace of replacement against the inventory."""

from __future__ import annotations

import pandas as pd
import pytest

from bidlens.errors import BadValue
from bidlens.findings import Unavailable
from bidlens.program import rotation_of
from bidlens.program.rotation import replacements_needed, rotation_years


def test_steady_state_arithmetic():
    # Bridges over life is replacements a year: 400 at 75 years 5.33, at 100 years 4.0; 400 at 3 a year 133 years.
    assert replacements_needed(400, 75) == pytest.approx(5.33, abs=0.005)
    assert replacements_needed(400, 100) == 4.0
    assert rotation_years(400, 3) == pytest.approx(133, abs=0.5)
    # 600 bridges at 75 to 100 years is 6 to 8 a year: common practice, no source.
    assert (replacements_needed(600, 100), replacements_needed(600, 75)) == (6, 8)
    assert rotation_years(400, 0) is None


def county(built):
    names = [f"K-{number}" for number in range(len(built))]
    return pd.DataFrame({"structure_id": names, "year_built": built, "superstructure": "timber"})


def let(*dates):
    return pd.DataFrame({"structure_id": [f"K-{n}" for n in range(len(dates))], "letting_date": pd.to_datetime(dates)})


def test_pace_and_age_profile_by_hand():
    # built 1940 (past 75 years by 2027), 1952 (75 in 2027), 1956 (2031), 1957 (2032), 1977 (2052), one unknown
    found = rotation_of(
        county([1940, 1952, 1956, 1957, 1977, None]), let("2020-05-01", "2022-03-01", "2023-01-01"), 2027
    )
    assert (found.inventory, found.replaced, found.first_year, found.last_year) == (6, 3, 2020, 2023)
    assert found.per_year == 0.75
    assert found.implied_years == 8
    assert found.needed_per_year == (0.06, 0.08)
    assert list(found.profile["reaching"]) == [2, 1, 0, 0, 0]
    assert (found.overdue, found.age_unknown) == (1, 1)
    assert list(found.by_type.iloc[0][["superstructure", "bridges", "age_median"]]) == ["timber", 6, 71]


def test_a_bridge_listed_twice_or_paid_by_two_schedules_counts_once():
    inventory = pd.concat([county([1950, 1960]), county([1950, 1960])])
    found = rotation_of(inventory, pd.concat([let("2020-05-01")] * 2), 2027)
    assert (found.inventory, found.replaced) == (2, 1)


def test_what_is_not_on_record_is_said():
    assert isinstance(rotation_of(county([]), let("2020-05-01"), 2027), Unavailable)
    assert isinstance(rotation_of(county([1950]), let(), 2027), Unavailable)


@pytest.mark.parametrize("lives", [(0, 100), (100, 75), (75, 900), (float("nan"), 100)])
def test_a_service_life_that_cannot_be_is_refused(lives):
    with pytest.raises(BadValue, match="service life"):
        rotation_of(county([1950]), let("2020-05-01"), 2027, lives)

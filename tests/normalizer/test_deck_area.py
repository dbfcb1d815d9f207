"""Deck area, against the traps of published definitions.

Source of the definition: 23 CFR 490.411, deck area is NBI item 49 (length) times item 52 (out-to-out width).
"""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest

from bidlens.errors import BadValue
from bidlens.normalizer import deck_area_sf
from bidlens.normalizer.area import known_deck_area_sf

SF_PER_M2 = 1 / 0.3048**2  # the international foot, exact


def test_feet_and_inches_width_of_a_57_ft_bridge_gives_1520_sf() -> None:
    # 26'-8" x 57 ft; common practice, no source
    assert deck_area_sf(57, 26 + 8 / 12) == pytest.approx(1520, abs=1e-9)


@pytest.mark.parametrize(
    ("length_m", "width_m", "area_m2", "area_sf"), [(15.0, 9.7, 145.5, 1566.1), (43.0, 7.3, 313.9, 3378.8)]
)
def test_metric_nbi_records_give_the_same_area(length_m: float, width_m: float, area_m2: float, area_sf: float) -> None:
    # NBI: DECK_AREA is item 49 x item 52 in square metres; figures calculated from the record's two lengths
    assert deck_area_sf(length_m / 0.3048, width_m / 0.3048) == pytest.approx(area_m2 * SF_PER_M2)
    assert deck_area_sf(length_m / 0.3048, width_m / 0.3048) == pytest.approx(area_sf, abs=0.05)


def test_skew_does_not_change_the_area_and_width_along_the_skew_is_wrong() -> None:
    # 100 ft x 30 ft at 30 degrees: 3,000 sf; width measured along the skew, 34.64 ft, would give 3,464 sf
    along_skew = 30 / math.cos(math.radians(30))
    assert deck_area_sf(100, 30) == 3000
    assert deck_area_sf(100, along_skew) / deck_area_sf(100, 30) == pytest.approx(1.155, abs=0.0005)


def test_clear_roadway_instead_of_out_to_out_width_overstates_unit_cost_by_a_ninth() -> None:
    # 24.0 ft clear on 26.67 ft out to out: 11.1 % too much
    assert deck_area_sf(57, 26 + 8 / 12) / deck_area_sf(57, 24.0) == pytest.approx(1.111, abs=0.0005)


@pytest.mark.parametrize(("length", "width"), [(0, 28), (62, float("nan")), (62, -1), (float("inf"), 28)])
def test_an_impossible_length_or_width_is_an_error_that_says_what_to_give(length: float, width: float) -> None:
    with pytest.raises(BadValue, match="in feet, above zero"):
        deck_area_sf(length, width)


def test_the_stated_area_wins_and_a_missing_one_is_length_times_width() -> None:
    rows = pd.DataFrame(
        {"deck_area_sf": [1700.0, np.nan, np.nan], "length_ft": [60.0, 60.0, 60.0], "width_ft": [28.0, 28.0, np.nan]}
    )
    assert known_deck_area_sf(rows).tolist()[:2] == [1700.0, 1680.0]
    assert np.isnan(known_deck_area_sf(rows).iloc[2])

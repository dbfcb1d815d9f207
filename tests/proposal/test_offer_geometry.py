"""The offered bridge: the letter's geometry first, then the structure list's."""

from __future__ import annotations

import math
from typing import Any

import pandas as pd
import pytest

from bidlens.errors import BadValue
from bidlens.proposal.geometry import offer_geometry
from tests.proposal.conftest import Letter


def _listed(**changes: Any) -> pd.Series:
    fields = {"structure_id": "K-117", "deck_area_sf": 1736.0, "length_ft": 62.0, "width_ft": 28.0, "spans": 1}
    return pd.Series({**fields, "span_ft": 60.0, "skew_deg": 15.0, **changes})


def test_feet_and_inches_of_a_57_ft_bridge(letter: Letter) -> None:
    # 26'-8" x 57 ft = 1,520 sf; common practice, no source
    assert offer_geometry(letter(length_ft=57.0, width_ft=26 + 8 / 12), None).deck_area_sf == pytest.approx(1520)


def test_a_letter_without_geometry_takes_the_lists_and_says_so(letter: Letter) -> None:
    bare = letter(structure="K-117", length_ft=None, width_ft=None, spans=None, skew_deg=None)
    geometry = offer_geometry(bare, _listed())
    assert (geometry.deck_area_sf, geometry.span_ft, geometry.skew_deg) == (1736, 60, 15)
    assert [finding.code for finding in geometry.findings] == ["geometry_from_list"]


def test_letter_and_list_that_part_are_noted_and_the_letter_is_used(letter: Letter) -> None:
    geometry = offer_geometry(letter(structure="K-117"), _listed(width_ft=24.0))
    assert geometry.deck_area_sf == 1736
    assert [finding.code for finding in geometry.findings] == ["geometry_differs"]


def test_a_listed_deck_area_is_enough(letter: Letter) -> None:
    bare = letter(structure="K-117", length_ft=None, width_ft=None)
    geometry = offer_geometry(bare, _listed(width_ft=math.nan))
    assert geometry.deck_area_sf == 1736
    assert geometry.width_ft == pytest.approx(28)


@pytest.mark.parametrize(
    ("missing", "named"), [({"width_ft": None}, "out-to-out width"), ({"length_ft": None}, "length")]
)
def test_without_a_deck_area_the_letter_cannot_be_checked(letter: Letter, missing: dict[str, None], named: str) -> None:
    with pytest.raises(BadValue, match=f"states no {named}") as told:
        offer_geometry(letter(**missing), None)
    assert "out-to-out width (not the clear roadway)" in told.value.do


def test_two_spans_without_a_longest_are_taken_as_equal(letter: Letter) -> None:
    geometry = offer_geometry(letter(length_ft=120.0, spans=2), None)
    assert geometry.span_ft == 60
    assert [finding.code for finding in geometry.findings] == ["span_assumed"]


def test_no_number_of_spans_is_one_span_and_worth_a_look(letter: Letter) -> None:
    geometry = offer_geometry(letter(spans=None), None)
    assert geometry.span_ft == 62
    assert [(finding.code, finding.severity) for finding in geometry.findings] == [("spans_not_stated", "check")]

"""A program list: what is filled in is said, what cannot be is refused in clear words."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from bidlens.errors import BadValue
from tests.program.conftest import listed


def codes(plan):
    return [finding.code for finding in plan.findings]


def test_bridges_stand_in_the_owners_order_with_span_and_deck_area(county):
    plan = county.plan(listed(3, priority=[3, 1, 2], spans=2))
    assert list(plan.frame["structure_id"]) == ["P-001", "P-002", "P-000"]
    assert (plan.frame["span_ft"] * 2 == plan.frame["length_ft"]).all()
    assert (plan.frame["deck_area_sf"] == plan.frame["length_ft"] * plan.frame["width_ft"]).all()


def test_a_missing_size_is_that_of_the_present_bridge_and_said(county):
    plan = county.plan(listed(1, length_ft=np.nan, width_ft=np.nan, spans=np.nan))
    row = plan.frame.iloc[0]
    assert (row["length_ft"], row["width_ft"], row["spans"], row["span_ft"]) == (40, 24, 2, 20)
    assert row["name"] == "Alder Road over Tansy Creek"
    assert "size_of_present_bridge" in codes(plan)


def test_bridges_without_a_letting_are_let_in_the_middle_of_the_year(county):
    plan = county.plan(listed(2, letting_date=[pd.NaT, pd.Timestamp("2027-10-01")]))
    assert list(plan.frame["letting_date"]) == [pd.Timestamp("2027-07-01"), pd.Timestamp("2027-10-01")]
    assert "letting_assumed" in codes(plan)


def test_bridges_of_another_year_are_left_out_and_named(county):
    plan = county.plan(listed(2, letting_date=[pd.Timestamp("2028-03-01"), pd.Timestamp("2027-10-01")]))
    assert list(plan.frame["structure_id"]) == ["P-001"]
    assert "P-000" in next(finding.text for finding in plan.findings if finding.code == "other_year")


def test_an_unknown_type_is_kept_and_said(county):
    plan = county.plan(listed(2, superstructure=["moon rock", ""]))
    assert codes(plan)[:2] == ["unknown_superstructure", "superstructure_not_stated"]
    assert list(plan.frame["superstructure"]) == ["moon rock", "not stated"]


def test_fixed_costs_and_contingency_are_inputs_under_their_own_names(county):
    plan = county.plan(listed(2, engineering_usd=[50_000, np.nan], railroad_usd=10_000), contingency_ratio=0.10)
    assert list(plan.fixed_usd) == [60_000, 10_000]
    said = next(finding.text for finding in plan.findings if finding.code == "what_is_in")
    assert said == (
        "Added as given, not predicted: engineering, railroad. Not in these dollars: right of way, utilities. "
        "Contingency of 10% added to every contract."
    )


@pytest.mark.parametrize(
    ("bridges", "told"),
    [
        (listed(2).head(0), "holds no bridge"),
        (listed(2, structure_id="P-7"), "P-7 stands twice"),
        (listed(2, structure_id=["P-7", " "]), "bridge 2 of the program list names no structure"),
        (listed(1, width_ft=np.nan, structure_id="P-900"), "no planned width, and neither has the structure list"),
        (listed(1, width_ft=np.nan, structure_id="P-901"), "no planned width, and it is not in the structure list"),
        (listed(1, length_ft=np.nan, structure_id="P-901"), "no planned length"),
        (listed(1, width_ft=-28.0), "P-000: width of −28"),
        (listed(1, utilities_usd=-1.0), "P-000: utilities of −1"),
        (listed(1).drop(columns="superstructure"), "no column superstructure"),
    ],
)
def test_a_list_that_cannot_be_used_is_refused(county, bridges, told):
    with pytest.raises(BadValue, match=told):
        county.plan(bridges)


@pytest.mark.parametrize(
    ("year", "told"),
    [
        (2005, "2005 Q3, before the history begins in 2012 Q1"),
        (2033, "to 2033; the cost index is published to 2026 Q1 and forecast 6 years past that year, to 2032"),
    ],
)
def test_a_letting_before_the_history_or_too_far_ahead_is_refused(county, year, told):
    with pytest.raises(BadValue, match=told):
        county.plan(listed(1, letting_date=pd.NaT), year)


def test_a_year_without_bridges_says_which_years_there_are(county):
    with pytest.raises(BadValue, match="planned for 2027\nAsk for 2027"):
        county.plan(listed(2), 2028)


@pytest.mark.parametrize("ratio", [-0.1, 10, np.nan])
def test_a_contingency_that_cannot_be_meant_is_refused(county, ratio):
    with pytest.raises(BadValue, match=r"Write 0\.10 for 10 %"):
        county.plan(listed(1), contingency_ratio=ratio)

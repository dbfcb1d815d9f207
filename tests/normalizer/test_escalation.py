"""Escalation against published deflations."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest

from bidlens.errors import MissingReference
from bidlens.normalizer.escalation import escalate, index_findings, with_adjusted_cost
from bidlens.reference import CostIndex, load_shipped_index


def test_federal_highway_deflations_are_reproduced() -> None:
    # FHWA Highway Statistics 2008, table PT-3C (2003 = 1): 75,162 / 1.141 = 65,874 and two more, as printed.
    # Four consecutive quarters stand for the base and the three years.
    index = CostIndex(
        "PT-3C", "2008", None, ("2003Q1", "2003Q2", "2003Q3", "2003Q4"), np.array([1, 1.141, 1.246, 1.245])
    )
    nominal = pd.Series([75_162.0, 91_144.0, 81_098.0])
    real = escalate(nominal, pd.Series(["2003Q2", "2003Q3", "2003Q4"]), index, "2003Q1")
    assert [round(value) for value in real] == [65_874, 73_149, 65_139]


def test_a_2020_price_in_2024_dollars_follows_the_published_rise() -> None:
    # Eno Center for Transportation (2024), quoting FHWA: 2020Q4 to 2024Q1 is +71.5 %
    index = load_shipped_index()
    price = escalate(pd.Series([100.0]), pd.Series(["2020Q4"]), index, "2024Q1")
    assert price.iloc[0] == pytest.approx(171.5, abs=0.6)  # later releases revised the last quarters


def test_escalating_there_and_back_changes_nothing(index: CostIndex) -> None:
    there = escalate(pd.Series([100.0]), pd.Series(["2020Q2"]), index, "2021Q1")
    assert escalate(there, pd.Series(["2021Q1"]), index, "2020Q2").iloc[0] == pytest.approx(100.0)


def test_a_letting_the_index_does_not_reach_is_kept_without_adjusted_price_and_said(index: CostIndex) -> None:
    frame = pd.DataFrame(
        {
            "contract_id": ["B-1", "B-2", "B-3"],
            "letting_date": pd.to_datetime(["2018-05-01", "2020-05-01", "2022-05-01"]),
            "unit_cost": [90.0, 100.0, 110.0],
        }
    )
    adjusted = with_adjusted_cost(frame, index, "2021Q1")
    assert adjusted["unit_cost_adjusted"].round(4).fillna(-1).tolist() == [-1, 136.3636, -1]
    assert math.isnan(adjusted["index_ratio"].iloc[0])
    assert [finding.code for finding in index_findings(adjusted, index)] == ["before_index", "after_index"]


def test_a_letting_adjusted_by_forecast_is_noted(index: CostIndex) -> None:
    extended = CostIndex(
        index.name,
        index.release,
        None,
        (*index.quarters, "2021Q2"),
        np.append(index.values, 1.5),
        forecast_from="2021Q2",
    )
    frame = pd.DataFrame({"contract_id": ["B-9"], "letting_date": pd.to_datetime(["2021-05-01"]), "unit_cost": [100.0]})
    found = index_findings(with_adjusted_cost(frame, extended, "2021Q1"), extended)
    assert [(finding.code, finding.severity) for finding in found] == [("letting_after_index", "note")]
    assert "2021 Q1" in found[0].text


def test_a_base_quarter_outside_the_index_is_an_error(index: CostIndex) -> None:
    with pytest.raises(MissingReference):
        escalate(pd.Series([1.0]), pd.Series(["2020Q1"]), index, "2030Q1")

"""A small invented county: a price history the model can learn from, an inventory, and a program list."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
import pandas as pd
import pytest

from bidlens.model import CostModel, fit_cost_model
from bidlens.normalizer import UnitCostHistory
from bidlens.program import ProgramList, plan_program
from bidlens.reference import CostIndex, load_shipped_index

TYPES = ("rolled steel beam", "adjacent box beam", "concrete slab")


@dataclass(frozen=True)
class County:
    history: UnitCostHistory
    model: CostModel
    index: CostIndex
    inventory: pd.DataFrame

    def plan(self, bridges: pd.DataFrame, year: int = 2027, **more) -> ProgramList:
        return plan_program(
            bridges,
            self.inventory,
            year,
            first_letting=dt.date(2012, 3, 1),
            last_published=self.index.last_published,
            **more,
        )


def listed(count: int = 6, **more) -> pd.DataFrame:
    """A program list of `count` bridges with sizes of their own."""
    rng = np.random.default_rng(5)
    frame = pd.DataFrame(
        {
            "structure_id": [f"P-{number:03d}" for number in range(count)],
            "priority": range(1, count + 1),
            "superstructure": [TYPES[number % 3] for number in range(count)],
            "length_ft": rng.uniform(30, 90, count).round(),
            "width_ft": rng.uniform(24, 34, count).round(),
            "spans": 1,
            "skew_deg": 0.0,
            "letting_date": pd.Timestamp("2027-02-01"),
        }
    )
    return frame.assign(**more)


def price_frame(rows: int = 60) -> pd.DataFrame:
    rng = np.random.default_rng(11)
    index = load_shipped_index()
    dates = pd.Series(
        pd.to_datetime({"year": 2012 + np.arange(rows) % 14, "month": 1 + np.arange(rows) % 12, "day": 15})
    )
    span = rng.uniform(25, 95, rows)
    level = index.ratios(dates.dt.year.astype(str) + "Q" + dates.dt.quarter.astype(str), "2026Q1").to_numpy()
    return pd.DataFrame(
        {
            "contract_id": [f"C-{number}" for number in range(rows)],
            "structure_id": [f"S-{number}" for number in range(rows)],
            "letting_date": dates,
            "superstructure": [TYPES[number % 3] for number in range(rows)],
            "deck_area_sf": span * 28,
            "span_ft": span,
            "skew_deg": 0.0,
            "bidders": 4.0,
            "unit_cost": 300 / level * np.exp(rng.normal(0, 0.15, rows)),
        }
    )


@pytest.fixture(scope="session")
def county() -> County:
    frame = price_frame()
    index = load_shipped_index()
    history = UnitCostHistory(
        frame=frame,
        category_costs=pd.DataFrame(),
        basis="contract",
        dollars_of="2026Q1",
        index_title=index.title,
        findings=[],
        left_out=pd.DataFrame(),
    )
    inventory = pd.DataFrame(
        {
            "structure_id": ["P-000", "P-900"],
            "name": ["Alder Road over Tansy Creek", "Ninebark Lane"],
            "superstructure": ["timber", "timber"],
            "length_ft": [40.0, np.nan],
            "width_ft": [24.0, np.nan],
            "spans": [2, 1],
            "span_ft": [20.0, np.nan],
            "skew_deg": [0.0, 0.0],
            "year_built": [1950, 1960],
        }
    )
    return County(history, fit_cost_model(frame, index), index, inventory)

"""Small bid tabs and structure lists, written in the words of the trade."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pytest

from bidlens.reference import CostIndex


def _letting(contract_id: str = "B-1", date: str = "2020-03-10", **more: Any) -> dict[str, Any]:
    row = {"contract_id": contract_id, "letting_date": date, "status": "awarded", "bidders": 3, "low_bidder": "Wren"}
    return row | more


def _structure(structure_id: str = "K-1", contract_id: str = "B-1", **more: Any) -> dict[str, Any]:
    row = {
        "structure_id": structure_id, "contract_id": contract_id, "letting_date": None, "schedule": "",
        "name": "Otterbank", "superstructure": "rolled steel beam", "deck_area_sf": np.nan, "length_ft": 60.0,
        "width_ft": 30.0, "spans": 1, "span_ft": 58.0, "skew_deg": 0.0,
    }  # fmt: skip
    return row | more


#: Builds rows from dicts of what differs from the usual.
Rows = Callable[..., pd.DataFrame]


class BidTab:
    """Collects priced lines; `frame()` gives them as the store hands them over."""

    def __init__(self) -> None:
        self.rows: list[dict[str, Any]] = []

    def line(self, category: str, usd: float, **more: Any) -> BidTab:
        number = len(self.rows) + 2
        row = {
            "contract_id": "B-1", "letting_date": "2020-03-10", "schedule": "", "line": str(number),
            "item_code": "", "description": f"some {category.replace('_', ' ')}", "pay_unit": "LS", "quantity": 1.0,
            "unit_price": usd, "extension": usd, "work_category": category, "category_rule": "test",
            "source_file": "tab.csv", "source_sheet": None, "source_row": number, "low_bidder": "Wren",
        }  # fmt: skip
        self.rows.append(row | more)
        return self

    def frame(self) -> pd.DataFrame:
        return pd.DataFrame(self.rows).assign(letting_date=lambda rows: pd.to_datetime(rows["letting_date"]))


@pytest.fixture
def tab() -> BidTab:
    return BidTab()


def _frame(row: Callable[..., dict[str, Any]]) -> Callable[..., pd.DataFrame]:
    def build(*rows: dict[str, Any]) -> pd.DataFrame:
        frame = pd.DataFrame([row(**given) for given in rows or ({},)])
        return frame.assign(letting_date=pd.to_datetime(frame["letting_date"]))

    return build


@pytest.fixture
def lettings() -> Callable[..., pd.DataFrame]:
    """lettings(dict(contract_id=...), ...): awarded lettings of 10 March 2020 unless said otherwise."""
    return _frame(_letting)


@pytest.fixture
def structures() -> Callable[..., pd.DataFrame]:
    """structures(dict(structure_id=...), ...): rolled beam spans of 60 x 30 ft on B-1 unless said otherwise."""
    return _frame(_structure)


@pytest.fixture
def index() -> CostIndex:
    """2019Q4 to 2021Q1: 1.00, 1.00, 1.10, 1.20, 1.25, 1.50."""
    quarters = ("2019Q4", "2020Q1", "2020Q2", "2020Q3", "2020Q4", "2021Q1")
    return CostIndex("Test index", "2021Q1", None, quarters, np.array([1.0, 1.0, 1.1, 1.2, 1.25, 1.5]))

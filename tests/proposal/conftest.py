"""An invented county's priced structures, letters to check against them, and a cost index."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import numpy as np
import pandas as pd
import pytest

from bidlens.model import CostModel, fit_cost_model
from bidlens.normalizer import UnitCostHistory, unit_cost_history
from bidlens.proposal import Proposal, ProposalCheck, check_proposal
from bidlens.reference import CostIndex

#: $/sf of each kind of work on a usual job.
WORK = {"beams": 70.0, "bearings": 4.0, "deck": 36.0, "railing": 22.0, "wearing_surface": 5.0, "substructure": 60.0}
QUARTERS = tuple(f"{year}Q{quarter}" for year in range(2014, 2026) for quarter in (1, 2, 3, 4))


@pytest.fixture(scope="session")
def index() -> CostIndex:
    """2014Q1 to 2025Q4, rising 1 % a quarter."""
    return CostIndex("Test index", "2025Q4", None, QUARTERS, 1.01 ** np.arange(len(QUARTERS)))


@pytest.fixture(scope="session")
def flat_index() -> CostIndex:
    """2014Q1 to 2025Q4, no rise at all: prices as bid are prices in any dollars."""
    return CostIndex("Flat index", "2025Q4", None, QUARTERS, np.ones(len(QUARTERS)))


class County:
    """Collects priced bridges as lettings of one structure; `history` prices them on a basis."""

    def __init__(self) -> None:
        self.items: list[dict[str, Any]] = []
        self.lettings: list[dict[str, Any]] = []
        self.structures: list[dict[str, Any]] = []

    def bridge(
        self,
        work: dict[str, float],
        *,
        kind: str = "rolled steel beam",
        date: str = "2022-05-10",
        length_ft: float = 60.0,
        width_ft: float = 28.0,
        span_ft: float | None = None,
    ) -> County:
        """One bridge with its $/sf by kind of work, as bid."""
        number = len(self.lettings)
        contract, area = f"B-{number:03d}", length_ft * width_ft
        letting = {"contract_id": contract, "letting_date": pd.Timestamp(date)}
        self.lettings.append(letting | {"status": "awarded", "bidders": 3, "low_bidder": "Basalt Civil"})
        self.structures.append(
            {
                "structure_id": f"K-{number:03d}", "contract_id": contract, "letting_date": pd.NaT, "schedule": "",
                "name": "Otterbank", "superstructure": kind, "deck_area_sf": np.nan, "length_ft": length_ft,
                "width_ft": width_ft, "spans": 1, "span_ft": span_ft or length_ft, "skew_deg": 0.0,
            }
        )  # fmt: skip
        for line, (category, per_sf) in enumerate(work.items(), start=1):
            usd = per_sf * area
            self.items.append(
                letting
                | {
                    "schedule": "", "line": str(line), "item_code": "", "description": f"{category} work",
                    "pay_unit": "LS", "quantity": 1.0, "unit_price": usd, "extension": usd,
                    "work_category": category, "category_rule": "test", "source_file": f"{contract}.csv",
                    "source_sheet": None, "source_row": line + 1,
                }
            )  # fmt: skip
        return self

    def usual(self, n: int, *, seed: int = 1, scatter: float = 0.15, **changes: Any) -> County:
        """n bridges of WORK with scatter, let from 2016 to 2025 on spans about 60 ft."""
        rng = np.random.default_rng(seed)
        for _ in range(n):
            day = pd.Timestamp("2016-02-01") + pd.Timedelta(days=int(rng.integers(0, 3500)))
            length = float(60 * np.exp(rng.normal(0, 0.25)))
            level = np.exp(rng.normal(0, scatter))
            work = {name: price * level * float(np.exp(rng.normal(0, 0.1))) for name, price in WORK.items()}
            self.bridge(work, **({"date": str(day.date()), "length_ft": length} | changes))
        return self

    def history(
        self, index: CostIndex, basis: str = "superstructure", dollars_of: str | None = None
    ) -> UnitCostHistory:
        return unit_cost_history(
            pd.DataFrame(self.items),
            pd.DataFrame(self.lettings),
            pd.DataFrame(self.structures),
            index,
            basis,
            dollars_of,
        )


@pytest.fixture
def county() -> County:
    return County()


Letter = Callable[..., Proposal]
Check = Callable[..., ProposalCheck]


@pytest.fixture(scope="session")
def letter() -> Letter:
    """letter(price_per_sf=...): a letter for a 62 x 28 ft span with everything in it, delivered in the last quarter."""

    def write(**changes: Any) -> Proposal:
        fields: dict[str, Any] = {
            "proposal_id": "harrier", "supplier": "Harrier Steel Works", "superstructure": "rolled steel beam",
            "scope": ("furnish", "deliver", "set", "bearings", "deck", "railing", "wearing_surface", "joints"),
            "price_per_sf": Decimal("140"), "date": dt.date(2025, 9, 10), "delivery": dt.date(2025, 11, 3),
            "length_ft": 62.0, "width_ft": 28.0, "spans": 1, "skew_deg": 0.0,
        }  # fmt: skip
        return Proposal(**(fields | changes))

    return write


@pytest.fixture(scope="session")
def check(index: CostIndex) -> Check:
    """check(proposal, history): with the real model fitted to that history."""

    def run(proposal: Proposal, history: UnitCostHistory, **given: Any) -> ProposalCheck:
        used = given.pop("index", index)
        model: CostModel | None = fit_cost_model(history.frame, index=used) if len(history.frame) else None
        structure = given.pop("structure", None)
        return check_proposal(proposal, structure=structure, history=history, model=model, index=used, **given)

    return run

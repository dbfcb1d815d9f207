"""An invented history and check for the figures: fields as the figures read them, numbers from a fixed seed."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd

KINDS = {
    "rolled steel beam": (19, 62, 140),
    "adjacent box beam": (16, 70, 149),
    "concrete slab": (13, 34, 125),
    "prestressed I-beam": (12, 92, 144),
    "timber": (6, 24, 118),
    "steel plate girder": (3, 118, 220),
}
QUANTILES = {"p05": -1.645, "p10": -1.282, "p25": -0.674, "p50": 0.0, "p75": 0.674, "p90": 1.282, "p95": 1.645}


def history() -> pd.DataFrame:
    """69 structures of six types, one a contract, let 2012 to 2025."""
    rng = np.random.default_rng(20260210)
    rows = []
    for kind, (n, span, price) in KINDS.items():
        for _ in range(n):
            day = dt.date(2012, 3, 1) + dt.timedelta(days=int(rng.integers(0, 4900)))
            rows.append(
                {
                    "contract_id": f"B-{1000 + len(rows)}",
                    "structure_id": f"K-{100 + len(rows)}",
                    "letting_date": pd.Timestamp(day),
                    "superstructure": kind,
                    "span_ft": float(span * np.exp(rng.normal(0, 0.28))),
                    "deck_area_sf": float(rng.uniform(900, 3200)),
                    "bidders": int(rng.integers(1, 8)),
                    "unit_cost_adjusted": float(price * np.exp(rng.normal(0, 0.17))),
                    "source_file": f"letting_{day:%Y_%m}.csv",
                }
            )
    return pd.DataFrame(rows)


def adjustment(what: str, per_sf: float, source: str = "", n: int | None = None, middle: Any = (None, None)) -> Any:
    return SimpleNamespace(what=what, per_sf=per_sf, source=source, n=n, low_per_sf=middle[0], high_per_sf=middle[1])


def expected(p50: float = 147.0, scatter: float = 0.19) -> dict[str, float]:
    ranges = {name: float(p50 * np.exp(z * scatter)) for name, z in QUANTILES.items()}
    return {**ranges, "mean": p50 * 1.02}


def check(**changes: Any) -> Any:
    """A check of a rolled steel beam offer at K-117: quoted $104, $162.7 like for like, with $147 expected."""
    proposal = SimpleNamespace(
        proposal_id="harrier_k117",
        supplier="Harrier Steel Works",
        superstructure="rolled steel beam",
        scope=("furnish", "deliver", "set", "bearings"),
        date=dt.date(2026, 2, 10),
        delivery=dt.date(2026, 9, 1),
        structure="K-117",
        price_usd=Decimal("180544"),
    )
    fields: dict[str, Any] = {
        "proposal": proposal,
        "basis": "superstructure",
        "dollars_of": "2026Q1",
        "span_ft": 62.0,
        "width_ft": 28.0,
        "length_ft": 62.0,
        "deck_area_sf": 1736.0,
        "quoted_per_sf": 104.0,
        "like_for_like_per_sf": 162.7,
        "adjustments": (
            adjustment("Deck slab, reinforcement", 34.2, n=17, middle=(29.1, 41.2)),
            adjustment("Railing", 21.6, n=19, middle=(19.0, 26.4)),
            adjustment("Wearing surface", 5.3, n=14, middle=(4.1, 7.0)),
            adjustment("2026 Q3 to 2026 Q1 dollars", -2.4, source="index, forecast 2 quarters"),
        ),
        "expected": expected(),
        "grade": "A",
        "percentile": 0.7,
        "difference_ratio": 0.107,
        "history": SimpleNamespace(contracts=69, same_type=19, first=dt.date(2012, 3, 1), last=dt.date(2025, 7, 1)),
    }
    return SimpleNamespace(**{**fields, **changes})


def curve(low: float = 26.0, high: float = 118.0) -> pd.DataFrame:
    """A span curve as the workflow gives it: ascending spans and the expected range at each."""
    spans = np.geomspace(low, high, 60)
    middle = 147 * np.exp(0.16 * np.log(spans / 62) ** 2)
    wider = 0.19 + 0.05 * np.abs(np.log(spans / 62))
    bands = {name: middle * np.exp(z * wider) for name, z in QUANTILES.items()}
    return pd.DataFrame({"span_ft": spans, **bands})


def backtest(n: int = 57) -> Any:
    """Predictions of past lettings, nine in ten inside their range."""
    rng = np.random.default_rng(7)
    middle = rng.uniform(110, 190, n)
    z = rng.normal(0, 1.05, n)
    frame = pd.DataFrame(
        {
            "contract_id": [f"B-{2000 + i}" for i in range(n)],
            "structure_id": [f"K-{i}" for i in range(n)],
            "letting_date": pd.date_range("2017-02-01", "2025-11-01", periods=n),
            "superstructure": "rolled steel beam",
            "unit_cost": middle * np.exp(0.2 * z),
            "p05": middle * np.exp(-0.2 * 1.645),
            "p50": middle,
            "p95": middle * np.exp(0.2 * 1.645),
            "inside": np.abs(z) <= 1.645,
        }
    )
    return SimpleNamespace(
        n=n, median_abs_error=0.15, coverage_90=float(frame["inside"].mean()), type_mean_median_abs_error=0.21,
        lettings=frame, findings=[],
    )  # fmt: skip

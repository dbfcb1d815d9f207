"""Small invented lettings for the review's tests."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

DAY = pd.Timestamp("2025-03-12")


def bids_of(
    contract_id: str,
    totals: Sequence[float],
    *,
    as_read: Sequence[float] | None = None,
    status: str = "not stated",
    statuses: Sequence[str] | None = None,
    date: pd.Timestamp = DAY,
    names: Sequence[str] | None = None,
    stated: int | None = None,
) -> pd.DataFrame:
    """The bids of one letting as the record gives them, ranked by total."""
    frame = pd.DataFrame(
        {
            "bidder": list(names or [f"Bidder {chr(65 + n)}" for n in range(len(totals))]),
            "status": list(statuses or ["responsive"] * len(totals)),
            "total_as_read": [float(total) for total in (as_read or totals)],
            "total_corrected": [float(total) for total in totals],
        }
    )
    ranked = frame["status"] == "responsive"
    for kind in ("as_read", "corrected"):
        frame[f"rank_{kind}"] = frame[f"total_{kind}"].where(ranked).rank(method="min").astype("Int64")
    facts = {
        "contract_id": contract_id,
        "letting_date": date,
        "contract_status": status,
        "agency": "",
        "description": "",
        "bids_stated": stated,
    }
    source = {"letting_file": "letting.csv", "letting_sheet": "", "letting_row": 2}
    return frame.assign(**facts, **source)


def estimate_of(contract_id: str, usd: float, date: pd.Timestamp = DAY, priced_lines: int = 3) -> pd.DataFrame:
    return pd.DataFrame(
        {"contract_id": [contract_id], "letting_date": [date], "base_lines": [3], "priced_lines": [priced_lines],
         "estimate_usd": [float(usd)]}
    )  # fmt: skip


def lines_of(contract_id: str, rows: Sequence[dict[str, object]], date: pd.Timestamp = DAY) -> pd.DataFrame:
    """Lines of one letting with the low bidder's, the second bidder's and the estimate's money."""
    base = {
        "schedule": "1", "item_code": "", "description": "Item", "pay_unit": "CY", "quantity": 1.0,
        "work_category": "deck", "low_bidder": "Bidder A", "second_bidder": "Bidder B", "low_price": float("nan"),
        "low_usd": float("nan"), "second_price": float("nan"), "second_usd": float("nan"),
        "estimate_price": float("nan"), "estimate_usd": float("nan"), "low_total": float("nan"),
        "second_total": float("nan"), "source_file": "letting.csv", "source_sheet": "", "source_row": 3,
    }  # fmt: skip
    table = pd.DataFrame([{**base, "line": str(n), **row} for n, row in enumerate(rows, start=1)])
    return table.assign(contract_id=contract_id, letting_date=date)

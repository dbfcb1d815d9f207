"""Priced rows: what every bid tab layout is turned into before contracts, bids and totals are made of it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd
from pandas.api.types import union_categoricals

from bidlens.batch import SET_ASIDE_COLUMNS
from bidlens.findings import Finding
from bidlens.ingest.cells import text
from bidlens.ingest.grid import Grid

#: Columns of `PricedRows.frame`. Text columns are categories. Decimals are Arrow decimals of 18 digits.
TEXT_COLUMNS = ("contract_id", "schedule", "line", "item_code", "description", "pay_unit", "bidder", "bid_status",
                "contract_status", "agency", "work", "tail", "source_sheet")  # fmt: skip


@dataclass(slots=True, eq=False)
class PricedRows:
    """One row per item and bidder, as read, the estimate among them.

    frame : `TEXT_COLUMNS` (tail: the rest of a description that was wrapped onto the next row); letting_date (Arrow
        date); is_estimate, no_bid (bool); order (float, NaN where none);
        quantity (4 decimals), unit_price (5), extension_as_read (2), bid_total (2; the printed total, if repeated on
        each row); source_row (int); entered_price (5), where a rule for entering unit prices applies.
    printed_totals : (contract_id, schedule, bidder) -> whole cents printed in a total row, None if unreadable.
    has_line : the file numbers its lines itself. rows_kept : rows of the file that became data or named the columns.
    """

    frame: pd.DataFrame
    has_line: bool
    rows_kept: int
    printed_totals: dict[tuple[str, str, str], int | None] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)


def join(frames: list[pd.DataFrame]) -> pd.DataFrame:
    """Frames of priced rows one below the other, their text columns still categories."""
    if len(frames) == 1:
        return frames[0]
    joined = pd.concat([frame.select_dtypes(exclude="category") for frame in frames], ignore_index=True)
    texts = frames[0].select_dtypes("category").columns
    return joined.assign(**{name: union_categoricals([frame[name] for frame in frames]) for name in texts})


def structures_named(rows: pd.DataFrame) -> pd.Series:
    """The structure numbers that a column of the file names, joined by “; ”, by letting that has any."""
    if "structure" not in rows or not any(rows["structure"].cat.categories):
        return pd.Series(dtype="str")
    named = rows.loc[rows["structure"] != "", ["letting", "structure"]].drop_duplicates().astype({"structure": "str"})
    return named.groupby("letting")["structure"].agg("; ".join)


def set_aside(grid: Grid, indexes: list[int] | np.ndarray, reasons: list[str]) -> pd.DataFrame:
    """Rows of a grid (counted from 0) as set-aside rows, each with its reason and its cells as read."""
    told = {
        "source_file": grid.file,
        "source_sheet": grid.sheet,
        "source_row": [int(index) + 1 for index in indexes],
        "reason": reasons,
        "text": [" | ".join(shown for cell in grid.rows[index] if (shown := text(cell))) for index in indexes],
    }
    return pd.DataFrame(told, columns=list(SET_ASIDE_COLUMNS))

"""One file as read: typed rows for the store, rows set aside, and findings. Nothing is stored yet."""

from __future__ import annotations

from dataclasses import dataclass, field

import pandas as pd

from bidlens.findings import Finding

SET_ASIDE_COLUMNS = ("source_file", "source_sheet", "source_row", "reason", "text")


@dataclass(slots=True, eq=False)
class Batch:
    """What one file holds.

    tables : stored table name -> frame with that table's columns, without `batch_id`. Money and quantities are
        exact decimal text, `Decimal`, or floats where the file itself holds floats.
    set_aside : one row per row not taken as data; columns `SET_ASIDE_COLUMNS`.
    rows_read : rows of the file that are not blank, headings included.
    contracts : contracts (or structures, proposals, index quarters) found.
    """

    source_file: str
    sha256: str
    kind: str
    layout: str
    rows_read: int
    contracts: int
    tables: dict[str, pd.DataFrame]
    set_aside: pd.DataFrame
    findings: list[Finding] = field(default_factory=list)

    @property
    def rows_set_aside(self) -> int:
        return len(self.set_aside)

    @property
    def rows_kept(self) -> int:
        """Every row read is either kept or set aside; there is no third place."""
        return self.rows_read - self.rows_set_aside


def no_rows_set_aside() -> pd.DataFrame:
    """An empty frame of set-aside rows."""
    return pd.DataFrame({name: pd.Series(dtype="object") for name in SET_ASIDE_COLUMNS})

"""From a number on record back to the file: which import brought a row, and the row as it was read."""

from __future__ import annotations

import datetime as dt
import tempfile
from pathlib import Path
from typing import Any

import pandas as pd

from bidlens import store
from bidlens.errors import NotOnRecord, Place
from bidlens.ingest.as_read import RowsAsRead, rows_as_read
from bidlens.store import Original


class Tracing:
    """The part of `Database` that leads from a row on record to the file it came from."""

    store: store.Store

    def source_batches(self, contract_id: str, letting_date: dt.date) -> pd.DataFrame:
        """The files that hold lines of one letting, each with its import and whether the file itself was kept."""
        return store.ask(self.store, "source_batches", contract_id=contract_id, letting_date=letting_date)

    def row_as_read(self, batch_id: int, source_sheet: str, source_row: int) -> RowsAsRead:
        """A row of an imported file as it stands in the file, with its headings and the rows above and below.

        source_sheet : "" for plain text files. Raises NotOnRecord if the file was not kept or has no such row.
        """
        with self.store.open():  # one opening for both questions, let go before the file is read
            kind = self._kind_of(batch_id)
            kept = store.original(self.store, batch_id)
        with tempfile.TemporaryDirectory(prefix="bidlens-") as folder:
            copy = Path(folder) / f"kept{Path(kept.source_file).suffix.lower()}"
            copy.write_bytes(kept.content)
            return rows_as_read(copy, kept.source_file, source_sheet, source_row, kind)

    def line_as_read(
        self, contract_id: str, letting_date: dt.date, source_file: str, source_sheet: str, source_row: int
    ) -> RowsAsRead:
        """As `row_as_read`, of a line of one letting, by the name of its file."""
        batches = self.source_batches(contract_id, letting_date)
        own = batches[batches["source_file"] == source_file]
        if own.empty:
            raise NotOnRecord(
                f"no line of contract {contract_id} came from this file",
                where=Place(source_file, source_sheet or None, source_row),
            )
        return self.row_as_read(int(own["batch_id"].iloc[-1]), source_sheet, source_row)

    def batch_contents(self, batch_id: int) -> pd.DataFrame:
        """What one import brought, kind by kind with how many: what would go if it were taken back."""
        return store.ask(self.store, "batch_contents", batch_id=batch_id)

    def original(self, batch_id: int) -> Original:
        """The file of an import, byte for byte, where it was kept."""
        return store.original(self.store, batch_id)

    def _kind_of(self, batch_id: int) -> Any:
        imports = store.ask(self.store, "imports")
        own = imports.loc[imports["batch_id"] == batch_id, "kind"]
        if own.empty:
            raise NotOnRecord(f"there is no import {batch_id}")
        return own.iloc[0]

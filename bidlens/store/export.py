"""Everything on record as plain files, so that nobody is locked in.

The rows leave the database as Arrow and are written from here: the database itself may not touch other files.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import duckdb
import pyarrow as pa
import pyarrow.compute as pc

from bidlens.errors import BadValue, BidlensError, StoreError
from bidlens.schema import Table
from bidlens.store.connection import Store
from bidlens.store.statements import statement
from bidlens.tables import TABLES

#: The files themselves are handed back one by one (`originals.original`); they are no rows of a table.
EXPORTED = tuple(table for table in TABLES if table.name != "kept_file")
#: Tables that leave with the columns of the pay item they price.
_WITH_PAY_ITEM = ("bid_price", "estimate_price")
_ROWS_AT_A_TIME = 100_000
#: What makes a spreadsheet program take a cell for a formula.
_FORMULA_START = r"^[=+\-@\t\r]"
_Write = Callable[[pa.RecordBatch], Any]


def export_tables(store: Store, folder: str | Path, csv: bool = False) -> list[Path]:
    """Write each stored table but `kept_file` to `folder` as TABLE.parquet, or TABLE.csv in UTF-8; returns the files.

    `bid_price` and `estimate_price` carry code, description, pay unit, quantity and work category of their pay item.
    Money is exact decimal. In CSV a text that a spreadsheet would take for a formula is given a leading '.
    Files of the same names are replaced, each one only when it is complete; nothing else in the folder is touched.

    Raises BadValue if the folder is a file or cannot be written, StoreError if the disk is full.
    """
    target = Path(folder).expanduser()
    written = []
    with store.open() as cursor:
        _make_folder(target)
        for table in EXPORTED:
            path = target / f"{table.name}.{'csv' if csv else 'parquet'}"
            with _complaints_about(path):
                _write_table(cursor, table, path, csv)
            written.append(path)
    return written


def _write_table(cursor: duckdb.DuckDBPyConnection, table: Table, path: Path, csv: bool) -> None:
    """One table into a file beside the final one, which takes its place when it is complete."""
    rows = cursor.sql(_query(table)).to_arrow_reader(_ROWS_AT_A_TIME)
    unfinished = path.with_name(f"{path.name}.unfinished")
    try:
        with _csv_writer(unfinished, rows.schema) if csv else _parquet_writer(unfinished, rows.schema) as write:
            for batch in rows:
                write(_safe_for_spreadsheets(batch) if csv else batch)
        unfinished.replace(path)
    finally:
        unfinished.unlink(missing_ok=True)


def _query(table: Table) -> str:
    if table.name in _WITH_PAY_ITEM:
        return statement(f"export/{table.name}")
    return statement("export/table", table=table.name)


@contextlib.contextmanager
def _parquet_writer(path: Path, schema: pa.Schema) -> Iterator[_Write]:
    import pyarrow.parquet as pq  # slow to import and needed here alone

    with pq.ParquetWriter(path, schema, compression="zstd") as writer:
        yield writer.write_batch


@contextlib.contextmanager
def _csv_writer(path: Path, schema: pa.Schema) -> Iterator[_Write]:
    import pyarrow.csv as pacsv

    with pacsv.CSVWriter(path, schema) as writer:
        yield writer.write_batch


def _safe_for_spreadsheets(batch: pa.RecordBatch) -> pa.RecordBatch:
    columns = [_no_formula(column) if pa.types.is_string(column.type) else column for column in batch.columns]
    return pa.RecordBatch.from_arrays(columns, schema=batch.schema)


def _no_formula(texts: pa.Array) -> pa.Array:
    risky = pc.match_substring_regex(texts, _FORMULA_START)
    return pc.if_else(risky, pc.binary_join_element_wise("'", texts, ""), texts)


def _make_folder(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise BadValue("this is a file, not a folder", where=str(folder), do="Name a folder to export to.")
    with _complaints_about(folder):
        folder.mkdir(parents=True, exist_ok=True)


@contextlib.contextmanager
def _complaints_about(path: Path) -> Iterator[None]:
    """What the operating system reports about a file or folder, in plain words."""
    try:
        yield
    except BidlensError:
        raise
    except (PermissionError, FileExistsError, NotADirectoryError, IsADirectoryError) as error:
        raise BadValue(
            f"this cannot be written: {_reason(error)}", where=str(path), do="Choose another folder."
        ) from error
    except OSError as error:
        raise StoreError(
            f"the export stopped: {_reason(error)}", where=str(path), do="Free some space and try again."
        ) from error


def _reason(error: OSError) -> str:
    """The system's own words; Arrow's errors carry its number with a longer text."""
    return os.strerror(error.errno) if error.errno else str(error)

"""A batch as Arrow tables in the stored columns, checked before the record is locked."""

from __future__ import annotations

from dataclasses import replace
from functools import cache, partial

import duckdb
import pandas as pd
import pyarrow as pa

from bidlens.batch import Batch
from bidlens.errors import BadValue
from bidlens.findings import Finding, findings_frame
from bidlens.schema import Table
from bidlens.side_by_side import side_by_side
from bidlens.store.connection import SETTINGS
from bidlens.store.statements import statement
from bidlens.tables import BY_NAME, DECISIONS, FINDING, SET_ASIDE, TABLES

WRITTEN_BY_THE_STORE = ("import_batch", "set_aside", "finding", "setting", "replaced_row", "kept_file", "forecast")
#: Tables that a file fills, parents first; the store itself writes the others.
FILLED_BY_FILES = tuple(table for table in TABLES if table not in DECISIONS and table.name not in WRITTEN_BY_THE_STORE)

#: Stored table name -> rows for it. The batch's number is not known yet: `batch_id` is 0.
Staged = dict[str, pa.Table]


def stage(batch: Batch) -> Staged:
    """Every table that files fill, and `set_aside`, in the stored columns and types; tables without rows are empty.

    Raises BadValue if the batch holds a table files do not fill, or rows that do not fit their table.
    """
    known = {table.name for table in FILLED_BY_FILES}
    if strange := sorted(set(batch.tables) - known):
        raise BadValue(f"files do not fill the table {', '.join(strange)}", where=batch.source_file)
    conforming = {table.name: partial(_conformed, table, batch.tables.get(table.name)) for table in FILLED_BY_FILES}
    staged = side_by_side(batch.rows_read, conforming)
    staged["set_aside"] = _conformed(_by_row_number(SET_ASIDE), batch.set_aside)
    return staged


def stage_findings(findings: list[Finding]) -> pa.Table:
    """Rows for the table `finding`; a doubt said twice in the same words about the same row is kept once."""
    return _conformed(_by_row_number(FINDING), findings_frame(findings).drop_duplicates())


def register(cursor: duckdb.DuckDBPyConnection, staged: Staged) -> None:
    """Make the staged rows known to SQL as `staged_contract` and so on."""
    for name, rows in staged.items():
        cursor.register(f"staged_{name}", rows)


def _conformed(table: Table, frame: pd.DataFrame | None) -> pa.Table:
    if frame is None or frame.empty:
        return pa.schema([(column.name, column.arrow_type) for column in BY_NAME[table.name].columns]).empty_table()
    return table.conform(frame.assign(batch_id=0))


def _by_row_number(table: Table) -> Table:
    """The table with no key to check: rows of these two may lack a row number, and two may then look alike."""
    return replace(table, key=())


def check_belonging(staged: Staged, source_file: str) -> None:
    """Refuse prices without a line, bids without a contract and so on: an answer would pass over them silently.

    Asks a database of its own in memory: the record need not be held for it. Raises BadValue with the rows that have
    no parent in the batch.
    """
    with _alone().cursor() as asking:
        register(asking, staged)
        offences = asking.execute(statement("saving/rows_without_parent")).fetchall()
    if offences:
        raise BadValue(
            "; ".join(
                f"{count} rows of {child} have no {parent}, as {example}" for child, parent, count, example in offences
            ),
            where=source_file,
            do="Nothing was stored. The file was read wrongly or is incomplete.",
        )


@cache
def _alone() -> duckdb.DuckDBPyConnection:
    """A database in memory that holds nothing, opened once: opening one takes longer than most questions. What is
    made known to one of its cursors, the others do not see."""
    return duckdb.connect(config=SETTINGS)

"""Taking one import back whole."""

from __future__ import annotations

import duckdb

from bidlens.errors import NotOnRecord
from bidlens.store.again import bring_back, hand_on, holds_replaced
from bidlens.store.connection import Store, transaction
from bidlens.store.statements import statement
from bidlens.tables import TABLES

_NAMED = 20


def undo_batch(store: Store, batch_id: int) -> dict[str, int]:
    """Remove every row that came with an import, its row in the history included, in one transaction.

    Returns stored table name -> rows removed, tables that lost none left out. Rows that a later file brought of the
    same contracts stay set aside: take that import back too and import its file again to use them. Rows of contracts
    that this import replaced come back.
    Raises NotOnRecord, naming the imports there are.
    """
    with store.open(write=True) as cursor, transaction(cursor):
        imports = dict(cursor.execute("SELECT batch_id, source_file FROM import_batch ORDER BY batch_id").fetchall())
        if batch_id not in imports:
            raise _unknown(batch_id, imports)
        hand_on(cursor, batch_id)
        back = holds_replaced(cursor, batch_id)
        removed = {
            table.name: _removed(cursor, table.name, batch_id)
            for table in reversed(TABLES)
            if "batch_id" in table.column_names and table.name != "replaced_row"
        }
        if back:
            bring_back(cursor, batch_id)
    return {table.name: removed[table.name] for table in TABLES if removed.get(table.name)}


def _removed(cursor: duckdb.DuckDBPyConnection, table: str, batch_id: int) -> int:
    sql = statement("saving/remove_rows", table=table)
    return int(cursor.execute(sql, {"batch_id": batch_id}).fetchall()[0][0])


def _unknown(batch_id: int, imports: dict[int, str]) -> NotOnRecord:
    named = [f"{number} ({name})" for number, name in imports.items()][-_NAMED:]
    listed = f"Imports on record: {', '.join(named)}." if named else "No file has been imported yet."
    return NotOnRecord(f"there is no import {batch_id}", do=listed)

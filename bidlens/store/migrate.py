"""Making a cost record, and bringing one of an earlier version up to date."""

from __future__ import annotations

import duckdb

from bidlens.errors import NotOnRecord, StoreError
from bidlens.schema import Table
from bidlens.store.connection import Store, transaction
from bidlens.store.trouble import OlderRecord
from bidlens.tables import SCHEMA_VERSION, TABLES


def create_or_upgrade(store: Store) -> None:
    """See that the record exists and has today's tables. Call it before writing; costs one short read when it does.

    Raises StoreError if the record is from a newer version, or of an earlier one that cannot be extended.
    """
    try:
        with store.open():
            return
    except (NotOnRecord, OlderRecord):
        _make_todays_tables(store)


def bring_up_to_date(store: Store) -> bool:
    """Extend a record of an earlier version, adding tables and columns only; True if it was one. Call it on opening.

    A record that is not there yet, or that cannot be opened for another reason, is left for its first use to tell.
    Raises StoreError if it is of an earlier version and cannot be extended, or not be written.
    """
    try:
        with store.open():
            return False
    except OlderRecord:
        _make_todays_tables(store)
        return True
    except (NotOnRecord, StoreError):
        return False


def _make_todays_tables(store: Store) -> None:
    with store.open(write=True, create=True) as cursor, transaction(cursor):
        columns = _columns_on_record(cursor)
        for table in TABLES:
            _make_or_extend(cursor, table, columns.get(table.name, set()), store)
        cursor.execute("INSERT OR REPLACE INTO setting VALUES ('schema_version', $1)", [str(SCHEMA_VERSION)])


def _columns_on_record(cursor: duckdb.DuckDBPyConnection) -> dict[str, set[str]]:
    """The columns of every table there is, by its name."""
    found: dict[str, set[str]] = {}
    sql = "SELECT table_name, column_name FROM duckdb_columns() WHERE NOT internal"
    for table, column in cursor.execute(sql).fetchall():
        found.setdefault(table, set()).add(column)
    return found


def _make_or_extend(cursor: duckdb.DuckDBPyConnection, table: Table, on_record: set[str], store: Store) -> None:
    """Create the table, or add the columns it has gained since; what is on record stays as it is."""
    if not on_record:
        cursor.execute(table.ddl())
    for column in table.columns if on_record else ():
        if column.name in on_record:
            continue
        if column.required:
            raise StoreError(
                f"this cost record is too old to be brought up to date: its table {table.name} lacks {column.name}",
                where=str(store.path),
                do="Start a new cost record and import the files again.",
            )
        cursor.execute(f"ALTER TABLE {table.name} ADD COLUMN {column.name} {column.sql_type}")
    _comment(cursor, table)


def _comment(cursor: duckdb.DuckDBPyConnection, table: Table) -> None:
    """Grain and meanings into the database itself, for whoever opens it with other tools."""
    said = [f"COMMENT ON TABLE {table.name} IS {_quoted(table.grain)}"]
    for column in table.columns:
        meaning = f"{column.meaning} [{column.unit}]" if column.unit else column.meaning
        said.append(f"COMMENT ON COLUMN {table.name}.{column.name} IS {_quoted(meaning)}")
    cursor.execute("; ".join(said))


def _quoted(text: str) -> str:
    """Text as an SQL literal, where nothing can be bound."""
    return "'" + text.replace("'", "''") + "'"

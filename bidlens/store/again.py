"""A contract that arrives from a second file: the first stands, the second takes its place, or both are kept."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import replace

import duckdb
import pyarrow as pa

from bidlens.errors import BadValue, Place
from bidlens.findings import Finding
from bidlens.store.connection import Store
from bidlens.store.on_record import CONTRACT, known_on_record
from bidlens.store.staging import Staged
from bidlens.store.statements import statement
from bidlens.tables import BY_NAME

KEEP_FIRST, REPLACE, KEEP_BOTH = "keep-first", "replace", "keep-both"
AGAIN = (KEEP_FIRST, REPLACE, KEEP_BOTH)


def check_again(again: str) -> str:
    """The choice itself. Raises BadValue if there is none of that name."""
    if again not in AGAIN:
        raise BadValue(f"there is no choice “{again}”", do=f"Choices: {', '.join(AGAIN)}.")
    return again


# --- the second takes the place of the first ----------------------------------------------------------------------


def take_out_earlier(cursor: duckdb.DuckDBPyConnection, batch_id: int, source_file: str) -> list[Finding]:
    """Take the contracts on record that the staged rows (registered on `cursor`) bring again out of the record.

    Their rows are kept in `replaced_row` under `batch_id`. Returns one finding per contract.
    """
    known = known_on_record(cursor, CONTRACT)
    if not known.num_rows:
        return []
    cursor.register("known", known)
    for table in CONTRACT.holders:
        told = {"table_name": table, "batch_id": batch_id}
        cursor.execute(statement("saving/replace_rows", table=table), told)
    cursor.execute(statement("saving/replace_findings"), {"batch_id": batch_id})
    for table in reversed(CONTRACT.holders):
        cursor.execute(statement("saving/take_out_rows", table=table))
    cursor.execute(statement("saving/take_out_findings"))
    return [replaced(row, source_file) for row in known.to_pylist()]


def replaced(row: dict[str, object], source_file: str) -> Finding:
    """The finding that a contract's rows take the place of earlier ones. row : of `known_on_record`."""
    return Finding(
        "contract_replaced",
        "check",
        f"contract {row['contract_id']} let {row['letting_date']:%d %b %Y}: these rows take the place of those from "
        f"“{row['earlier_file']}” (import {row['earlier_batch']})",
        "Taking this import back (bidlens undo) brings the earlier rows back.",
        Place(source_file),
        str(row["contract_id"]),
    )


def hand_on(cursor: duckdb.DuckDBPyConnection, batch_id: int) -> None:
    """Before an import is taken back: rows it replaced, where a later file replaced its own, become the later one's."""
    cursor.execute(statement("saving/hand_on_replaced"), {"batch_id": batch_id})
    cursor.execute("DELETE FROM replaced_row WHERE earlier_batch = $batch_id", {"batch_id": batch_id})


def holds_replaced(cursor: duckdb.DuckDBPyConnection, batch_id: int) -> bool:
    """Whether an import replaced rows that can come back."""
    sql = "SELECT count(*) FROM replaced_row WHERE batch_id = $batch_id"
    return bool(cursor.execute(sql, {"batch_id": batch_id}).fetchall()[0][0])


def bring_back(cursor: duckdb.DuckDBPyConnection, batch_id: int) -> None:
    """After the rows of an import are gone: the rows it replaced, back in their tables."""
    for table in (*CONTRACT.holders, "finding"):
        columns = json.dumps(dict.fromkeys(BY_NAME[table].column_names, "VARCHAR"))
        told = {"batch_id": batch_id, "table_name": table, "columns": columns}
        cursor.execute(statement("saving/bring_back_rows", table=table), told)
    cursor.execute("DELETE FROM replaced_row WHERE batch_id = $batch_id", {"batch_id": batch_id})


# --- both are kept ------------------------------------------------------------------------------------------------


def rename_known(
    cursor: duckdb.DuckDBPyConnection, staged: Staged, findings: Sequence[Finding], source_file: str
) -> tuple[Staged, list[Finding]]:
    """The staged rows and findings with each contract on record under a name of its own, “91-001 (2)”."""
    known = known_on_record(cursor, CONTRACT).to_pylist()
    if not known:
        return staged, list(findings)
    taken = {str(name) for name in staged["contract"]["contract_id"].to_pylist()}
    taken |= {str(name) for (name,) in cursor.execute("SELECT DISTINCT contract_id FROM contract").fetchall()}
    kept_as: dict[tuple[object, object], str] = {}
    for row in known:
        new = next(name for name in _names(str(row["contract_id"])) if name not in taken)
        taken.add(new)
        kept_as[row["contract_id"], row["letting_date"]] = new
    columns = [[key[0] for key in kept_as], [key[1] for key in kept_as], list(kept_as.values())]
    types = (pa.string(), pa.date32(), pa.string())
    arrays = [pa.array(column, kind) for column, kind in zip(columns, types, strict=True)]
    cursor.register("renamed", pa.Table.from_arrays(arrays, names=["contract_id", "letting_date", "kept_as"]))
    renamed = dict(staged)
    for table in CONTRACT.holders:
        renamed[table] = cursor.sql(statement("saving/renamed_rows", table=table)).to_arrow_table()
    by_name = {str(key[0]): new for key, new in kept_as.items()}
    told = [replace(one, contract_id=by_name.get(one.contract_id or "", one.contract_id)) for one in findings]
    return renamed, [*told, *(_kept_both(row, kept_as, source_file) for row in known)]


def _names(contract_id: str) -> Iterator[str]:
    number = 2
    while True:
        yield f"{contract_id} ({number})"
        number += 1


def _kept_both(row: dict[str, object], kept_as: dict[tuple[object, object], str], source_file: str) -> Finding:
    new = kept_as[row["contract_id"], row["letting_date"]]
    return Finding(
        "contract_kept_twice",
        "check",
        f"contract {row['contract_id']} let {row['letting_date']:%d %b %Y} is on record from “{row['earlier_file']}” "
        f"(import {row['earlier_batch']}); this one is kept beside it as “{new}”",
        "Both count in reviews of bids; structures go on naming the first.",
        Place(source_file),
        new,
    )


# --- settings -----------------------------------------------------------------------------------------------------


def keep_setting(store: Store, name: str, value: str) -> None:
    """Keep a setting of the record. The record must exist (`create_or_upgrade`)."""
    with store.open(write=True) as cursor:
        cursor.execute(statement("saving/setting"), {"name": name, "value": value})

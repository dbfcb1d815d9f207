"""Storing one file's batch: all of it in one transaction, once, and never a contract twice."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from functools import partial

import duckdb

from bidlens.batch import Batch
from bidlens.errors import BadValue, Place
from bidlens.findings import Finding
from bidlens.store.again import KEEP_BOTH, KEEP_FIRST, REPLACE, check_again, rename_known, take_out_earlier
from bidlens.store.connection import Store, transaction
from bidlens.store.corrections import type_in_again
from bidlens.store.in_copy import in_copy
from bidlens.store.on_record import sort_out
from bidlens.store.originals import Packed, keep
from bidlens.store.staging import FILLED_BY_FILES, Staged, check_belonging, register, stage, stage_findings
from bidlens.store.statements import statement
from bidlens.store.trouble import in_plain_words


@dataclass(frozen=True, slots=True, eq=False)
class Saved:
    """What became of a batch.

    status : `imported`; `nothing new` if no row of it became data, all of it being on record from other files or set
        aside; `already imported` if the same bytes came before, as import `batch_id`, and nothing was done.
    contracts : contracts (or structures, proposals, index quarters) that came in.
    findings : those of the batch, and what storing found.
    rows_read = rows_kept + rows_set_aside.
    """

    batch_id: int
    status: str
    contracts: int
    findings: tuple[Finding, ...]
    rows_read: int
    rows_kept: int
    rows_set_aside: int


def save_batch(
    store: Store, batch: Batch, imported_at: dt.datetime, again: str = KEEP_FIRST, original: Packed | None = None
) -> Saved:
    """Store one file's batch. The record must exist (`create_or_upgrade`).

    imported_at : when, UTC; a time with a zone is turned into UTC.

    Rows are brought into the stored form before the record is locked. A contract (structure, proposal, index release)
    on record from another file stays as it is there: this file's rows of it are set aside, with a finding. Any failure
    leaves the record as it was. again : one of `AGAIN`; whether a contract on record stays, gives its place to this
    file's, or is kept beside it. original : the file itself, kept with its rows.

    Raises BadValue for rows that do not fit, StoreError if the record cannot be written.
    """
    staged = stage(batch)
    check_again(again)
    with in_plain_words(store.path):
        check_belonging(staged, batch.source_file)
    store_all = partial(_store, batch=batch, staged=staged, moment=_utc(imported_at), again=again, original=original)
    return in_copy(store, batch.rows_read, store_all) or store_all(store)


def _store(
    store: Store, batch: Batch, staged: Staged, moment: dt.datetime, again: str, original: Packed | None
) -> Saved:
    told = list(batch.findings)
    with store.open(write=True) as cursor, transaction(cursor):
        earlier = same_bytes(cursor, batch)
        if earlier is not None:
            return earlier
        register(cursor, staged)
        batch_id = _next_batch_id(cursor)
        if again == REPLACE:
            told += take_out_earlier(cursor, batch_id, batch.source_file)
        elif again == KEEP_BOTH:
            staged, told = rename_known(cursor, staged, told, batch.source_file)
            register(cursor, staged)
        sorted_out = sort_out(cursor, staged, batch.source_file, batch.rows_kept)
        saved = outcome(batch_id, batch, sorted_out.staged, sorted_out.entities_on_record)
        saved = replace(saved, findings=(*told, *sorted_out.findings))
        _write(cursor, batch, saved, moment, sorted_out.staged)
        if original:
            keep(cursor, batch_id, batch.source_file, original)
        type_in_again(cursor, saved.batch_id)
    return saved


def outcome(batch_id: int, batch: Batch, staged: Staged, entities_on_record: int) -> Saved:
    """What became of a batch of which `staged` is what is left to store; without findings."""
    came_in = any(staged[table.name].num_rows for table in FILLED_BY_FILES if table.name != "bidder")
    aside = staged["set_aside"].num_rows
    return Saved(
        batch_id,
        "imported" if came_in else "nothing new",
        max(batch.contracts - entities_on_record, 0),
        (),
        batch.rows_read,
        batch.rows_read - aside,
        aside,
    )


def _write(
    cursor: duckdb.DuckDBPyConnection, batch: Batch, saved: Saved, imported_at: dt.datetime, staged: Staged
) -> None:
    if saved.rows_kept < 0:
        raise BadValue(
            f"{saved.rows_set_aside} rows were set aside, but only {saved.rows_read} were read", where=batch.source_file
        )
    row = {
        "batch_id": saved.batch_id,
        "sha256": batch.sha256,
        "source_file": batch.source_file,
        "kind": batch.kind,
        "layout": batch.layout,
        "imported_at": imported_at,
        "rows_read": saved.rows_read,
        "rows_kept": saved.rows_kept,
        "rows_set_aside": saved.rows_set_aside,
        "contracts": saved.contracts,
    }
    cursor.execute(statement("saving/import_batch"), row)
    staged = {**staged, "finding": stage_findings(list(saved.findings))}
    for name, rows in staged.items():
        if rows.num_rows:
            cursor.register("to_store", rows)
            cursor.execute(statement("saving/insert_rows", table=name), {"batch_id": saved.batch_id})


def _next_batch_id(cursor: duckdb.DuckDBPyConnection) -> int:
    return int(cursor.execute("SELECT coalesce(max(batch_id), 0) + 1 FROM import_batch").fetchall()[0][0])


def same_bytes(cursor: duckdb.DuckDBPyConnection, batch: Batch) -> Saved | None:
    """The earlier import of the same bytes, if there is one."""
    cursor.execute(
        "SELECT batch_id, source_file, imported_at, contracts, rows_read, rows_kept, rows_set_aside "
        "FROM import_batch WHERE sha256 = $1 ORDER BY batch_id",
        [batch.sha256],
    )
    row = cursor.fetchone()
    if row is None:
        return None
    batch_id, name, when, contracts, rows_read, rows_kept, rows_set_aside = row
    under = "" if name == batch.source_file else f", under the name “{name}”"
    finding = Finding(
        "already_imported",
        "note",
        f"the same file was imported on {when:%d %b %Y %H:%M} UTC as import {batch_id}{under}; nothing was changed",
        place=Place(batch.source_file),
    )
    return Saved(batch_id, "already imported", contracts, (finding,), rows_read, rows_kept, rows_set_aside)


def _utc(moment: dt.datetime) -> dt.datetime:
    """The moment in UTC without a zone, as it is stored."""
    return moment if moment.tzinfo is None else moment.astimezone(dt.UTC).replace(tzinfo=None)

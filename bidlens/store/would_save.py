"""What storing a file's batch would do to the record as it is, without doing it."""

from __future__ import annotations

from dataclasses import replace

import duckdb

from bidlens.batch import Batch
from bidlens.findings import Finding
from bidlens.store.again import KEEP_BOTH, KEEP_FIRST, REPLACE, check_again, rename_known, replaced
from bidlens.store.connection import Store
from bidlens.store.on_record import CONTRACT, ENTITIES, known_on_record, sort_out
from bidlens.store.save import Saved, outcome, same_bytes
from bidlens.store.staging import check_belonging, register, stage
from bidlens.store.trouble import in_plain_words


def would_save(store: Store, batch: Batch, again: str = KEEP_FIRST) -> Saved:
    """What `save_batch` would answer, with the same errors; there need not be a record yet. `batch_id` is 0.

    Prices typed by hand for the same bytes are not looked at.
    """
    check_again(again)
    staged = stage(batch)
    with in_plain_words(store.path):
        check_belonging(staged, batch.source_file)
    told = list(batch.findings)
    if not store.path.exists():
        return replace(outcome(0, batch, staged, 0), findings=tuple(told))
    with store.open() as cursor:
        earlier = same_bytes(cursor, batch)
        if earlier is not None:
            return earlier
        register(cursor, staged)
        if again == REPLACE:
            told += _giving_place(cursor, batch.source_file)
        elif again == KEEP_BOTH:
            staged, told = rename_known(cursor, staged, told, batch.source_file)
            register(cursor, staged)
        looked_for = [one for one in ENTITIES if one is not CONTRACT or again != REPLACE]
        sorted_out = sort_out(cursor, staged, batch.source_file, batch.rows_kept, looked_for)
    saved = outcome(0, batch, sorted_out.staged, sorted_out.entities_on_record)
    return replace(saved, findings=(*told, *sorted_out.findings))


def _giving_place(cursor: duckdb.DuckDBPyConnection, source_file: str) -> list[Finding]:
    return [replaced(row, source_file) for row in known_on_record(cursor, CONTRACT).to_pylist()]

"""Files into the cost record: each read whole, its pay items placed in categories, then stored in one transaction."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path

import pandas as pd

from bidlens import ingest, normalizer, store
from bidlens.batch import Batch
from bidlens.errors import BidlensError
from bidlens.findings import Finding

Progress = Callable[[int, int, str], None]


@dataclass(frozen=True, slots=True, eq=False)
class ImportResult:
    """What became of one file. `status` is imported, already imported, nothing new, would import or not imported."""

    name: str
    kind: str
    layout: str
    status: str
    rows_read: int = 0
    rows_kept: int = 0
    rows_set_aside: int = 0
    contracts: int = 0
    batch_id: int | None = None
    findings: tuple[Finding, ...] = ()
    set_aside: pd.DataFrame | None = None
    error: BidlensError | None = None


def import_files(
    record: store.Store,
    paths: Sequence[Path],
    names: Sequence[str],
    kind: str | None,
    *,
    dry_run: bool,
    progress: Progress | None,
) -> list[ImportResult]:
    """Import files in order, each in a transaction of its own; a file that cannot be read changes nothing.

    The next file is read while one is being stored. See `Database.import_files`.
    """
    desk = _Desk(record, dry_run)
    results: list[ImportResult] = []
    for name, reading in _read_ahead(paths, names, kind):
        if progress:
            progress(len(results), len(paths), name)
        results.append(_import_one(desk, name, kind, reading))
    if progress:
        progress(len(paths), len(paths), "")
    return results


def _read_ahead(paths: Sequence[Path], names: Sequence[str], kind: str | None) -> Iterator[tuple[str, Future[Batch]]]:
    """Each file's name and the reading of it, one file ahead of whoever asks: reading leaves time for storing."""
    with ThreadPoolExecutor(1, thread_name_prefix="reading") as reader:
        waiting: tuple[str, Future[Batch]] | None = None
        for path, name in zip(paths, names, strict=True):
            begun = reader.submit(ingest.read_file, path, kind, name=name)
            if waiting:
                yield waiting
            waiting = (name, begun)
        if waiting:
            yield waiting


def _import_one(desk: _Desk, name: str, kind: str | None, reading: Future[Batch]) -> ImportResult:
    try:
        batch = desk.with_categories(reading.result())
        if desk.dry_run:
            return _result(batch, "would import", batch.rows_kept, batch.rows_set_aside, batch.findings)
        saved = desk.save(batch)
    except BidlensError as error:
        return ImportResult(name, kind or "", "", "not imported", error=error)
    result = _result(batch, saved.status, saved.rows_kept, saved.rows_set_aside, saved.findings)
    return replace(result, contracts=saved.contracts, batch_id=saved.batch_id)


class _Desk:
    """Where batches are made ready and stored; it opens the record only when there is something to do with it."""

    def __init__(self, record: store.Store, dry_run: bool) -> None:
        self.record, self.dry_run = record, dry_run
        self._ready = False
        self._overrides: pd.DataFrame | None = None

    def with_categories(self, batch: Batch) -> Batch:
        """Give each pay item of a bid tab its work category, the engineer's own decisions last."""
        items = batch.tables.get("contract_item")
        if items is None or items.empty:
            return batch
        decided = normalizer.categorize(items)
        if len(overrides := self._decided_by_hand()):
            decided = normalizer.apply_overrides(items, decided, overrides)
        placed = items.assign(work_category=decided["work_category"], category_rule=decided["rule"])
        return replace(batch, tables={**batch.tables, "contract_item": placed})

    def save(self, batch: Batch) -> store.Saved:
        self._make_ready()
        return store.save_batch(self.record, batch, dt.datetime.now(dt.UTC).replace(tzinfo=None))

    def _decided_by_hand(self) -> pd.DataFrame:
        if self._overrides is None:
            there = self.record.path.exists()
            if there and not self.dry_run:
                self._make_ready()
            self._overrides = store.ask(self.record, "overrides") if there else pd.DataFrame()
        return self._overrides

    def _make_ready(self) -> None:
        if not self._ready:
            store.create_or_upgrade(self.record)
            self._ready = True


def _result(batch: Batch, status: str, kept: int, aside: int, findings: Sequence[Finding]) -> ImportResult:
    return ImportResult(
        batch.source_file,
        batch.kind,
        batch.layout,
        status,
        batch.rows_read,
        kept,
        aside,
        batch.contracts,
        None,
        tuple(findings),
        batch.set_aside,
    )

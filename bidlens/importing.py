"""Files into the cost record: each read whole, its pay items placed in categories, then stored in one transaction."""

from __future__ import annotations

import datetime as dt
import os
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import TypeAlias

import pandas as pd

from bidlens import ingest, normalizer, store
from bidlens.batch import Batch, no_rows_set_aside
from bidlens.errors import BidlensError
from bidlens.findings import Finding
from bidlens.ingest import ColumnMapping, KeptMapping, Recognition
from bidlens.ingest.mapping import SIDECAR

Progress = Callable[[int, int, str], None]
#: A mapping for all files or the TOML file of one, or a mapping or None for each file.
Columns: TypeAlias = str | Path | ColumnMapping | Sequence[ColumnMapping | None] | None
_File: TypeAlias = tuple[Path, str, Path | ColumnMapping | None]  # path, shown name, what was told of its columns


@dataclass(frozen=True, slots=True, eq=False)
class ImportResult:
    """What became of one file. `status` is imported, already imported, nothing new, would import or not imported.

    recognised, first_items, bids : what was recognised, the first rows as they would be stored, and the first bids as
    they would be ranked; of a dry run only.
    """

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
    recognised: Recognition | None = None
    first_items: pd.DataFrame | None = None
    bids: pd.DataFrame | None = None


@dataclass(frozen=True, slots=True)
class Choices:
    """What the user chose for an import of bid tabs.

    again : whether a contract on record stays, gives its place to this file's, or is kept beside it (`store.AGAIN`).
    award : the schedules the award rests on, as “base + ALT 1”. entry_rule : one of `ingest.ENTRY_RULES`; kept as the
    record's own setting, which holds when it is None.
    """

    again: str = store.KEEP_FIRST
    award: str | None = None
    entry_rule: str | None = None


AS_EVER = Choices()
ENTRY_RULE = "entry_rule"


def import_files(
    record: store.Store,
    paths: Sequence[Path],
    names: Sequence[str],
    kind: str | None,
    *,
    dry_run: bool,
    progress: Progress | None,
    columns: Columns = None,
    choices: Choices = AS_EVER,
) -> list[ImportResult]:
    """Import files in order, each in a transaction of its own; a file that cannot be read changes nothing.

    The next file is read while one is being stored. See `Database.import_files`.
    """
    desk = _Desk(record, dry_run, choices.again)
    reader = _Reader(record, kind, dry_run, lambda: desk.rules(choices))
    files = _with_columns(paths, names, columns)
    results: list[ImportResult] = []
    for name, reading in _read_ahead(reader, files):
        if progress:
            progress(len(results), len(files), name)
        results.append(_import_one(desk, name, kind, reading))
    if progress:
        progress(len(files), len(files), "")
    return results


def recognise(
    record: store.Store, path: Path, name: str, kind: str | None, told: ColumnMapping | None, header_row: int | None
) -> Recognition:
    """What is recognised in one file, by the mapping told or one kept for its headings. Nothing is stored."""
    kept = _Reader(record, kind, look=True).on_record()
    opened = ingest.open_file(path, kind, name=name, mapping=told, kept=kept)
    return ingest.recognition_of(opened, header_row)


def _with_columns(paths: Sequence[Path], names: Sequence[str], columns: Columns) -> list[_File]:
    """Each file with the mapping told for it: the one given, else the one beside it or among the files."""
    given = ingest.read_mapping(columns) if isinstance(columns, str | Path) else columns
    beside = {
        name.removesuffix(SIDECAR): path for path, name in zip(paths, names, strict=True) if name.endswith(SIDECAR)
    }
    stems = {Path(name).stem for name in names if not name.endswith(SIDECAR)}
    files: list[_File] = []
    for number, (path, name) in enumerate(zip(paths, names, strict=True)):
        if name.endswith(SIDECAR) and name.removesuffix(SIDECAR) in stems:
            continue
        told = given if given is None or isinstance(given, ColumnMapping) else given[number]
        written = beside.get(Path(name).stem) if beside else ingest.beside(path)
        files.append((path, name, told or written or ingest.beside(path)))
    return files


def _read_ahead(reader: _Reader, files: Sequence[_File]) -> Iterator[tuple[str, Future[_Read]]]:
    """Each file's name and the reading of it, one file ahead of whoever asks: reading leaves time for storing."""
    with ThreadPoolExecutor(1, thread_name_prefix="reading") as thread:
        waiting: tuple[str, Future[_Read]] | None = None
        for file in files:
            begun = thread.submit(reader.read, *file)
            if waiting:
                yield waiting
            waiting = (file[1], begun)
        if waiting:
            yield waiting


def _import_one(desk: _Desk, name: str, kind: str | None, reading: Future[_Read]) -> ImportResult:
    recognised: Recognition | None = None
    try:
        read = reading.result()
        recognised = read.recognised
        if read.error:
            raise read.error
        batch = desk.with_categories(read.batch)
        if desk.dry_run:
            return replace(
                _would(desk, batch), recognised=recognised, first_items=_first_items(batch), bids=_bids(batch)
            )
        saved = desk.save(batch, read.original)
        if read.to_keep:
            desk.keep(read.to_keep)
    except BidlensError as error:
        seen = recognised.kind if recognised else ""
        return ImportResult(name, kind or seen, "", "not imported", error=error, recognised=recognised)
    result = _result(batch, saved.status, saved.rows_kept, saved.rows_set_aside, saved.findings)
    return replace(result, contracts=saved.contracts, batch_id=saved.batch_id)


_NOTHING = Batch("", "", "", "", 0, 0, {}, no_rows_set_aside())


@dataclass(slots=True, eq=False)
class _Read:
    """One file as read. error : why it could not be; its recognition is then still there. original : to be kept."""

    batch: Batch = _NOTHING
    recognised: Recognition | None = None
    to_keep: KeptMapping | None = None
    error: BidlensError | None = None
    original: store.Packed | None = None


class _Reader:
    """Reads files one after the other, by the mappings told for them and those kept for their headings."""

    def __init__(
        self, record: store.Store, kind: str | None, look: bool, rules: Callable[[], ingest.BidRules] = ingest.BidRules
    ) -> None:
        self.record, self.kind, self.look, self._rules = record, kind, look, cache(rules)
        self._kept: list[KeptMapping] | None = None

    def read(self, path: Path, name: str, told: Path | ColumnMapping | None) -> _Read:
        mapping = ingest.read_mapping(told, _name_of(told, name)) if isinstance(told, Path) else told
        ingest.check_file(path, name)
        with ThreadPoolExecutor(1, thread_name_prefix="whole file", initializer=_give_way) as whole_file:
            sha256 = whole_file.submit(ingest.fingerprint, path)
            opened = ingest.open_file(path, self.kind, name=name, mapping=mapping, kept=self.on_record())
            packing = None if self.look else whole_file.submit(store.pack, path)
            read = _Read(recognised=ingest.recognition_of(opened) if self.look else None)
            try:
                read.batch = ingest.read_opened(opened, self._rules(), sha256.result)
            except BidlensError as error:
                read.error = error
                return read
        read.original = packing.result() if packing else None
        read.to_keep = opened.used.to_keep() if opened.used else None
        if read.to_keep:
            self.on_record().insert(0, read.to_keep)  # holds for the files after this one
        return read

    def on_record(self) -> list[KeptMapping]:
        """The mappings on record, newest first, and those of files read before this one."""
        if self._kept is None:
            rows = store.ask(self.record, "mappings") if self.record.path.exists() else pd.DataFrame()
            self._kept = [
                KeptMapping(row["name"], row["kind"], row["layout"] or "", row["headings"], row["toml"])
                for row in rows.to_dict("records")
            ]
        return self._kept


def _give_way() -> None:
    """Leave the processors to the threads that others wait for, where the system tells threads apart."""
    if sys.platform == "linux":
        os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), _LATER)


_LATER = 10  # of 19: the niceness of work that can wait


def _name_of(told: Path, name: str) -> str:
    return told.name if told.name.endswith(SIDECAR) else f"{Path(name).stem}{SIDECAR}"


def _would(desk: _Desk, batch: Batch) -> ImportResult:
    """What would become of a batch; the same bytes would change nothing."""
    would = desk.would_save(batch)
    status = "would import" if would.status == "imported" else would.status
    shown = _result(batch, status, would.rows_kept, would.rows_set_aside, would.findings)
    return replace(shown, contracts=0 if status == "already imported" else would.contracts)


def _bids(batch: Batch, most: int = 12) -> pd.DataFrame | None:
    """The first bids as they would be ranked, contract by contract; None where the file has none."""
    bids = batch.tables.get("bid")
    if bids is None or bids.empty:
        return None
    columns = ["contract_id", "letting_date", "rank_corrected", "bidder", "total_corrected", "status"]
    return bids.sort_values(["contract_id", "letting_date", "rank_corrected"], kind="stable")[columns].head(most)


def _first_items(batch: Batch, most: int = 6) -> pd.DataFrame:
    """The first rows as they would be stored, without what only leads back to the file."""
    name = "bid_price" if "bid_price" in batch.tables else next(iter(batch.tables))
    rows = _as_text(batch.tables[name].head(most))
    if name == "bid_price":
        items = batch.tables["contract_item"][[*_LINE_KEY, "item_code", "description", "pay_unit", "quantity"]]
        rows = rows.merge(_as_text(items), on=_LINE_KEY, how="left", validate="m:1")
        rows = rows[
            [*_LINE_KEY, "item_code", "description", "pay_unit", "quantity", "bidder", "unit_price", "extension"]
        ]
    here = [column for column in rows if not str(column).startswith("source_") and rows[column].notna().any()]
    return rows[here]


def _as_text(rows: pd.DataFrame) -> pd.DataFrame:
    return rows.astype(dict.fromkeys(rows.select_dtypes("category").columns, "str"))


_LINE_KEY = ["contract_id", "letting_date", "schedule", "line"]


class _Desk:
    """Where batches are made ready and stored; it opens the record only when there is something to do with it."""

    def __init__(self, record: store.Store, dry_run: bool, again: str) -> None:
        self.record, self.dry_run, self.again = record, dry_run, again
        self._ready = False
        self._by_hand: tuple[pd.DataFrame, pd.DataFrame] | None = None

    def with_categories(self, batch: Batch) -> Batch:
        """Give each pay item of a bid tab its work category, the engineer's own decisions last."""
        items = batch.tables.get("contract_item")
        if items is None or items.empty:
            return batch
        overrides, aliases = self._decided_by_hand()
        if aliases.empty and overrides.empty:
            decided = normalizer.categorize(items, as_categories=True)
        else:
            decided = normalizer.categorize_as_known(items, aliases, overrides)
        placed = items.assign(work_category=decided["work_category"], category_rule=decided["rule"])
        return replace(batch, tables={**batch.tables, "contract_item": placed})

    def rules(self, choices: Choices) -> ingest.BidRules:
        """The owner's word on counting bids; an entry rule that is given becomes the record's setting."""
        award = ingest.parse_award(choices.award) if choices.award else ()
        if choices.entry_rule is None:
            kept = store.ask(self.record, "settings") if self.record.path.exists() else None
            rule = None if kept is None else dict(zip(kept["name"], kept["value"], strict=True)).get(ENTRY_RULE)
            return ingest.BidRules(award, rule) if rule else ingest.BidRules(award)
        rules = ingest.BidRules(award, choices.entry_rule)
        if not self.dry_run:
            self._make_ready()
            store.keep_setting(self.record, ENTRY_RULE, choices.entry_rule)
        return rules

    def save(self, batch: Batch, original: store.Packed | None) -> store.Saved:
        self._make_ready()
        return store.save_batch(self.record, batch, dt.datetime.now(dt.UTC).replace(tzinfo=None), self.again, original)

    def would_save(self, batch: Batch) -> store.Saved:
        return store.would_save(self.record, batch, self.again)

    def keep(self, mapping: KeptMapping) -> None:
        """Keep a mapping that a file came in by, for later files with the same headings."""
        told = (mapping.name, mapping.kind, mapping.layout, mapping.headings, mapping.toml)
        store.keep_mapping(self.record, *told, decided_at=dt.datetime.now(dt.UTC))

    def _decided_by_hand(self) -> tuple[pd.DataFrame, pd.DataFrame]:
        """Pay items placed by hand, and those confirmed to be the same as others."""
        if self._by_hand is None:
            there = self.record.path.exists()
            if there and not self.dry_run:
                self._make_ready()
            none = pd.DataFrame(columns=["description", "pay_unit", "same_as"])
            asked = [store.ask(self.record, name) for name in ("overrides", "item_aliases")] if there else [none, none]
            self._by_hand = asked[0], asked[1]
        return self._by_hand

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

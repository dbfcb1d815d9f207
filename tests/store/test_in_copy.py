"""A large import is stored in a copy that takes the record's place: readers go on, nothing of others is lost."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import duckdb
import pytest

from bidlens.errors import StoreError
from bidlens.store import Store, in_copy, keep_setting, save, save_batch, undo_batch
from tests.store.conftest import NOON, bid_tab, contents

pytestmark = pytest.mark.skipif(os.name == "nt", reason="there a file in use cannot be replaced; no copy is made")


READS = "import duckdb, sys; print(duckdb.connect(sys.argv[1], read_only=True).sql('FROM contract').fetchall())"
WAITS_TO_WRITE = """
import duckdb, sys, time
for _ in range(400):
    try:
        record = duckdb.connect(sys.argv[1])
        break
    except duckdb.IOException:
        time.sleep(0.01)
record.execute("INSERT INTO setting VALUES ('waited', 'yes')")
"""


@pytest.fixture(autouse=True)
def _any_import_is_large(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(in_copy, "WORTH_A_COPY_FROM_ROWS", 1)
    monkeypatch.setattr(in_copy, "_MOST_BYTES_A_ROW", 10**9)


def _copy_of(store: Store) -> Path:
    return store.path.with_name(store.path.name + ".new")


def _during_the_work(monkeypatch: pytest.MonkeyPatch, what: Callable[[Store], Any]) -> None:
    """Have something happen when the rows are in the copy and the copy is not yet in place."""
    stored = save._store

    def store_all(store: Store, **named: Any) -> save.Saved:
        done = stored(store, **named)
        what(store)
        return done

    monkeypatch.setattr(save, "_store", store_all)


def _inode(store: Store) -> int:
    return store.path.stat().st_ino


def test_what_comes_in_by_a_copy_is_what_comes_in_without(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    before = _inode(store)
    saved = save_batch(store, bid_tab("C-2", sha256="b" * 64), NOON)
    assert _inode(store) != before
    by_copy = contents(store)
    undo_batch(store, saved.batch_id)
    monkeypatch.setattr(in_copy, "WORTH_A_COPY_FROM_ROWS", 10**9)
    before = _inode(store)
    save_batch(store, bid_tab("C-2", sha256="b" * 64), NOON)
    assert _inode(store) == before
    assert contents(store) == by_copy
    assert [file.name for file in store.path.parent.iterdir()] == [store.path.name]


def test_another_program_reads_on_while_a_large_file_is_stored(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    seen: list[Any] = []

    def look(copy: Store) -> None:
        reads = [sys.executable, "-c", READS, str(store.path)]
        seen.append(subprocess.run(reads, capture_output=True, text=True, check=True).stdout)

    _during_the_work(monkeypatch, look)
    save_batch(store, bid_tab("C-2", sha256="b" * 64), NOON)
    assert "C-1" in seen[0]
    assert "C-2" not in seen[0]
    assert len(contents(store)["contract"]) == 2


def test_what_others_store_meanwhile_is_kept_and_the_file_comes_in_all_the_same(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    _during_the_work(monkeypatch, lambda used: keep_setting(store, "county", "Alder") if used is not store else None)
    saved = save_batch(store, bid_tab("C-2", sha256="b" * 64), NOON)
    assert saved.status == "imported"
    held = contents(store)
    assert len(held["contract"]) == 2
    assert ("county", "Alder") in held["setting"]


def test_a_failure_leaves_record_and_folder_as_they_were(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    before, stamp = contents(store), store.stamp()

    def fails(copy: Store) -> None:
        raise StoreError("the disk is full")

    _during_the_work(monkeypatch, fails)
    with pytest.raises(StoreError, match="disk is full"):
        save_batch(store, bid_tab("C-2", sha256="b" * 64), NOON)
    assert (contents(store), store.stamp()) == (before, stamp)
    assert not _copy_of(store).exists()


def test_a_copy_in_work_is_left_alone_and_one_left_behind_is_cleared(store: Store) -> None:
    copy = _copy_of(store)
    copy.write_bytes(b"in work")
    save_batch(store, bid_tab("C-1"), NOON)
    assert copy.read_bytes() == b"in work"
    long_ago = time.time() - 2 * in_copy._LEFT_BEHIND_AFTER
    os.utime(copy, (long_ago, long_ago))
    save_batch(store, bid_tab("C-2", sha256="b" * 64), NOON)
    assert not copy.exists()
    assert len(contents(store)["contract"]) == 2


def test_a_record_reached_by_a_link_stays_where_it_is(store: Store, tmp_path: Path) -> None:
    link = tmp_path / "elsewhere.duckdb"
    link.symlink_to(store.path)
    save_batch(Store(link), bid_tab("C-1"), NOON)
    assert link.is_symlink()
    assert len(contents(store)["contract"]) == 1


def test_who_waits_for_the_old_file_gets_the_new_one(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """A program that waits to write while the files change places writes into the new one."""
    monkeypatch.setattr(in_copy, "_MOMENT", 1.0)
    begun: list[subprocess.Popen[bytes]] = []
    replace = Path.replace

    def replaced(file: Path, target: Path) -> Path:
        begun.append(subprocess.Popen([sys.executable, "-c", WAITS_TO_WRITE, str(store.path)]))
        time.sleep(0.5)  # it has met the old file's lock
        return replace(file, target)

    monkeypatch.setattr(Path, "replace", replaced)
    save_batch(store, bid_tab("C-1"), NOON)
    assert begun[0].wait(timeout=20) == 0
    with duckdb.connect(store.path, read_only=True) as record:
        assert record.sql("SELECT value FROM setting WHERE name = 'waited'").fetchall() == [("yes",)]
        assert record.sql("SELECT count(*) FROM contract").fetchall() == [(1,)]

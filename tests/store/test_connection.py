"""Who may open the record, in which mode, and what is refused. What DuckDB reports was seen with duckdb 2.0.1."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import duckdb
import pytest

from bidlens.errors import BadValue, NotOnRecord, StoreError
from bidlens.store import Store, ask, create_or_upgrade, discard, save_batch
from bidlens.store.connection import transaction
from bidlens.store.trouble import in_plain_words, translated
from tests.store.conftest import NOON, bid_tab, contents

HOLDER = """
import sys, time, duckdb
connection = duckdb.connect(sys.argv[1], read_only=sys.argv[2] == "read")
print("held", flush=True)
time.sleep(float(sys.argv[3]))
"""


@contextmanager
def held_by_another_process(path: Path, seconds: float, mode: str = "write") -> Iterator[int]:
    holder = subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(path), mode, str(seconds)], stdout=subprocess.PIPE, text=True
    )
    try:
        assert holder.stdout is not None
        assert holder.stdout.readline().strip() == "held"
        yield holder.pid
    finally:
        holder.kill()
        holder.communicate()


def test_nothing_stays_open_between_uses(store: Store) -> None:
    ask(store, "counts")
    duckdb.connect(str(store.path)).close()  # another configuration would be refused while a Store holds the file


def test_three_readers_and_a_writer_of_one_process_take_turns(store: Store) -> None:
    failures: list[BaseException] = []
    done = threading.Event()

    def read() -> None:
        while not done.is_set():
            try:
                with store.open() as cursor:
                    lines, prices = cursor.execute(
                        "SELECT (SELECT count(*) FROM contract_item), (SELECT count(*) FROM bid_price)"
                    ).fetchall()[0]
                assert prices == 3 * lines  # a batch is seen whole or not at all
            except BaseException as error:  # noqa: BLE001  whatever a thread meets is the test's result
                failures.append(error)

    readers = [threading.Thread(target=read) for _ in range(3)]
    for reader in readers:
        reader.start()
    for number in range(6):  # with readers coming all the time, each of these must get its turn
        save_batch(store, bid_tab(f"C-{number}", sha256=f"{number:064d}"), NOON)
    done.set()
    for reader in readers:
        reader.join()
    assert failures == []
    assert ask(store, "counts")["files"].iloc[0] == 6


def test_a_writer_that_waits_too_long_for_this_programs_readers_is_told_so(store: Store) -> None:
    with store.open(), pytest.raises(StoreError, match="busy with another piece of work"), store.open(True, 0.05):
        pass
    with store.open(write=True):
        pass  # the waiting writer that gave up left no trace


def test_a_thread_that_reads_may_read_again_while_a_writer_waits(store: Store) -> None:
    def write() -> None:
        with store.open(write=True):
            written.set()

    written, writer = threading.Event(), threading.Thread(target=write)
    with store.open():
        writer.start()
        time.sleep(0.2)  # until the writer waits
        with store.open(timeout=1) as again:
            assert again.execute("SELECT 1").fetchone() == (1,)
        assert not written.is_set()
    writer.join()
    assert written.is_set()


def test_another_process_holding_the_record_is_named_after_the_wait(store: Store) -> None:
    with held_by_another_process(store.path, 30) as pid:
        started = time.monotonic()
        with (
            pytest.raises(StoreError, match=rf"in use by another program \(process {pid}") as caught,
            store.open(timeout=0.4),
        ):
            pass
    assert 0.2 <= time.monotonic() - started < 3
    assert caught.value.where == str(store.path)
    assert "try again" in caught.value.do


def test_a_short_hold_by_another_process_is_waited_for(store: Store) -> None:
    with held_by_another_process(store.path, 0.5), store.open(write=True, timeout=10) as cursor:
        assert cursor.execute("SELECT count(*) FROM contract").fetchall() == [(0,)]


def test_readers_of_two_processes_read_together(store: Store) -> None:
    with held_by_another_process(store.path, 30, "read"), store.open(timeout=0.2) as cursor:
        assert cursor.execute("SELECT count(*) FROM contract").fetchall() == [(0,)]


def test_two_stores_of_one_process_wait_for_each_other(store: Store) -> None:
    other = Store(store.path)
    with store.open(), pytest.raises(StoreError, match="in use"), other.open(write=True, timeout=0.1):
        pass


@pytest.mark.parametrize("write", [False, True])
def test_a_missing_record_says_what_to_do_and_is_not_made_by_accident(tmp_path: Path, write: bool) -> None:
    store = Store(tmp_path / "none.duckdb")
    with pytest.raises(NotOnRecord, match=r"no cost record at .*none.duckdb yet") as caught, store.open(write):
        pass
    assert "bidlens demo" in caught.value.do
    assert list(tmp_path.iterdir()) == []


def test_an_empty_file_counts_as_no_record_and_becomes_one(tmp_path: Path) -> None:
    store = Store(tmp_path / "empty.duckdb")
    store.path.touch()
    with pytest.raises(NotOnRecord), store.open():
        pass
    create_or_upgrade(store)
    assert ask(store, "counts")["files"].tolist() == [0]


def test_a_missing_folder_a_folder_and_a_foreign_file_are_refused_and_left_alone(tmp_path: Path) -> None:
    text = tmp_path / "notes.txt"
    text.write_text("not a database " * 1000)
    for path, words in (
        (tmp_path / "no" / "x.duckdb", "does not exist"),
        (tmp_path, "a folder"),
        (text, "not a cost record"),
    ):
        for refuse in (lambda store: ask(store, "counts"), create_or_upgrade):
            with pytest.raises(StoreError, match=words):
                refuse(Store(path))
    assert text.read_text() == "not a database " * 1000
    assert not (tmp_path / "no").exists()


def test_a_duckdb_file_of_another_program_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "other.duckdb"
    with duckdb.connect(str(path)) as other:
        other.execute("CREATE TABLE fish (name VARCHAR)")
    before = path.read_bytes()
    for refuse in (lambda store: ask(store, "counts"), create_or_upgrade, lambda store: discard(store.path)):
        with pytest.raises(StoreError, match="not a cost record of bidlens"):
            refuse(Store(path))
    assert path.read_bytes() == before


def test_a_damaged_record_is_told_in_plain_words(store: Store) -> None:
    content = bytearray(store.path.read_bytes())
    content[16:64] = b"\xff" * 48
    store.path.write_bytes(content)
    with pytest.raises(StoreError, match="damaged"):
        ask(store, "counts")


@pytest.mark.parametrize(
    ("reported", "said"),
    [
        (
            "IO Error: Trying to read a database file with storage version number 1001, but we can only read storage "
            "versions between 64 and 69.\nThe database file was created with a newer version of DuckDB.",
            "written by a newer DuckDB",
        ),
        ('IO Error: Could not write file "x": No space left on device', "disk is full; nothing was stored"),
        ('IO Error: Cannot open file "x": Permission denied', "may not be written"),
        ('IO Error: Cannot open file "x": Read-only file system', "read-only"),
        ('IO Error: Could not read enough bytes from file "x": attempted to read 1 bytes', "cut short"),
    ],
)
def test_what_duckdb_reports_is_said_with_place_and_advice(reported: str, said: str) -> None:
    error = translated(duckdb.IOException(reported), Path("county.duckdb"))
    assert isinstance(error, StoreError)
    assert said in error.what
    assert error.where == "county.duckdb"
    assert error.do
    assert "Error" not in error.what


def test_any_other_error_of_duckdb_is_wrapped_too() -> None:
    for kind, expected in ((duckdb.BinderException, StoreError), (duckdb.ConstraintException, BadValue)):
        with pytest.raises(expected), in_plain_words(Path("county.duckdb")):
            raise kind("Some Error: details\nLINE 1: SELECT")
    with pytest.raises(StoreError, match="not enough memory"), in_plain_words(Path("county.duckdb")):
        raise duckdb.OutOfMemoryException("Out of Memory Error: could not allocate block")


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write everywhere")
def test_a_record_in_a_read_only_folder_can_be_read_but_not_written(store: Store) -> None:
    store.path.chmod(0o444)
    assert len(ask(store, "counts")) == 1
    with pytest.raises(StoreError, match="may not be written"), store.open(write=True):
        pass


def test_a_full_disk_leaves_the_record_as_it_was(tmp_path: Path) -> None:
    small = tmp_path / "small"
    small.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=6m", "tmpfs", str(small)], capture_output=True, check=False
    )
    if mounted.returncode:
        pytest.skip("a small disk cannot be mounted here")
    try:
        store = Store(small / "county.duckdb")
        create_or_upgrade(store)
        save_batch(store, bid_tab("C-1"), NOON)
        before = contents(store)
        batch = bid_tab("C-2", sha256="e" * 64)
        long_texts = [os.urandom(50_000).hex() for _ in range(100)]
        batch.tables["bidder"] = batch.tables["bidder"].iloc[[0] * 100].assign(spelling=long_texts)
        with pytest.raises(StoreError, match="disk is full"):
            save_batch(store, batch, NOON)
        assert contents(store) == before
    finally:
        subprocess.run(["umount", str(small)], check=True)


def test_sql_reaches_no_python_variable_and_no_other_file(store: Store, tmp_path: Path) -> None:
    stray = [1]
    assert stray
    (tmp_path / "secret.csv").write_text("a\n1\n")
    for sql in (
        "SELECT * FROM stray",
        f"FROM read_csv('{tmp_path}/secret.csv')",
        f"COPY contract TO '{tmp_path}/out.csv'",
        f"ATTACH '{tmp_path}/other.duckdb'",
        "INSTALL httpfs",
    ):
        with pytest.raises(StoreError), store.open() as cursor:
            cursor.execute(sql)
    assert not (tmp_path / "out.csv").exists()


def test_a_transaction_that_is_broken_off_leaves_nothing(store: Store) -> None:
    before = contents(store)

    def broken_off() -> None:
        with store.open(write=True) as cursor, transaction(cursor):
            cursor.execute("DELETE FROM setting")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        broken_off()
    assert contents(store) == before


def test_the_stamp_changes_when_the_record_does(store: Store) -> None:
    first = store.stamp()
    ask(store, "counts")
    assert store.stamp() == first
    save_batch(store, bid_tab("C-1"), NOON)
    assert store.stamp() != first
    assert Store(store.path.parent / "none.duckdb").stamp() == "none none"


def test_discard_removes_a_record_and_its_log_and_minds_a_missing_one(store: Store) -> None:
    discard(store.path)
    assert list(store.path.parent.iterdir()) == []
    discard(store.path)


def test_discard_leaves_a_record_in_use_alone(store: Store) -> None:
    with held_by_another_process(store.path, 30), pytest.raises(StoreError, match="in use"):
        discard(store.path, timeout=0.1)
    assert store.path.exists()


def test_closing_is_harmless_while_in_use_and_afterwards(store: Store) -> None:
    with store.open() as cursor:
        store.close()
        assert cursor.execute("SELECT 1").fetchall() == [(1,)]
    store.close()
    assert len(ask(store, "counts")) == 1

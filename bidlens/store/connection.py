"""Opening the cost record: who may, in which mode, for how long one waits, and what is refused.

Nobody keeps the file open. A `Store` opens it for one piece of work and lets go, so that the dashboard, the command
line and a notebook can take turns.
"""

from __future__ import annotations

import contextlib
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import duckdb

from bidlens.errors import NotOnRecord, StoreError
from bidlens.store.trouble import OlderRecord, held_by_another, in_plain_words, is_lock
from bidlens.tables import SCHEMA_VERSION

#: SQL may not pick up Python variables by name, fetch extensions, or touch any file but the record itself.
SETTINGS: dict[str, Any] = {
    "python_enable_replacements": False,
    "autoinstall_known_extensions": False,
    "autoload_known_extensions": False,
    "enable_external_access": False,
}
SECONDS_TO_WAIT = 10.0
_FIRST_PAUSE, _LONGEST_PAUSE = 0.02, 0.2  # seconds between two tries for the lock


class Store:
    """The cost record in one DuckDB file. Make one per process and path, and share it between threads.

    DuckDB lets a process open a file for reading or for writing, not both at once, and a writing process shuts out
    all others. So a Store has the threads of its process agree: readers together, or one writer alone; a waiting
    writer goes before new readers, but for a thread that is reading already: the writer waits for that one to finish.
    Other processes are waited for.
    """

    def __init__(self, path: str | Path) -> None:
        self.path = Path(path).expanduser().absolute()
        self._turn = threading.Condition()
        self._connection: duckdb.DuckDBPyConnection | None = None
        self._writing = False
        self._users = 0
        self._writers_waiting = 0
        self._of_thread = threading.local()

    @contextlib.contextmanager
    def open(
        self, write: bool = False, timeout: float | None = None, *, create: bool = False
    ) -> Iterator[duckdb.DuckDBPyConnection]:
        """A cursor for one piece of work; the file is let go when the last user leaves.

        write : for writing, alone.
        timeout : seconds to wait for other threads and other processes; SECONDS_TO_WAIT when None.
        create : take a file that is missing, or of an earlier version, as it is; for `create_or_upgrade`.

        Raises NotOnRecord when there is no record yet, StoreError when the file is busy, not a cost record,
        from a newer version, or cannot be read or written. No error of DuckDB's own comes out of it.
        """
        with in_plain_words(self.path):
            cursor = self._enter(write, SECONDS_TO_WAIT if timeout is None else timeout, create)
            try:
                yield cursor
            finally:
                self._leave(cursor)

    def stamp(self) -> str:
        """Text that changes whenever the record does: time and size of the file and of its write-ahead log."""
        return " ".join(_stamp(file) for file in (self.path, write_ahead_log(self.path)))

    def close(self) -> None:
        """Let go of the file, should nobody be using it. Not needed between uses: nothing is kept open."""
        with self._turn:
            if not self._users:
                self._let_go()

    def _enter(self, write: bool, timeout: float, create: bool) -> duckdb.DuckDBPyConnection:
        end = time.monotonic() + timeout
        with self._turn:
            self._writers_waiting += write
            try:
                while self._must_wait(write):
                    if not self._turn.wait(end - time.monotonic()):
                        raise StoreError(
                            "the cost record is busy with another piece of work of this program",
                            where=str(self.path),
                            do="Wait until it has finished and try again.",
                        )
                if self._connection is None:
                    self._connection, self._writing = _connect(self.path, write, end, create), write
                cursor = self._connection.cursor()
                self._users += 1
                self._of_thread.openings = self._opened_here() + 1
                return cursor
            finally:
                self._writers_waiting -= write
                self._turn.notify_all()

    def _must_wait(self, write: bool) -> bool:
        in_the_way = self._users > 0 and (write or self._writing)
        return in_the_way or (not write and self._writers_waiting > 0 and self._opened_here() < 1)

    def _opened_here(self) -> int:
        """How often this thread has the record open."""
        return getattr(self._of_thread, "openings", 0)

    def _leave(self, cursor: duckdb.DuckDBPyConnection) -> None:
        try:
            cursor.close()
        finally:
            with self._turn:
                self._of_thread.openings = self._opened_here() - 1
                self._users -= 1
                if not self._users:
                    self._let_go()

    def _let_go(self) -> None:
        connection, self._connection, self._writing = self._connection, None, False
        self._turn.notify_all()
        if connection is not None:
            connection.close()


@contextlib.contextmanager
def transaction(cursor: duckdb.DuckDBPyConnection) -> Iterator[None]:
    """All or nothing: whatever goes wrong inside leaves the record as it was."""
    cursor.execute("BEGIN")
    try:
        yield
        cursor.execute("COMMIT")
    except BaseException:
        with contextlib.suppress(duckdb.Error):  # a failed COMMIT has rolled back already
            cursor.execute("ROLLBACK")
        raise


@contextlib.contextmanager
def trial(cursor: duckdb.DuckDBPyConnection) -> Iterator[None]:
    """What is done inside can be looked at inside; the record stays as it was."""
    cursor.execute("BEGIN")
    try:
        yield
    finally:
        with contextlib.suppress(duckdb.Error):
            cursor.execute("ROLLBACK")


def discard(path: str | Path, timeout: float = SECONDS_TO_WAIT) -> None:
    """Delete a cost record and its write-ahead log, to start afresh. Nothing happens if there is none.

    Raises StoreError if the file is in use or is not a cost record; then it is left alone.
    """
    store = Store(path)
    if not store.path.exists():
        return
    with store.open(write=True, timeout=timeout, create=True):
        pass  # opening proves that it is a cost record and that nobody uses it
    for file in (store.path, write_ahead_log(store.path)):
        file.unlink(missing_ok=True)


def write_ahead_log(path: Path) -> Path:
    """Where DuckDB keeps what is not yet in the file itself; belongs to it when it is copied or moved."""
    return path.with_name(path.name + ".wal")


def schema_version(cursor: duckdb.DuckDBPyConnection) -> int | None:
    """Version of the tables on record; None for a database with no tables, 0 for one that is not ours."""
    tables = {name for (name,) in cursor.execute("SELECT table_name FROM duckdb_tables()").fetchall()}
    if not tables:
        return None
    if not {"setting", "import_batch"} <= tables:
        return 0
    row = cursor.execute("SELECT try_cast(value AS INTEGER) FROM setting WHERE name = 'schema_version'").fetchone()
    return row[0] or 0 if row else 0


def _connect(path: Path, write: bool, end: float, create: bool) -> duckdb.DuckDBPyConnection:
    """A connection of the wanted mode, once the location, the lock and the version allow it."""
    _check_location(path, create)
    connection = _wait_for_lock(path, write, end)
    try:
        _check_version(schema_version(connection), path, create)
    except BaseException:
        connection.close()
        raise
    return connection


def _check_location(path: Path, create: bool) -> None:
    if path.is_dir():
        raise StoreError(
            "this is a folder, not a file", where=str(path), do="Name a file in it, such as county.duckdb."
        )
    if not path.parent.is_dir():
        raise StoreError(
            f"the folder {path.parent} does not exist", where=str(path), do="Create it, or keep the record elsewhere."
        )
    if path.is_file() and path.stat().st_size == 0:
        _clear_empty_file(path, create)
    elif not path.exists() and not create:
        raise _nothing_yet(path)


def _clear_empty_file(path: Path, create: bool) -> None:
    """An empty file counts as no record. It may be one that another process is making just now: look twice."""
    time.sleep(_LONGEST_PAUSE)
    if path.stat().st_size:
        return
    if not create:
        raise _nothing_yet(path)
    try:
        path.unlink()
    except OSError as error:
        raise StoreError(f"the empty file cannot be replaced: {error.strerror}", where=str(path)) from error


def _wait_for_lock(path: Path, write: bool, end: float) -> duckdb.DuckDBPyConnection:
    pause = _FIRST_PAUSE
    while True:
        try:
            return duckdb.connect(str(path), read_only=not write, config=SETTINGS)
        except duckdb.Error as error:
            if not is_lock(error):
                raise
            if time.monotonic() + pause > end:
                raise held_by_another(error, path) from error
        time.sleep(pause)
        pause = min(2 * pause, _LONGEST_PAUSE)


def _check_version(version: int | None, path: Path, create: bool) -> None:
    if version is None:
        if not create:
            raise _nothing_yet(path)
    elif version == 0:
        raise StoreError(
            "this is a DuckDB database, but not a cost record of bidlens",
            where=str(path),
            do="Name another file; this one was left as it is.",
        )
    elif version > SCHEMA_VERSION:
        raise StoreError(
            f"this cost record was written by a newer bidlens (tables of version {version}; this one knows "
            f"{SCHEMA_VERSION})",
            where=str(path),
            do="Install the newer bidlens.",
        )
    elif version < SCHEMA_VERSION and not create:
        raise OlderRecord(
            f"this cost record was written by an earlier bidlens (tables of version {version}; this one needs "
            f"{SCHEMA_VERSION})",
            where=str(path),
            do="Start bidlens again: opening the record brings it up to date.",
        )


def _nothing_yet(path: Path) -> NotOnRecord:
    return NotOnRecord(
        f"no cost record at {path} yet", do="Import a bid tab first, or look around the sample county (bidlens demo)."
    )


def _stamp(file: Path) -> str:
    try:
        seen = file.stat()
    except FileNotFoundError:
        return "none"
    return f"{seen.st_mtime_ns}-{seen.st_size}"

"""Large imports: written into a copy of the record, which then takes the record's place.

Whoever reads the record meanwhile goes on reading; only the change of places shuts others out, for a moment.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from bidlens.store.connection import Store, write_ahead_log

_T = TypeVar("_T")

#: From this many rows storing takes longer than a copy: a million rows shut others out for about half a second.
WORTH_A_COPY_FROM_ROWS = 500_000
_MOST_BYTES_A_ROW = 200  # of record to be copied for each row to be stored
_LEFT_BEHIND_AFTER = 3600.0  # seconds after which a copy belongs to an import that was broken off
_MOMENT = 0.02  # seconds


def in_copy(store: Store, rows: int, work: Callable[[Store], _T]) -> _T | None:
    """What `work` returns, done on a copy of the record that then takes its place; whatever it raises leaves no trace.

    rows : about how many are to be stored. None where a copy is not worth it or not possible, or the record was
    changed by others meanwhile: then nothing was done, and the work is to be done on the record itself.
    """
    path = store.path.resolve()
    copy = path.with_name(path.name + ".new")
    if rows < WORTH_A_COPY_FROM_ROWS or os.name == "nt":  # there a file in use cannot be replaced
        return None
    stamp = _copied(store, path, copy, rows * _MOST_BYTES_A_ROW)
    if stamp is None:
        return None
    try:
        done = work(Store(copy))
        return done if _in_place(store, path, copy, stamp) else None
    finally:
        for left in (copy, write_ahead_log(copy)):
            left.unlink(missing_ok=True)


def _copied(store: Store, path: Path, copy: Path, most_bytes: int) -> str | None:
    """Copy the record; its stamp, or None if it is too large, not all in one file, or another copy is in work."""
    if copy.exists() and time.time() - copy.stat().st_mtime > _LEFT_BEHIND_AFTER:
        copy.unlink(missing_ok=True)
    with store.open():  # nobody writes while it is open for reading
        if path.stat().st_size > most_bytes or write_ahead_log(path).exists():
            return None
        stamp = store.stamp()
        try:
            with path.open("rb") as held, copy.open("xb") as written:
                shutil.copyfileobj(held, written, 2**20)
            shutil.copymode(path, copy)
        except FileExistsError:
            return None
        except OSError:  # no room for two
            copy.unlink(missing_ok=True)
            return None
    return stamp


def _in_place(store: Store, path: Path, copy: Path, stamp: str) -> bool:
    """Put the copy in the record's place, unless others have changed the record since it was made."""
    with store.open(write=True):
        if store.stamp() != stamp or write_ahead_log(copy).exists():
            return False
        with contextlib.suppress(OSError):
            copy.replace(path)
            # Who opened the file just before asks for the lock of the old one. It has to be refused while this lock
            # is held; it then tries anew, with the new file. Else what it wrote would be lost with the old file.
            time.sleep(_MOMENT)
            return True
    return False

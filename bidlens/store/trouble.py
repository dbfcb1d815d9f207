"""The one place where what DuckDB reports becomes an error in plain words: what, where, and what to do."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Iterator
from pathlib import Path

import duckdb

from bidlens.errors import BadValue, BidlensError, StoreError


class OlderRecord(StoreError):
    """The cost record was written by an earlier bidlens and has to be brought up to date before it is read."""


@contextlib.contextmanager
def in_plain_words(path: Path) -> Iterator[None]:
    """Around every use of the database at `path`: no error of DuckDB's own leaves it."""
    try:
        yield
    except duckdb.Error as error:
        raise translated(error, path) from error


def is_lock(error: duckdb.Error) -> bool:
    """Whether the file is held by another process, or open in this one in the other mode; it pays to wait."""
    text = str(error).lower()
    return any(words in text for words in ("lock on file", "different configuration", "already open", "being used by"))


def held_by_another(error: duckdb.Error, path: Path) -> StoreError:
    """The error for a lock that outlasted the wait; names the process where DuckDB does."""
    text = str(error)
    number = re.search(r"PID (\d+)", text)
    program = re.search(r"held in (\S+) \(PID", text)
    holder = f" (process {number[1]}{f', {Path(program[1]).name}' if program else ''})" if number else ""
    return StoreError(
        f"the cost record is in use by another program{holder}",
        where=str(path),
        do="Wait until it has finished, or close that program, and try again.",
    )


def translated(error: duckdb.Error, path: Path) -> BidlensError:
    """What DuckDB reported about the database at `path`, as an error a reader can act on."""
    text = str(error)
    if is_lock(error):
        return held_by_another(error, path)
    if isinstance(error, duckdb.ConstraintException | duckdb.ConversionException | duckdb.OutOfRangeException):
        return BadValue(f"a row does not fit the cost record: {_first_line(text)}", do="Nothing was stored.")
    for words, what, do in _KNOWN:
        if words in text.lower():
            return StoreError(what, where=str(path), do=do)
    if isinstance(error, duckdb.OutOfMemoryException):
        return StoreError(
            "there is not enough memory for this", where=str(path), do="Close other programs and try again."
        )
    return StoreError(f"the cost record cannot be used: {_first_line(text)}", where=str(path))


#: Words in DuckDB's report, what is wrong, what to do. The first that fits counts.
_KNOWN = (
    (
        "newer version of duckdb",
        "this file was written by a newer DuckDB than the one installed here",
        "Install the newer bidlens that wrote it, or use an export of it.",
    ),
    (
        "not a valid duckdb database",
        "this file is not a cost record; it is no DuckDB database",
        "Name another file; this one was left as it is.",
    ),
    ("no space left", "the disk is full; nothing was stored", "Free some space and try again."),
    ("disk quota", "the disk quota is used up; nothing was stored", "Free some space and try again."),
    (
        "permission denied",
        "this file or its folder may not be written, or not be read, by you",
        "Ask for the right to it, or keep the cost record in a folder of your own.",
    ),
    (
        "read-only file system",
        "this folder is read-only",
        "Copy the cost record to a folder that can be written, or keep it in another one.",
    ),
    (
        "corrupt",
        "this file is damaged and cannot be read",
        "Restore it from a backup, or start a new cost record and import the files again.",
    ),
    (
        "could not read enough bytes",
        "this file is cut short or damaged",
        "Restore it from a backup, or start a new cost record and import the files again.",
    ),
    (
        "has been invalidated",
        "the database stopped after an earlier error",
        "Start bidlens again; what was stored before the error is still there.",
    ),
)


def _first_line(text: str) -> str:
    """The first line of a report, without DuckDB's name for its kind."""
    line = text.strip().splitlines()[0] if text.strip() else "no reason given"
    return line.split("Error: ", 1)[-1]

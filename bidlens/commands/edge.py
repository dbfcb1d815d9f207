"""What every command needs at the edge: the record that is asked, the answer on stdout, the talk on stderr."""

from __future__ import annotations

import argparse
import datetime as dt
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from bidlens.errors import BadValue

if TYPE_CHECKING:
    from bidlens.workflow import Database

BASES = ("beams", "superstructure", "bridge", "contract")

#: `add(name, run, text)`: a new command, and the parser for its arguments.
Add = Callable[[str, Callable[[argparse.Namespace], int], str], argparse.ArgumentParser]


def say_what_is_compared(parser: argparse.ArgumentParser) -> None:
    """The options --basis, --index and --dollars-of."""
    say_basis(parser)
    say_index(parser)
    parser.add_argument(
        "--dollars-of", metavar="QUARTER", help="restate prices in dollars of this quarter, such as 2026Q1"
    )


def say_basis(parser: argparse.ArgumentParser, text: str = "what the dollars contain") -> None:
    """The option --basis."""
    parser.add_argument("--basis", choices=BASES, default="superstructure", help=text)


def say_index(parser: argparse.ArgumentParser) -> None:
    """The option --index."""
    parser.add_argument(
        "--index",
        metavar="NAME",
        help="cost index: nhcci (default), nhcci-adjusted, none, or an imported one with its release: “NHCCI 2026Q2”",
    )


def say_report(parser: argparse.ArgumentParser, text: str) -> None:
    """The option --report."""
    parser.add_argument("--report", type=Path, metavar="FILE", help=text)


def record(arguments: argparse.Namespace) -> Database:
    """The cost record the command is about; close it by leaving its block."""
    from bidlens import workflow

    return workflow.open_database(arguments.db or default_database())


def answer(arguments: argparse.Namespace, as_document: Callable[[], str], as_text: Callable[[], str]) -> None:
    """The answer on stdout, in the form asked for."""
    print(as_document() if arguments.format == "json" else as_text())


def talk(text: str) -> None:
    """A line for the person watching, on stderr."""
    print(text, file=sys.stderr)


def data_folder() -> Path:
    """Where a user's data belongs on this system; made if it is not there."""
    if os.name == "nt":
        base = Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData" / "Local"))
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Application Support"
    else:
        base = Path(os.environ.get("XDG_DATA_HOME", Path.home() / ".local" / "share"))
    folder = base / "bidlens"
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadValue(
            f"cannot make the data folder {folder}: {error.strerror}", do="Name a file with --db."
        ) from error
    return folder


def default_database() -> Path:
    """`BIDLENS_DB`, or bidlens.duckdb in the user's data folder."""
    named = os.environ.get("BIDLENS_DB")
    return Path(named) if named else data_folder() / "bidlens.duckdb"


def today() -> dt.date:
    """Today where the user is."""
    return dt.datetime.now(dt.UTC).astimezone().date()


def date_of(text: str | None) -> dt.date | None:
    """A day given as 2026-04-02, None where none is given. Raises BadValue for anything else."""
    try:
        return dt.date.fromisoformat(text) if text else None
    except ValueError as error:
        raise BadValue(f"cannot read “{text}” as a date", do="Write it as 2026-04-02.") from error


def progress(done: int, total: int, name: str) -> None:
    """One line, rewritten in place, and only for a person watching."""
    if not sys.stderr.isatty() or not total:
        return
    width = 30
    filled = width * done // total
    sys.stderr.write(f"\r{'█' * filled}{'░' * (width - filled)} {done}/{total} {name[:60]:<60}")
    sys.stderr.write("\r" + " " * 110 + "\r" if done == total else "")
    sys.stderr.flush()

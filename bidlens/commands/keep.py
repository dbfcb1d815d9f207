"""Taking an import back and taking the tables out: `undo` and `export`."""

from __future__ import annotations

import argparse
from pathlib import Path

from bidlens.commands import edge


def add_commands(add: edge.Add) -> None:
    """The commands of this family."""
    undo = add("undo", _undo, "take one import back whole")
    undo.add_argument("batch", type=int, metavar="BATCH")

    export = add("export", _export, "write every table to a folder, so that nobody is locked in")
    export.add_argument("folder", type=Path, metavar="DIR")
    export.add_argument("--csv", action="store_true", help="CSV instead of Parquet")


def _undo(arguments: argparse.Namespace) -> int:
    from bidlens.report import answers, as_json

    with edge.record(arguments) as db:
        removed = db.undo(arguments.batch)
    edge.answer(
        arguments,
        lambda: as_json.document("undo", batch=arguments.batch, removed=removed),
        lambda: answers.undo_answer(arguments.batch, removed),
    )
    return 0


def _export(arguments: argparse.Namespace) -> int:
    from bidlens.report import answers, as_json

    with edge.record(arguments) as db:
        files = db.export(arguments.folder, csv=arguments.csv)
    edge.answer(arguments, lambda: as_json.document("export", files=files), lambda: answers.export_answer(files))
    return 0

"""Files into the record: `import`, `imports` and `mappings`."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from bidlens.commands import edge

KINDS = ("bid-tab", "structures", "nbi", "proposals", "cost-index", "program")
AGAIN = ("keep-first", "replace", "keep-both")
ENTRY_RULES = ("as-bid", "tenth-of-a-cent")


def add_commands(add: edge.Add) -> None:
    """The commands of this family."""
    bring = add("import", _import, "read bid tabs, structure lists, proposals or a cost index into the record")
    bring.add_argument("files", nargs="+", type=Path, metavar="FILE")
    bring.add_argument("--kind", choices=KINDS, help="what the files are; recognised when not given")
    bring.add_argument("--dry-run", action="store_true", help="show what would come in, store nothing")
    bring.add_argument("--columns", type=Path, metavar="FILE", help="a TOML file that says which column is what")
    _add_choices(bring)

    add("imports", _imports, "list what was imported")
    known = add("mappings", _mappings, "which column is what, as told for files with the same headings")
    known.add_argument("--forget", metavar="NAME", help="remove one; what came in by it stays")


def _add_choices(parser: argparse.ArgumentParser) -> None:
    """The options for bid tabs."""
    parser.add_argument(
        "--again",
        choices=AGAIN,
        default=AGAIN[0],
        help="a contract on record from another file stays (keep-first), gives its place, or is kept beside this one",
    )
    parser.add_argument(
        "--award",
        metavar="SCHEDULES",
        help='schedules the award rests on, as the owner states, such as "base + ALT 1"; the base bid if not given',
    )
    parser.add_argument(
        "--entry-rule",
        choices=ENTRY_RULES,
        help="how unit prices are entered: as bid, or to a tenth of a cent and zero as $0.001 (Texas, 43 TAC 9.16(b)); "
        "kept for later imports",
    )


def _choices_of(arguments: argparse.Namespace) -> dict[str, Any]:
    """The choices as keywords of `Database.import_files`."""
    return {"again": arguments.again, "award": arguments.award, "entry_rule": arguments.entry_rule}


def _import(arguments: argparse.Namespace) -> int:
    from bidlens.report import answers, as_json

    with edge.record(arguments) as db:
        results = db.import_files(
            arguments.files,
            arguments.kind,
            dry_run=arguments.dry_run,
            progress=edge.progress,
            columns=arguments.columns,
            **_choices_of(arguments),
        )
    if arguments.format == "json":
        print(as_json.document("import", files=[answers.import_record(result) for result in results]))
    else:
        print(answers.imports_answer(results))
    return 1 if any(result.error for result in results) else 0


def _imports(arguments: argparse.Namespace) -> int:
    from bidlens.report import answers, as_json

    with edge.record(arguments) as db:
        frame = db.imports()
    edge.answer(arguments, lambda: as_json.document("imports", imports=frame), lambda: answers.batches_answer(frame))
    return 0


def _mappings(arguments: argparse.Namespace) -> int:
    from bidlens.report import as_json, recognised

    with edge.record(arguments) as db:
        if arguments.forget:
            db.forget_mapping(arguments.forget)
            edge.talk(f"The mapping “{arguments.forget}” was removed.")
        frame = db.mappings()
    edge.answer(
        arguments,
        lambda: as_json.document("mappings", mappings=frame),
        lambda: recognised.mappings_answer(frame),
    )
    return 0

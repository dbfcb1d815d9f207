"""The choices of “bidlens import” for bid tabs: their options, and what they mean to `Database.import_files`."""

from __future__ import annotations

import argparse
from typing import Any

AGAIN = ("keep-first", "replace", "keep-both")
ENTRY_RULES = ("as-bid", "tenth-of-a-cent")


def add_choices(parser: argparse.ArgumentParser) -> None:
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


def choices_of(arguments: argparse.Namespace) -> dict[str, Any]:
    """The choices as keywords of `Database.import_files`."""
    return {"again": arguments.again, "award": arguments.award, "entry_rule": arguments.entry_rule}

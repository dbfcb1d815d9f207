"""The command line: it finds the command, runs it and turns an error into plain words.

stdout is the answer, stderr the talk. Exit 0 done, 1 a clear error, 2 wrong usage.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from bidlens import commands
from bidlens.commands import edge
from bidlens.errors import BidlensError


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status; no traceback reaches the user."""
    arguments = _parser().parse_args(argv)
    try:
        return int(arguments.run(arguments))
    except BidlensError as error:
        from bidlens.report.answers import error_text

        edge.talk(error_text(error))
        return 1
    except KeyboardInterrupt:
        edge.talk("Stopped by you.")
        return 1
    except BrokenPipeError:
        # The reader of our output went away (`bidlens history | head`): nothing is wrong, nothing more to say.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="bidlens",
        description="Bridge bid tabs in, cost per square foot of deck out, a supplier's proposal checked.",
    )
    common = argparse.ArgumentParser(add_help=False)
    common.add_argument(
        "--db", type=Path, help="the cost record, a DuckDB file (default: BIDLENS_DB or your data folder)"
    )
    common.add_argument("--format", choices=("table", "json"), default="table", help="form of the answer on stdout")
    listed = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")

    def add(name: str, run: Callable[[argparse.Namespace], int], text: str) -> argparse.ArgumentParser:
        added = listed.add_parser(name, parents=[common], help=text, description=text)
        added.set_defaults(run=run)
        return added

    for family in commands.FAMILIES:
        family.add_commands(add)
    return parser

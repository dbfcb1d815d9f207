"""The bids of one contract side by side: `compare`."""

from __future__ import annotations

import argparse
import datetime as dt

from bidlens.commands import edge


def add_commands(add: edge.Add) -> None:
    """The commands of this family."""
    compare = add("compare", _compare, "one contract's bids side by side: items by bidders, and what makes them differ")
    compare.add_argument("contract", metavar="CONTRACT", help="contract number, as on record")
    compare.add_argument(
        "--letting-date", type=_day, metavar="YYYY-MM-DD", help="which letting, where it was let more than once"
    )
    edge.say_report(compare, "also write it to print (.html) or as tables (.xlsx)")


def _day(text: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"“{text}” is no date such as 2025-03-12") from error


def _compare(arguments: argparse.Namespace) -> int:
    from bidlens import workflow
    from bidlens.report import as_json, bid_comparison

    with edge.record(arguments) as db:
        found = workflow.compare_bids(db, arguments.contract, arguments.letting_date)
        if arguments.report:
            bid_comparison.write_comparison(found, arguments.report, workflow.sources_of(db))
            edge.talk(f"Written: {arguments.report}")
    edge.answer(
        arguments,
        lambda: as_json.document("compare", **found.as_dict()),
        lambda: bid_comparison.comparison_answer(found),
    )
    return 0

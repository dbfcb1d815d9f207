"""The annual letting review: `review`."""

from __future__ import annotations

import argparse
from pathlib import Path

from bidlens.commands import edge
from bidlens.errors import BadValue


def add_commands(add: edge.Add) -> None:
    """The commands of this family."""
    review = add("review", _review, "the annual letting review: competition, estimates, prices that moved")
    review.add_argument("years", nargs="?", metavar="YEAR", help="a year, or some years: 2019-2024")
    review.add_argument("--from", dest="first", type=int, metavar="YEAR", help="first of some years")
    review.add_argument("--to", dest="last", type=int, metavar="YEAR", help="last of some years")
    edge.say_basis(review, "what the explained $/sf contains")
    edge.say_index(review)
    edge.say_report(review, "also write it to print (.html) or as tables (.xlsx)")
    review.add_argument("--triggers", type=Path, metavar="FILE", help="TOML file with edited triggers")


def _years(arguments: argparse.Namespace) -> tuple[int, int]:
    """The years asked for, as “2025”, “2019-2024” or with --from and --to. Raises BadValue for anything else."""
    from bidlens.letting.years import parse_years

    ends = (arguments.first, arguments.last)
    if arguments.years is not None and ends == (None, None):
        return parse_years(arguments.years)
    if arguments.years is None and None not in ends:
        return parse_years(f"{ends[0]}-{ends[1]}")
    raise BadValue("which years?", do="Write “review 2025”, “review 2019-2024”, or “review --from 2019 --to 2024”.")


def _review(arguments: argparse.Namespace) -> int:
    from bidlens import workflow
    from bidlens.report import as_json, review_report, review_text

    with edge.record(arguments) as db:
        review = workflow.review_lettings(
            db, _years(arguments), arguments.basis, triggers=arguments.triggers, index_name=arguments.index
        )
        if arguments.report:
            review_report.write_review(review, arguments.report, workflow.sources_of(db))
            edge.talk(f"Written: {arguments.report}")
    edge.answer(
        arguments,
        lambda: as_json.document("review", **review.as_dict()),
        lambda: review_text.review_answer(review),
    )
    return 0

"""The annual letting review: `review`."""

from __future__ import annotations

import argparse
from pathlib import Path

from bidlens.commands import edge


def add_commands(add: edge.Add) -> None:
    """The commands of this family."""
    review = add("review", _review, "the annual letting review: competition, estimates, prices that moved")
    review.add_argument("year", type=int, metavar="YEAR")
    edge.say_basis(review, "what the explained $/sf contains")
    edge.say_index(review)
    edge.say_report(review, "also write it to print (.html) or as tables (.xlsx)")
    review.add_argument("--triggers", type=Path, metavar="FILE", help="TOML file with edited triggers")


def _review(arguments: argparse.Namespace) -> int:
    from bidlens import workflow
    from bidlens.report import as_json, review_report, review_text

    with edge.record(arguments) as db:
        review = workflow.review_lettings(
            db, arguments.year, arguments.basis, triggers=arguments.triggers, index_name=arguments.index
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

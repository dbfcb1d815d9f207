"""Pay item prices over the years, and the price to expect: `items`."""

from __future__ import annotations

import argparse

from bidlens.commands import edge


def add_commands(add: edge.Add) -> None:
    """The commands of this family."""
    items = add("items", _items, "pay item prices: history of low, mean and all bids, and the price to expect")
    items.add_argument("words", nargs="+", metavar="WORDS", help="words of the description, or a pay item code")
    items.add_argument("--unit", metavar="UNIT", help="only in this pay unit; units of its dimension are converted")
    items.add_argument("--year", metavar="YEAR", help="only lettings of a year, or of some years: 2019-2024")
    items.add_argument("--quantity", type=float, metavar="N", help="what the price is for; the middle past quantity")
    edge.say_index(items)


def _items(arguments: argparse.Namespace) -> int:
    from bidlens import workflow
    from bidlens.letting.years import parse_years
    from bidlens.report import item_report

    words = " ".join(arguments.words)
    with edge.record(arguments) as db:
        found = workflow.pay_item_prices(
            db, words, unit=arguments.unit, years=parse_years(arguments.year) if arguments.year else None,
            quantity=arguments.quantity, index_name=arguments.index,
        )  # fmt: skip
    edge.answer(
        arguments,
        lambda: item_report.items_document(found, words),
        lambda: item_report.items_answer(found, words),
    )
    return 0

"""What the engineer decides: `names` and `corrections`."""

from __future__ import annotations

import argparse

from bidlens.commands import edge


def add_commands(add: edge.Add) -> None:
    """The commands of this family."""
    names = add("names", _names, "bidder spellings that may be one firm: list, confirm or forget")
    names.add_argument("--confirm", nargs=2, metavar=("SPELLING", "BIDDER"), help="show a spelling as another bidder")
    names.add_argument("--because", metavar="REASON", help="why; kept with what you confirm")
    names.add_argument("--forget", metavar="SPELLING", help="take a confirmed spelling back")
    names.add_argument(
        "--same-item", nargs=2, metavar=("ITEM", "OTHER"), help="count a pay item description as another"
    )
    names.add_argument("--forget-item", metavar="ITEM", help="take a confirmed pay item back")
    names.add_argument("--unit", metavar="UNIT", default="", help="pay unit of the items, as LS; they must share it")

    add("corrections", _corrections, "prices typed by hand, and findings and rows that were accepted")


def _names(arguments: argparse.Namespace) -> int:
    from bidlens.report import as_json, decided

    with edge.record(arguments) as db:
        if arguments.forget:
            bidder = db.forget_name(arguments.forget)
            edge.talk(decided.forgotten_answer(arguments.forget, bidder))
        if arguments.confirm:
            spelling, bidder = arguments.confirm
            found = db.confirm_name(spelling, bidder, arguments.because or "confirmed on the command line")
            edge.talk(decided.confirmed_answer(spelling, bidder, found))
        if arguments.forget_item:
            other = db.forget_item(arguments.forget_item, arguments.unit)
            edge.talk(decided.item_forgotten_answer(arguments.forget_item, other))
        if arguments.same_item:
            item, other = arguments.same_item
            moved = db.confirm_item(item, other, arguments.unit, arguments.because or "")
            edge.talk(decided.item_confirmed_answer(item, other, moved))
        same = db.item_aliases()
        suggested, aliases, items = db.bidder_suggestions(), db.bidder_aliases(), db.pay_item_suggestions()
        apart = db.bidders_kept_apart()
    edge.answer(
        arguments,
        lambda: as_json.document(
            "names",
            suggestions=suggested,
            confirmed=aliases,
            pay_items=items,
            same_items=same,
            findings=[f.as_dict() for f in apart],
        ),
        lambda: decided.names_answer(suggested, aliases, items, apart, same),
    )
    return 0


def _corrections(arguments: argparse.Namespace) -> int:
    from bidlens.report import as_json, decided

    with edge.record(arguments) as db:
        typed, accepted = db.corrections(), db.acceptances()
    edge.answer(
        arguments,
        lambda: as_json.document("corrections", corrections=typed, accepted=accepted),
        lambda: decided.corrections_answer(typed, accepted),
    )
    return 0

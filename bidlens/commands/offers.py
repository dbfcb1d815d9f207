"""`bidlens offers`: the letters on record, what became of each, and each supplier's offers over time."""

from __future__ import annotations

import argparse

from bidlens.commands import edge
from bidlens.errors import BadValue


def add_commands(add: edge.Add) -> None:
    """The command of this family."""
    parser = add(
        "offers", _offers, "supplier proposals on record: what became of each, what was paid, offers over time"
    )
    edge.say_what_is_compared(parser)
    parser.add_argument("--supplier", metavar="NAME", help="letters of this supplier alone")
    parser.add_argument(
        "--outcome",
        nargs=2,
        metavar=("PROPOSAL", "OUTCOME"),
        help="record what became of it: accepted, declined, let_instead or expired",
    )
    parser.add_argument("--because", metavar="REASON", help="why; kept with the outcome")
    parser.add_argument("--on", metavar="DATE", help="day of the decision, such as 2026-04-02; today when not given")
    parser.add_argument("--contract", metavar="CONTRACT", help="the contract it became, or that was let instead")
    parser.add_argument("--let", metavar="DATE", help="that contract's letting date, where it was let more than once")
    parser.add_argument("--forget", metavar="PROPOSAL", help="take an outcome back")


def _offers(arguments: argparse.Namespace) -> int:
    from bidlens import offering
    from bidlens.proposal.over_time import same_supplier
    from bidlens.report import as_json, letters

    if not arguments.outcome and (arguments.because or arguments.on or arguments.contract or arguments.let):
        raise BadValue("no outcome is named", do="Write --outcome PROPOSAL OUTCOME --because REASON.")
    with edge.record(arguments) as db:
        if arguments.forget:
            edge.talk(letters.forgotten_answer(arguments.forget, db.forget_outcome(arguments.forget)))
        if arguments.outcome:
            proposal_id, outcome = arguments.outcome
            on = edge.date_of(arguments.on) or edge.today()
            let = edge.date_of(arguments.let)
            db.record_outcome(proposal_id, outcome, arguments.because or "", on, arguments.contract, let)
            edge.talk(letters.recorded_answer(proposal_id, outcome, on, arguments.contract))
        found = offering.letters(db, arguments.basis, arguments.dollars_of, index_name=arguments.index)
    if arguments.supplier:
        wanted = same_supplier(arguments.supplier)
        found = [one for one in found if same_supplier(one.offer.supplier) == wanted]
    edge.answer(
        arguments,
        lambda: as_json.document("offers", offers=[one.as_dict() for one in found], suppliers=offering.words_of(found)),
        lambda: letters.letters_answer(found, offering.words_of(found), edge.today()),
    )
    return 0

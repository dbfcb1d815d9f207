"""Which contract paid for which structure: `links`."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from bidlens.commands import edge

if TYPE_CHECKING:
    from bidlens.workflow import Database, NewBridge

_PAIR = ("CONTRACT", "STRUCTURE")


def add_commands(add: edge.Add) -> None:
    """The commands of this family."""
    links = add("links", _links, "structures that contracts name, contracts without one; link or unlink by hand")
    links.add_argument("--link", nargs=2, metavar=_PAIR, help="say that a contract paid for a structure")
    links.add_argument("--unlink", nargs=2, metavar=_PAIR, help="say that it did not, whatever a file says")
    links.add_argument("--take-back", nargs=2, metavar=_PAIR, help="take back what was said of the two by hand")
    links.add_argument("--because", metavar="REASON", help="why; kept with what you say, and needed for it")
    links.add_argument("--let", metavar="DATE", help="letting meant, where the contract was let more than once")
    links.add_argument("--schedule", action="append", default=[], metavar="S", help="schedule that paid for it; repeat")
    links.add_argument("--type", metavar="T", help="superstructure of the bridge that was built")
    links.add_argument("--length", metavar="L", help="its length, such as 62 ft")
    links.add_argument("--width", metavar="W", help="its out-to-out width, such as 28'-0\"")
    links.add_argument("--span", metavar="L", help="its longest span")
    links.add_argument("--spans", type=int, metavar="N", help="its number of spans")


def _links(arguments: argparse.Namespace) -> int:
    from bidlens.report import as_json, linked

    with edge.record(arguments) as db:
        _decide(arguments, db)
        without, suggested = db.contracts_without_structure(), db.link_suggestions()
        said = db.structure_links()
    edge.answer(
        arguments,
        lambda: as_json.document("links", contracts_without_structure=without, suggestions=suggested, said=said),
        lambda: linked.links_answer(without, suggested, said),
    )
    return 0


def _decide(arguments: argparse.Namespace, db: Database) -> None:
    from bidlens.report import linked

    let, because = edge.date_of(arguments.let), arguments.because or ""
    if arguments.take_back:
        contract_id, structure_id = arguments.take_back
        was_link = db.take_back_link(contract_id, structure_id, let)
        edge.talk(linked.taken_back_said(contract_id, structure_id, was_link))
    if arguments.unlink:
        contract_id, structure_id = arguments.unlink
        db.unlink_structure(contract_id, structure_id, because, letting_date=let)
        edge.talk(linked.unlinked_said(contract_id, structure_id))
    if arguments.link:
        contract_id, structure_id = arguments.link
        schedules, bridge = arguments.schedule, _bridge(arguments)
        doubts = db.link_structure(
            contract_id, structure_id, because, letting_date=let, schedules=schedules, bridge=bridge
        )
        edge.talk("\n".join([linked.linked_said(contract_id, structure_id, schedules), *doubts]))


def _bridge(arguments: argparse.Namespace) -> NewBridge:
    from bidlens.lengths import parse_length_ft
    from bidlens.workflow import NewBridge

    def feet(name: str) -> float | None:
        seen = getattr(arguments, name)
        return parse_length_ft(seen, place=f"--{name}") if seen else None

    return NewBridge(arguments.type, feet("length"), feet("width"), feet("span"), arguments.spans)

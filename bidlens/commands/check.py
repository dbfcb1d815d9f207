"""`bidlens check`: its arguments, and the steps from proposal files to an answer."""

from __future__ import annotations

import argparse
from pathlib import Path

from bidlens.commands import edge
from bidlens.errors import BadValue


def add_commands(add: edge.Add) -> None:
    """The command of this family."""
    parser = add("check", _check, "hold supplier proposals against what was paid, like for like, and beside each other")
    edge.say_what_is_compared(parser)
    parser.add_argument("proposals", nargs="+", type=Path, metavar="PROPOSAL")
    parser.add_argument("--report", type=Path, metavar="FILE", help="also write a memo (.html) or the working (.xlsx)")
    parser.add_argument("--exclude", action="append", default=[], metavar="CONTRACT", help="leave a contract out")
    parser.add_argument("--because", metavar="REASON", help="why the contracts are left out")
    parser.add_argument("--rate", type=float, metavar="PERCENT", help="interest a year: work out the cost a year")
    parser.add_argument(
        "--life", action="append", default=[], metavar="YEARS",
        help="service life you assume for all (75 when not given), or for one: “NAME=100”, its proposal or supplier",
    )  # fmt: skip


def _check(arguments: argparse.Namespace) -> int:
    """Check the offers, write the report asked for, answer."""
    from bidlens import comparing, workflow
    from bidlens.report import answers, as_json, comparison, comparison_memo, memo

    if arguments.exclude and not arguments.because:
        raise BadValue("contracts are left out without a reason", do="Say why with --because.")
    with edge.record(arguments) as db:
        offers = workflow.to_compare([one for path in arguments.proposals for one in workflow.read_proposals(path)])
        life_years, lives = _lives(arguments.life, [(one.proposal_id, one.supplier) for one in offers])
        found = comparing.compare(
            db,
            offers,
            arguments.basis,
            priced=db.price_history(arguments.basis, arguments.dollars_of, index_name=arguments.index),
            today=edge.today(),
            exclude=dict.fromkeys(arguments.exclude, arguments.because),
            rate=None if arguments.rate is None else arguments.rate / 100,
            life_years=life_years,
            lives=lives,
        )
        if arguments.report:
            sources = workflow.sources_of(db)
            front = comparison_memo.comparison_html(found.checks, found.side, found.life, sources)
            sheets = comparison_memo.comparison_sheets(found.side)
            memo.write_report(found.checks, arguments.report, sources, front, sheets)
            edge.talk(f"Written: {arguments.report}")
    edge.answer(
        arguments,
        lambda: as_json.document(
            "check", proposals=[check.as_dict() for check in found.checks], comparison=found.as_dict()
        ),
        lambda: "\n\n\n".join(
            [
                *(answers.check_answer(check) for check in found.checks),
                *comparison.comparison_answer(found.side, found.life),
            ]
        ),
    )
    return 0


def _lives(written: list[str], offers: list[tuple[str, str]]) -> tuple[float | None, dict[str, float]]:
    """The life for all, and those for single offers by proposal. Raises BadValue for what cannot be read or found."""
    common: float | None = None
    own: dict[str, float] = {}
    for entry in written:
        name, _, years = entry.rpartition("=")
        try:
            life = float(years)
        except ValueError as error:
            raise BadValue(f"cannot read the life “{entry}”", do="Write 75, or NAME=100 for one offer.") from error
        if not name:
            common = life
            continue
        named = [proposal_id for proposal_id, supplier in offers if name in (proposal_id, supplier)]
        if not named:
            raise BadValue(f"no proposal or supplier is named “{name}”", do="Write the name as the letter has it.")
        own |= dict.fromkeys(named, life)
    return common, own

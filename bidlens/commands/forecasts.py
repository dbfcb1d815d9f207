"""`bidlens forecasts`: forecasts kept, held against what was let."""

from __future__ import annotations

import argparse

from bidlens.commands import edge


def add_commands(add: edge.Add) -> None:
    """The command of this family."""
    parser = add("forecasts", _forecasts, "forecasts kept, and how often what was let fell inside their ranges")
    parser.add_argument("--forget", metavar="FORECAST", help="remove a forecast that was kept, such as 2027-1")


def _forecasts(arguments: argparse.Namespace) -> int:
    from bidlens import keeping
    from bidlens.report import as_json, forecasts

    with edge.record(arguments) as db:
        if arguments.forget:
            bridges = keeping.forget_forecast(db, arguments.forget)
            edge.talk(forecasts.forgotten_answer(arguments.forget, bridges))
        held = keeping.kept_forecasts(db)
    edge.answer(
        arguments,
        lambda: as_json.document("forecasts", **held.as_dict()),
        lambda: forecasts.forecasts_answer(held),
    )
    return 0

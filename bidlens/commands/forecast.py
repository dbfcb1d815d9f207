"""`bidlens forecast`: its arguments, and the three steps from a program list to an answer."""

from __future__ import annotations

import argparse
from pathlib import Path

from bidlens.commands import edge


def add_commands(add: edge.Add) -> None:
    """The command of this family."""
    parser = add(
        "forecast", _forecast, "what next year's list of bridges will cost, how sure, and how many a budget covers"
    )
    parser.add_argument("program", type=Path, metavar="PROGRAM", help="the program list, CSV or XLSX, one bridge a row")
    parser.add_argument("--year", type=int, required=True, metavar="Y", help="letting year to forecast")
    parser.add_argument("--budget", type=float, metavar="USD", help="dollars there are for the list")
    parser.add_argument("--basis", choices=("contract", "bridge"), default="contract", help="what the dollars contain")
    parser.add_argument(
        "--contingency", type=float, default=0.0, metavar="PERCENT", help="added to every contract; none when not given"
    )
    parser.add_argument(
        "--service-life", type=float, nargs=2, default=(75.0, 100.0), metavar=("SHORTER", "LONGER"),
        help="years a bridge is taken to serve, your assumption (default: 75 100)",
    )  # fmt: skip
    parser.add_argument("--runs", type=int, default=10_000, metavar="N", help="futures to draw (default: 10000)")
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="the same seed gives the same numbers")
    parser.add_argument(
        "--report", type=Path, metavar="FILE", help="also write a report (.html) or the working (.xlsx)"
    )


def _forecast(arguments: argparse.Namespace) -> int:
    """Forecast the list, write the report asked for, answer."""
    from bidlens import workflow
    from bidlens.report import as_json, program_report, program_text

    with edge.record(arguments) as db:
        found = workflow.forecast_program(
            db,
            arguments.program,
            year=arguments.year,
            budget_usd=arguments.budget,
            basis=arguments.basis,
            contingency_ratio=arguments.contingency / 100,
            service_life_years=tuple(arguments.service_life),
            runs=arguments.runs,
            seed=arguments.seed,
        )
        if arguments.report:
            program_report.write_report(found, arguments.report, workflow.sources_of(db))
            edge.talk(program_text.written(arguments.report))
    edge.answer(
        arguments,
        lambda: as_json.document("forecast", **found.as_dict()),
        lambda: program_text.forecast_answer(found),
    )
    return 0

"""`bidlens forecast`: its arguments, and the steps from a program list to an answer."""

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
    parser.add_argument("--years", type=int, default=1, metavar="N", help="how many letting years, 1 to 6 (default: 1)")
    parser.add_argument(
        "--budget", type=float, nargs="+", metavar="USD", help="dollars there are; of several years a year: one or each"
    )
    parser.add_argument("--no-carry-over", action="store_true", help="money not spent in its year is gone")
    parser.add_argument("--basis", choices=("contract", "bridge"), default="contract", help="what the dollars contain")
    parser.add_argument(
        "--mobilization", action="store_true", help="with --basis bridge: add mobilization, by its share"
    )
    edge.say_index(parser)
    parser.add_argument(
        "--contingency", type=float, default=0.0, metavar="PERCENT", help="added to every contract; none when not given"
    )
    parser.add_argument(
        "--longer", type=float, default=0.0, metavar="PERCENT", help="new bridges without a size are so much longer"
    )
    parser.add_argument(
        "--width-to", type=float, metavar="FEET", help="new bridges without a size are at least so wide, out to out"
    )
    parser.add_argument(
        "--service-life", type=float, nargs=2, default=(75.0, 100.0), metavar=("SHORTER", "LONGER"),
        help="years a bridge is taken to serve, your assumption (default: 75 100)",
    )  # fmt: skip
    parser.add_argument("--runs", type=int, default=10_000, metavar="N", help="futures to draw (default: 10000)")
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="the same seed gives the same numbers")
    parser.add_argument("--keep", action="store_true", help="keep the forecast, to hold it against what will be let")
    parser.add_argument(
        "--report", type=Path, metavar="FILE", help="also write a report (.html) or the working (.xlsx)"
    )


def _forecast(arguments: argparse.Namespace) -> int:
    """Forecast the list, write the report asked for, answer."""
    from bidlens import keeping, workflow
    from bidlens.program import Growth
    from bidlens.report import as_json, forecasts, program_report, program_text

    with edge.record(arguments) as db:
        found = workflow.forecast_program(
            db,
            arguments.program,
            year=arguments.year,
            years=arguments.years,
            budget_usd=arguments.budget,
            carries_over=not arguments.no_carry_over,
            basis=arguments.basis,
            mobilization=arguments.mobilization,
            index_name=arguments.index,
            growth=Growth(arguments.longer / 100, arguments.width_to),
            contingency_ratio=arguments.contingency / 100,
            service_life_years=tuple(arguments.service_life),
            runs=arguments.runs,
            seed=arguments.seed,
        )
        if arguments.keep:
            edge.talk(forecasts.kept_answer(*keeping.keep_forecast(db, found)))
        if arguments.report:
            program_report.write_report(found, arguments.report, workflow.sources_of(db))
            edge.talk(program_text.written(arguments.report))
    edge.answer(
        arguments,
        lambda: as_json.document("forecast", **found.as_dict()),
        lambda: program_text.forecast_answer(found),
    )
    return 0

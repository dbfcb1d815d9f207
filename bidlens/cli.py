"""The command line: arguments in, a question to `workflow`, an answer from `report` out.

stdout is the answer, stderr the talk. Exit 0 done, 1 a clear error, 2 wrong usage.
"""

from __future__ import annotations

import argparse
import datetime as dt
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bidlens import check_command, forecast_command, import_command
from bidlens.errors import BadValue, BidlensError

if TYPE_CHECKING:
    from bidlens.workflow import Database

KINDS = ("bid-tab", "structures", "nbi", "proposals", "cost-index", "program")
BASES = ("beams", "superstructure", "bridge", "contract")


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status; no traceback reaches the user."""
    arguments = _parser().parse_args(argv)
    try:
        return int(arguments.run(arguments))
    except BidlensError as error:
        from bidlens.report.answers import error_text

        _talk(error_text(error))
        return 1
    except KeyboardInterrupt:
        _talk("Stopped by you.")
        return 1
    except BrokenPipeError:
        # The reader of our output went away (`bidlens history | head`): nothing is wrong, nothing more to say.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="bidlens",
        description="Bridge bid tabs in, cost per square foot of deck out, a supplier's proposal checked.",
    )
    common = argparse.ArgumentParser(add_help=False)
    common.add_argument(
        "--db", type=Path, help="the cost record, a DuckDB file (default: BIDLENS_DB or your data folder)"
    )
    common.add_argument("--format", choices=("table", "json"), default="table", help="form of the answer on stdout")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")

    def command(name: str, run: Any, text: str) -> argparse.ArgumentParser:
        added = commands.add_parser(name, parents=[common], help=text, description=text)
        added.set_defaults(run=run)
        return added

    demo = command("demo", _demo, "build the invented sample county, check a proposal, open the dashboard")
    demo.add_argument("--no-open", action="store_true", help="stop before the dashboard")
    demo.add_argument("--port", type=int, help="port of the dashboard")

    bring = command("import", _import, "read bid tabs, structure lists, proposals or a cost index into the record")
    bring.add_argument("files", nargs="+", type=Path, metavar="FILE")
    bring.add_argument("--kind", choices=KINDS, help="what the files are; recognised when not given")
    bring.add_argument("--dry-run", action="store_true", help="show what would come in, store nothing")
    bring.add_argument("--columns", type=Path, metavar="FILE", help="a TOML file that says which column is what")
    import_command.add_choices(bring)

    command("imports", _imports, "list what was imported")
    known = command("mappings", _mappings, "which column is what, as told for files with the same headings")
    known.add_argument("--forget", metavar="NAME", help="remove one; what came in by it stays")
    undo = command("undo", _undo, "take one import back whole")
    undo.add_argument("batch", type=int, metavar="BATCH")

    names = command("names", _names, "bidder spellings that may be one firm: list, confirm or forget")
    names.add_argument("--confirm", nargs=2, metavar=("SPELLING", "BIDDER"), help="show a spelling as another bidder")
    names.add_argument("--because", metavar="REASON", help="why; kept with what you confirm")
    names.add_argument("--forget", metavar="SPELLING", help="take a confirmed spelling back")

    command("corrections", _corrections, "prices typed by hand, and findings and rows that were accepted")

    history = command("history", _history, "the unit-cost history, one row a structure, each adjustment a column")
    _what_is_compared(history)
    history.add_argument("--type", dest="superstructure", metavar="T", help="one superstructure type only")
    history.add_argument("--out", type=Path, metavar="FILE", help="also write it to a .csv, .xlsx or .parquet file")

    check = command("check", _check, check_command.HELP)
    check_command.add_arguments(check)
    _what_is_compared(check)

    forecast_command.add_arguments(command("forecast", _forecast, forecast_command.HELP))

    review = command("review", _review, "the annual letting review: competition, estimates, prices that moved")
    review.add_argument("year", type=int, metavar="YEAR")
    review.add_argument("--basis", choices=BASES, default="superstructure", help="what the explained $/sf contains")
    _which_index(review)
    review.add_argument(
        "--report", type=Path, metavar="FILE", help="also write it to print (.html) or as tables (.xlsx)"
    )
    review.add_argument("--triggers", type=Path, metavar="FILE", help="TOML file with edited triggers")

    dashboard = command("dashboard", _dashboard, "the dashboard in the browser, on this machine only")
    dashboard.add_argument("--port", type=int, help="port to use; a free one is found when not given")
    dashboard.add_argument(
        "--host", default="127.0.0.1", help="address to listen on; other machines see it only if you change this"
    )
    dashboard.add_argument("--no-open", action="store_true", help="do not open a browser")

    export = command("export", _export, "write every table to a folder, so that nobody is locked in")
    export.add_argument("folder", type=Path, metavar="DIR")
    export.add_argument("--csv", action="store_true", help="CSV instead of Parquet")

    backtest = command("backtest", _backtest, "how well the model would have predicted this county's own lettings")
    backtest.add_argument("--basis", choices=BASES, default="superstructure", help="what the dollars contain")
    _which_index(backtest)
    return parser


def _what_is_compared(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--basis", choices=BASES, default="superstructure", help="what the dollars contain")
    _which_index(parser)
    parser.add_argument(
        "--dollars-of", metavar="QUARTER", help="restate prices in dollars of this quarter, such as 2026Q1"
    )


def _which_index(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--index",
        metavar="NAME",
        help="cost index: nhcci (default), nhcci-adjusted, none, or an imported one with its release: “NHCCI 2026Q2”",
    )


# -- commands ------------------------------------------------------------------------------------------------------


def _demo(arguments: argparse.Namespace) -> int:
    from bidlens import workflow
    from bidlens.report import answers, as_json

    path = arguments.db or data_folder() / "sample_county.duckdb"
    with workflow.build_sample_county(path, fresh=arguments.db is None, progress=_progress) as db:
        results = workflow.check_files(db, workflow.lead_sample_proposal(), today=None)
        if arguments.format == "json":
            print(as_json.document("demo", db=str(path), proposals=[check.as_dict() for check in results]))
        else:
            print("\n\n".join(answers.check_answer(check) for check in results))
    _talk(f"The sample county is in {path}")
    if arguments.no_open:
        _talk(f"To open the dashboard: bidlens dashboard --db {_quoted(path)}")
        return 0
    return _open_dashboard(path, arguments.port, "127.0.0.1", open_browser=True)


def _import(arguments: argparse.Namespace) -> int:
    from bidlens.report import answers, as_json

    with _record(arguments) as db:
        results = db.import_files(
            arguments.files,
            arguments.kind,
            dry_run=arguments.dry_run,
            progress=_progress,
            columns=arguments.columns,
            **import_command.choices_of(arguments),
        )
    if arguments.format == "json":
        print(as_json.document("import", files=[answers.import_record(result) for result in results]))
    else:
        print(answers.imports_answer(results))
    return 1 if any(result.error for result in results) else 0


def _imports(arguments: argparse.Namespace) -> int:
    from bidlens.report import answers, as_json

    with _record(arguments) as db:
        frame = db.imports()
    _answer(arguments, lambda: as_json.document("imports", imports=frame), lambda: answers.batches_answer(frame))
    return 0


def _mappings(arguments: argparse.Namespace) -> int:
    from bidlens.report import as_json, recognised

    with _record(arguments) as db:
        if arguments.forget:
            db.forget_mapping(arguments.forget)
            _talk(f"The mapping “{arguments.forget}” was removed.")
        frame = db.mappings()
    _answer(
        arguments,
        lambda: as_json.document("mappings", mappings=frame),
        lambda: recognised.mappings_answer(frame),
    )
    return 0


def _undo(arguments: argparse.Namespace) -> int:
    from bidlens.report import answers, as_json

    with _record(arguments) as db:
        removed = db.undo(arguments.batch)
    _answer(
        arguments,
        lambda: as_json.document("undo", batch=arguments.batch, removed=removed),
        lambda: answers.undo_answer(arguments.batch, removed),
    )
    return 0


def _names(arguments: argparse.Namespace) -> int:
    from bidlens.report import as_json, decided

    with _record(arguments) as db:
        if arguments.forget:
            bidder = db.forget_name(arguments.forget)
            _talk(decided.forgotten_answer(arguments.forget, bidder))
        if arguments.confirm:
            spelling, bidder = arguments.confirm
            found = db.confirm_name(spelling, bidder, arguments.because or "confirmed on the command line")
            _talk(decided.confirmed_answer(spelling, bidder, found))
        suggested, aliases, items = db.bidder_suggestions(), db.bidder_aliases(), db.pay_item_suggestions()
        apart = db.bidders_kept_apart()
    _answer(
        arguments,
        lambda: as_json.document(
            "names", suggestions=suggested, confirmed=aliases, pay_items=items, findings=[f.as_dict() for f in apart]
        ),
        lambda: decided.names_answer(suggested, aliases, items, apart),
    )
    return 0


def _corrections(arguments: argparse.Namespace) -> int:
    from bidlens.report import as_json, decided

    with _record(arguments) as db:
        typed, accepted = db.corrections(), db.acceptances()
    _answer(
        arguments,
        lambda: as_json.document("corrections", corrections=typed, accepted=accepted),
        lambda: decided.corrections_answer(typed, accepted),
    )
    return 0


def _history(arguments: argparse.Namespace) -> int:
    from bidlens.report import answers, as_json, workbook

    with _record(arguments) as db:
        priced = db.price_history(
            arguments.basis,
            arguments.dollars_of,
            superstructure=arguments.superstructure,
            index_name=arguments.index,
        )
    history = priced.history
    if arguments.out:
        workbook.write_frame(history.frame, arguments.out, "unit costs", answers.history_notes(history))
        _talk(f"Written: {arguments.out}")
    _answer(
        arguments,
        lambda: as_json.document(
            "history", basis=history.basis, dollars_of=history.dollars_of, index=history.index_title,
            history=history.frame, left_out=history.left_out, findings=[f.as_dict() for f in history.findings],
        ),
        lambda: answers.history_answer(history),
    )  # fmt: skip
    return 0


def _check(arguments: argparse.Namespace) -> int:
    return check_command.run(arguments, _record, _answer, _talk, _today())


def _forecast(arguments: argparse.Namespace) -> int:
    return forecast_command.run(arguments, _record, _answer, _talk)


def _review(arguments: argparse.Namespace) -> int:
    from bidlens import workflow
    from bidlens.report import as_json, review_report, review_text

    with _record(arguments) as db:
        review = workflow.review_lettings(
            db, arguments.year, arguments.basis, triggers=arguments.triggers, index_name=arguments.index
        )
        if arguments.report:
            review_report.write_review(review, arguments.report, workflow.sources_of(db))
            _talk(f"Written: {arguments.report}")
    _answer(
        arguments,
        lambda: as_json.document("review", **review.as_dict()),
        lambda: review_text.review_answer(review),
    )
    return 0


def _dashboard(arguments: argparse.Namespace) -> int:
    path = arguments.db or default_database()
    return _open_dashboard(path, arguments.port, arguments.host, open_browser=not arguments.no_open)


def _export(arguments: argparse.Namespace) -> int:
    from bidlens.report import answers, as_json

    with _record(arguments) as db:
        files = db.export(arguments.folder, csv=arguments.csv)
    _answer(arguments, lambda: as_json.document("export", files=files), lambda: answers.export_answer(files))
    return 0


def _backtest(arguments: argparse.Namespace) -> int:
    from bidlens import workflow
    from bidlens.report import as_json, look_back

    with _record(arguments) as db:
        priced = db.price_history(arguments.basis, index_name=arguments.index)
        result = workflow.backtest(db, arguments.basis, priced=priced)
    said = (result, arguments.basis, priced.index.title)
    _answer(
        arguments,
        lambda: as_json.document("backtest", **look_back.backtest_record(*said)),
        lambda: look_back.backtest_answer(*said),
    )
    return 0


# -- the edge itself -----------------------------------------------------------------------------------------------


def _answer(arguments: argparse.Namespace, as_document: Any, as_text: Any) -> None:
    print(as_document() if arguments.format == "json" else as_text())


def _record(arguments: argparse.Namespace) -> Database:
    from bidlens import workflow

    return workflow.open_database(arguments.db or default_database())


def _open_dashboard(path: Path, port: int | None, host: str, *, open_browser: bool) -> int:
    from bidlens.dashboard import launch

    launch.run(path, port=port, host=host, open_browser=open_browser)
    return 0


def data_folder() -> Path:
    """Where a user's data belongs on this system; made if it is not there."""
    if os.name == "nt":
        base = Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData" / "Local"))
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Application Support"
    else:
        base = Path(os.environ.get("XDG_DATA_HOME", Path.home() / ".local" / "share"))
    folder = base / "bidlens"
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadValue(
            f"cannot make the data folder {folder}: {error.strerror}", do="Name a file with --db."
        ) from error
    return folder


def default_database() -> Path:
    """`BIDLENS_DB`, or bidlens.duckdb in the user's data folder."""
    named = os.environ.get("BIDLENS_DB")
    return Path(named) if named else data_folder() / "bidlens.duckdb"


def _today() -> dt.date:
    return dt.datetime.now(dt.UTC).astimezone().date()


def _progress(done: int, total: int, name: str) -> None:
    """One line, rewritten in place, and only for a person watching."""
    if not sys.stderr.isatty() or not total:
        return
    width = 30
    filled = width * done // total
    sys.stderr.write(f"\r{'█' * filled}{'░' * (width - filled)} {done}/{total} {name[:60]:<60}")
    sys.stderr.write("\r" + " " * 110 + "\r" if done == total else "")
    sys.stderr.flush()


def _quoted(path: Path) -> str:
    return f'"{path}"' if " " in str(path) else str(path)


def _talk(text: str) -> None:
    print(text, file=sys.stderr)

"""The unit-cost history and how well the model predicts it: `history` and `backtest`."""

from __future__ import annotations

import argparse
from pathlib import Path

from bidlens.commands import edge


def add_commands(add: edge.Add) -> None:
    """The commands of this family."""
    history = add("history", _history, "the unit-cost history, one row a structure, each adjustment a column")
    edge.say_what_is_compared(history)
    history.add_argument("--type", dest="superstructure", metavar="T", help="one superstructure type only")
    history.add_argument("--out", type=Path, metavar="FILE", help="also write it to a .csv, .xlsx or .parquet file")

    backtest = add("backtest", _backtest, "how well the model would have predicted this county's own lettings")
    edge.say_basis(backtest)
    edge.say_index(backtest)


def _history(arguments: argparse.Namespace) -> int:
    from bidlens.report import answers, as_json, workbook

    with edge.record(arguments) as db:
        priced = db.price_history(
            arguments.basis,
            arguments.dollars_of,
            superstructure=arguments.superstructure,
            index_name=arguments.index,
        )
    history = priced.history
    if arguments.out:
        workbook.write_frame(history.frame, arguments.out, "unit costs", answers.history_notes(history))
        edge.talk(f"Written: {arguments.out}")
    edge.answer(
        arguments,
        lambda: as_json.document(
            "history", basis=history.basis, dollars_of=history.dollars_of, index=history.index_title,
            history=history.frame, left_out=history.left_out, findings=[f.as_dict() for f in history.findings],
        ),
        lambda: answers.history_answer(history),
    )  # fmt: skip
    return 0


def _backtest(arguments: argparse.Namespace) -> int:
    from bidlens import workflow
    from bidlens.report import as_json, look_back

    with edge.record(arguments) as db:
        priced = db.price_history(arguments.basis, index_name=arguments.index)
        result = workflow.backtest(db, arguments.basis, priced=priced)
    said = (result, arguments.basis, priced.index.title)
    edge.answer(
        arguments,
        lambda: as_json.document("backtest", **look_back.backtest_record(*said)),
        lambda: look_back.backtest_answer(*said),
    )
    return 0

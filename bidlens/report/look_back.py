"""The look back in words: how well past lettings would have been predicted, beside plain methods."""

from __future__ import annotations

import math
from typing import Any

from bidlens.model import Backtest
from bidlens.model.plain_methods import METHODS
from bidlens.report.terminal import findings_text, paragraph, table
from bidlens.wording import NOT_GIVEN, count, day, half_up, number, usd


def backtest_answer(result: Backtest, basis: str, index_title: str) -> str:
    """How well past lettings would have been predicted, in one sentence, then each method, year and letting."""
    if not result.n:
        return findings_text(result.findings) or "There are too few lettings to look back on."
    inside = int(result.lettings["inside"].sum())
    answer = (
        f"Asked about {count(result.n, 'past price')} it had not seen, the 9-in-10 range held the low bid {inside} "
        f"times, and the middle was off by {_percent(result.median_abs_error)} (median). The average of the same "
        f"type, brought to the year by the index, was off by {_percent(result.type_mean_median_abs_error)}."
    )
    note = f"n = {result.n} · {basis} basis · $/sf as bid · index: {index_title} · each year from the years before it"
    parts = [paragraph(answer), _methods(result), _years(result), _lettings(result), note]
    return "\n\n".join([*parts, *([findings_text(result.findings)] if result.findings else [])])


def method_rows(result: Backtest) -> list[tuple[str, str, str, str]]:
    """Each method with the lettings it could predict, how far its middle was off, and the model on the same ones."""
    return [
        (METHODS[row["method"]], number(row["n"]), _percent(row["median_abs_error"]), _percent(row["model_on_same"]))
        for row in result.methods.to_dict("records")
    ]


def year_rows(result: Backtest) -> list[tuple[str, ...]]:
    """Each letting year: n, inside the 8-in-10 and the 9-in-10 range, and how far each method was off."""
    return [
        (
            str(row["year"]),
            number(row["n"]),
            f"{row['inside_80']} of {row['n']}",
            f"{row['inside']} of {row['n']}",
            *(_percent(row[name]) for name in METHODS),
        )
        for row in result.by_year.to_dict("records")
    ]


METHOD_HEAD = ("method", "lettings", "off by, median", "the model on the same")
YEAR_HEAD = ("year", "n", "in 8-in-10", "in 9-in-10", "model", "type, by index", "type, 3 years", "regression")


def _methods(result: Backtest) -> str:
    return table(METHOD_HEAD, method_rows(result), "lrrr", 60)


def _years(result: Backtest) -> str:
    return "Off by (median), year by year\n" + table(YEAR_HEAD, year_rows(result), "lrrrrrrr")


def _lettings(result: Backtest) -> str:
    rows = [
        (row["contract_id"], day(row["letting_date"]), row["superstructure"], usd(row["unit_cost"]), usd(row["p05"]),
         usd(row["p50"]), usd(row["p95"]), "inside" if row["inside"] else "OUTSIDE", usd(row["type_mean"]))
        for row in result.lettings.to_dict("records")
    ]  # fmt: skip
    head = ("contract", "let", "superstructure", "low bid", "1 in 20", "middle", "19 in 20", "", "type average")
    return table(head, rows, "lllrrrrlr")


def backtest_record(result: Backtest, basis: str, index_title: str) -> dict[str, Any]:
    """The look back as the JSON answer gives it."""
    return {
        "basis": basis,
        "index": index_title,
        "n": result.n,
        "median_abs_error": result.median_abs_error,
        "coverage_90": result.coverage_90,
        "coverage_80": result.coverage_80,
        "type_mean_median_abs_error": result.type_mean_median_abs_error,
        "last_three_years_median_abs_error": result.last_three_years_median_abs_error,
        "ols_median_abs_error": result.ols_median_abs_error,
        "methods": result.methods,
        "by_year": result.by_year,
        "lettings": result.lettings,
        "findings": [finding.as_dict() for finding in result.findings],
    }


def _percent(ratio: float) -> str:
    return f"{half_up(ratio * 100)}%" if math.isfinite(ratio) else NOT_GIVEN

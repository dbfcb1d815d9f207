"""A forecast's further tables as rows of text: years, changes of one bridge, alternatives, dollars a pace needs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from bidlens import wording
from bidlens.program import ProgramForecast
from bidlens.program.changes import LATER, LEFT_OUT, RETYPED
from bidlens.program.record import Held
from bidlens.program.words import millions, rounded

Rows = list[tuple[str, ...]]

YEAR_HEADS = ("year", "budget", "bridges", "middle", "P80", "P10 to P90", "left at its end", "8 in 10", "money lasts")
YEAR_SIDES = "rrrrrrrrr"
CHANGE_HEADS = ("bridge", "left out: middle", "P80", "within", "a year later: middle", "8 in 10", "within",
                "as another type", "middle", "8 in 10", "within")  # fmt: skip
CHANGE_SIDES = "lrrrrrrlrrr"
LETTING_HEADS = ("bridge", "planned for", "let in", "middle", "P80")
LETTING_SIDES = "lllrr"
ALTERNATIVE_HEADS = ("bridge", "type", "middle", "P80", "P10 to P90", "against the first", "8 in 10", "cheapest")
ALTERNATIVE_SIDES = "llrrrrrr"
PACE_HEADS = ("pace", "bridges a year", "P10, dollars a year", "middle", "P80", "P90")
PACE_SIDES = "lrrrrr"
KEPT_HEADS = ("forecast", "made", "years", "basis", "bridges", "let", "P10–P90", "below P80", "P80 of total", "let for")
KEPT_SIDES = "llllrrrrrr"
LET_HEADS = ("forecast", "bridge", "planned type", "P10 to P90", "P80", "let", "contract", "low bid", "held")
LET_SIDES = "lllrrllrl"


def year_rows(found: ProgramForecast) -> Rows:
    """One row a year."""
    if found.schedule is None:
        return []
    return [
        (
            str(row["year"]),
            money(row["budget_usd"]),
            str(row["bridges"]),
            rounded(row["p50"]),
            rounded(row["p80"]),
            f"{rounded(row['p10'])} to {rounded(row['p90'])}",
            money(row["unspent_p50"]),
            f"{money(row['unspent_p10'])} to {money(row['unspent_p90'])}" if found.budget else wording.NOT_GIVEN,
            chance(row["chance_covers"]),
        )
        for row in found.schedule.years.to_dict("records")
    ]


def letting_years(found: ProgramForecast) -> Rows:
    """One row a bridge of the list: number, planned year, year let or “no year”, middle, P80."""
    if found.schedule is None:
        return []
    rows: Rows = []
    for row in found.schedule.bridges.to_dict("records"):
        let = pd.notna(row["year"])
        rows.append(
            (
                str(row["structure_id"]),
                str(row["planned"]),
                str(row["year"]) if let else "fits no year",
                rounded(row["p50"]) if let else wording.NOT_GIVEN,
                rounded(row["p80"]) if let else wording.NOT_GIVEN,
            )
        )
    return rows


def change_rows(found: ProgramForecast) -> Rows:
    """One row a bridge: what leaving it out, letting it a year later and another type do to the total."""
    rows: Rows = []
    for name, changes in found.changes.groupby("structure_id", sort=False):
        by = {row["change"]: row for row in changes.to_dict("records")}
        out, later, other = by[LEFT_OUT], by[LATER], by.get(RETYPED)
        cells = [str(name), signed(out["p50"]), signed(out["p80_change"]), chance(out["chance_covers"])]
        cells += [signed(later["p50"]), _range(later), chance(later["chance_covers"])]
        if other is None:
            cells += ["no other on record at this span", "", "", ""]
        else:
            cells += [str(other["superstructure"]), signed(other["p50"]), _range(other), chance(other["chance_covers"])]
        rows.append(tuple(cells))
    return rows


def changes_parted(found: ProgramForecast) -> list[tuple[tuple[str, ...], Rows, str]]:
    """`change_rows` as two tables that fit a page: left out and later, then another type. Heads, rows, sides."""
    rows = change_rows(found)
    first, second = [row[:7] for row in rows], [(row[0], *row[7:]) for row in rows]
    return [
        (CHANGE_HEADS[:7], first, CHANGE_SIDES[:7]),
        ((CHANGE_HEADS[0], *CHANGE_HEADS[7:]), second, CHANGE_SIDES[0] + CHANGE_SIDES[7:]),
    ]


def alternative_rows(found: ProgramForecast) -> Rows:
    """One row an alternative of type."""
    rows: Rows = []
    seen = ""
    for row in found.alternatives.to_dict("records"):
        first = row["structure_id"] != seen
        seen = row["structure_id"]
        rows.append(
            (
                str(seen),
                str(row["superstructure"]),
                rounded(row["p50"]),
                rounded(row["p80"]),
                f"{rounded(row['p10'])} to {rounded(row['p90'])}",
                "planned" if first else signed(row["against_p50"]),
                "" if first else f"{signed(row['against_p10'])} to {signed(row['against_p90'])}",
                wording.chances(row["chance_cheapest"]),
            )
        )
    return rows


def pace_rows(found: ProgramForecast) -> Rows:
    """One row a pace of replacement: bridges and dollars a year."""
    return [
        (
            row["what"],
            wording.number(row["per_year"], 1),
            *(millions(row[name], short=True) for name in ("p10", "p50", "p80", "p90")),
        )
        for row in found.pace_budget.to_dict("records")
    ]


def kept_rows(held: Held) -> Rows:
    """One row a forecast kept."""
    return [
        (
            row["forecast_id"],
            wording.day(row["made_at"]),
            str(row["year"]) if row["years"] == 1 else f"{row['year']}–{row['year'] + row['years'] - 1}",
            row["basis"],
            str(row["bridges"]),
            str(row["let"]),
            f"{row['inside']} of {row['let']}" if row["let"] else "none let yet",
            f"{row['below_p80']} of {row['let']}" if row["let"] else "none let yet",
            rounded(row["p80"]),
            rounded(row["let_usd"]) if row["let_usd"] == row["let_usd"] else "not all let",
        )
        for row in held.totals.to_dict("records")
    ]


def let_rows(held: Held) -> Rows:
    """One row a bridge of the forecasts kept that has been let since."""
    let = held.bridges[held.bridges["let_usd"].notna()]
    return [
        (
            row["forecast_id"],
            row["structure_id"],
            str(row["superstructure"]),
            f"{rounded(row['p10'])} to {rounded(row['p90'])}",
            rounded(row["p80"]),
            wording.day(row["let_on"]),
            str(row["contract_id"]),
            rounded(row["let_usd"]),
            str(row["said"]) or ("inside" if row["inside"] else "below" if row["let_usd"] < row["p10"] else "above"),
        )
        for row in let.to_dict("records")
    ]


def signed(usd: float) -> str:
    """A change in dollars with its sign; “no change” where it rounds to nothing."""
    text = rounded(abs(usd))
    return "no change" if text == "$0" else f"{'+' if usd > 0 else wording.MINUS}{text}"


def money(usd: float) -> str:
    """Dollars with a true minus, “not given” where there are none."""
    if usd != usd:
        return wording.NOT_GIVEN
    return rounded(usd) if usd >= 0 else f"{wording.MINUS}{rounded(-usd)}"


def chance(probability: float) -> str:
    """“about 65 in 100”; “no budget” where there is none to be within."""
    return "no budget" if probability != probability else wording.chances(probability)


def _range(row: Mapping[Any, Any]) -> str:
    return f"{signed(row['p10'])} to {signed(row['p90'])}"

"""The program page's pieces: the list to edit, the bridge table with its cut line, the numbers in the URL."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd
import streamlit as st

from bidlens import wording
from bidlens.dashboard.filters import set_query
from bidlens.dashboard.words import Html, bold_numbers, esc, known, label
from bidlens.errors import BadValue
from bidlens.program import FIXED_COSTS, ProgramForecast, words
from bidlens.report.program_text import fits
from bidlens.superstructure import all_types

LIFE = 75.0
SHORTEST_AND_LONGEST = (10.0, 300.0)
_GEOMETRY = ("length_ft", "width_ft", "spans", "skew_deg")
COLUMNS = ("structure_id", "priority", "superstructure", *_GEOMETRY, "letting_date", *FIXED_COSTS)


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of the list, kept in the URL: year, budget, contingency in percent, service life in years."""

    year: int | None = None
    budget: float | None = None
    contingency: float = 0.0
    life: float = LIFE

    @classmethod
    def from_query(cls, query: Mapping[str, str]) -> Asked:
        """Read a URL's query. Raises BadValue for what is no number, or none that can be meant."""
        year = _number(query, "year", (1900, 2200))
        return cls(
            None if year is None else int(year),
            _number(query, "budget", (0, 1e13)),
            _number(query, "contingency", (0, 100)) or 0.0,
            _number(query, "life", SHORTEST_AND_LONGEST) or LIFE,
        )


def _number(query: Mapping[str, str], name: str, limits: tuple[float, float]) -> float | None:
    text = query.get(name, "")
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not limits[0] <= value <= limits[1]:
        raise BadValue(
            f"cannot use “{text}” as the {name}", do=f"Write a number from {limits[0]:,.0f} to {limits[1]:,.0f}."
        )
    return value


def widgets(asked: Asked, year: int) -> None:
    """Year, budget, contingency and service life, written to the URL when changed."""
    for name, value, text, low, high, step in (
        ("year", year, "Letting year", 1900, 2200, 1),
        ("budget", asked.budget, "Budget, dollars", 0.0, None, 50_000.0),
        ("contingency", asked.contingency, "Contingency, percent of each contract", 0.0, 100.0, 5.0),
        ("life", asked.life, "Service life to hold the pace against, years", *SHORTEST_AND_LONGEST, 5.0),
    ):
        st.session_state[f"program_{name}"] = value
        st.number_input(
            text,
            min_value=low,
            max_value=high,
            step=step,
            format="%d" if name == "year" else "%.0f",
            key=f"program_{name}",
            placeholder="no budget",
            on_change=_changed,
            args=(name,),
        )


def _changed(name: str) -> None:
    value = st.session_state[f"program_{name}"]
    set_query(name, None if value is None else f"{value:g}" if name != "budget" else f"{value:.0f}")


def starting_list(on_record: pd.DataFrame) -> pd.DataFrame:
    """The list to edit: the program imported last, or one empty row."""
    frame = on_record.reindex(columns=list(COLUMNS))
    frame = frame if len(frame) else pd.DataFrame([dict.fromkeys(COLUMNS)], columns=list(COLUMNS))
    numbers = {name: pd.to_numeric(frame[name]).astype("float64") for name in ("priority", *_GEOMETRY, *FIXED_COSTS)}
    numbers |= {name: numbers[name].fillna(0.0) for name in FIXED_COSTS}
    texts = {name: frame[name].astype("str") for name in ("structure_id", "superstructure")}
    return frame.assign(**numbers, **texts, letting_date=pd.to_datetime(frame["letting_date"]))


def editor(frame: pd.DataFrame) -> pd.DataFrame:
    """The list in a table to type in; rows without a structure number are not yet part of it."""
    number = st.column_config.NumberColumn
    kinds = [kind.name for kind in all_types()]
    kinds += sorted({label(kind) for kind in frame["superstructure"].dropna()} - set(kinds))
    config: dict[str, Any] = {
        "structure_id": st.column_config.TextColumn("Bridge", width=80),
        "priority": number("Order", format="%d", min_value=1, step=1, width=78),
        "superstructure": st.column_config.SelectboxColumn("Planned type", options=kinds, width=140),
        "length_ft": number("Length, ft", format="%.1f", width=100),
        "width_ft": number("Width, ft", format="%.2f", width=96),
        "spans": number("Spans", format="%d", min_value=1, step=1, width=80),
        "skew_deg": number("Skew, deg", format="%.0f", width=100),
        "letting_date": st.column_config.DateColumn("Letting", format="D MMM YYYY", width=108),
        **{
            name: number(f"{words_.capitalize()}, $", format="localized", width=118)
            for name, words_ in FIXED_COSTS.items()
        },
    }
    edited = st.data_editor(
        frame, num_rows="dynamic", hide_index=True, column_config=config, key="program_list", width="stretch"
    )
    return edited[edited["structure_id"].map(known)].reset_index(drop=True)


def year_of(asked: Asked, bridges: pd.DataFrame, after: int) -> int:
    """The year asked for, else the one most of the list is planned for, else the year after the last letting."""
    if asked.year is not None:
        return asked.year
    planned = pd.to_datetime(bridges["letting_date"], errors="coerce").dt.year.dropna()
    return int(planned.mode().iloc[0]) if len(planned) else after + 1


def answer(found: ProgramForecast) -> Html:
    """The answer sentence; the budget in the color of what is in question, counts bold."""
    text = words.answer(found)
    budget = f"The budget of {words.millions(found.budget.usd)}" if found.budget else ""
    before, cut, after = text.partition(budget) if budget else (text, "", "")
    flagged = (
        f'The budget of <b class="bl-flag">{esc(words.millions(found.budget.usd))}</b>' if found.budget and cut else ""
    )
    return Html(f"{_bold(before)}{flagged}{_bold(after)}")


def _bold(text: str) -> Html:
    """Dollars and chances bold."""
    parts: list[str | tuple[str]] = []
    end = 0
    for match in re.finditer(r"\$[\d,.]*\d(?: million)?|\d+ chances of 100(?=;)", text):
        parts += [text[end : match.start()], (match[0],)]
        end = match.end()
    return bold_numbers(*parts, text[end:])


_HEADS = (
    ("Order", "n"), ("Bridge", ""), ("Over", ""), ("Built", "n"), ("Planned type", ""), ("Span, ft", "n"), ("Deck, sf", "n"),
    ("Middle", "n"), ("P80", "n"), ("Doubt about its middle: P10 to P90, bar to P80", ""), ("How sure", "nowrap"),
    ("Running total, P80", "n"),
)  # fmt: skip


def bridge_table(found: ProgramForecast) -> Html:
    """One row a bridge in the owner's order, the budget's cut as a dashed line and as a word."""
    frame = found.structures
    heads = [*_HEADS, *([(words.millions(found.budget.usd, short=True), "nowrap")] if found.budget else [])]
    reach = float(max((frame["p90"] / frame["p50"]).max() - 1, 1 - (frame["p10"] / frame["p50"]).min()))
    head = "".join(f'<th class="bl-{kind}" scope="col">{esc(title)}</th>' for title, kind in heads)
    body = []
    covered = found.budget.covered[80] if found.budget else len(frame)
    for place, row in enumerate(frame.to_dict("records"), start=1):
        cut = ' style="border-top:2px dashed var(--bl-flag)"' if place == covered + 1 else ""
        cells = _cells(found, row, place, reach)
        body.append(
            "<tr>"
            + "".join(f'<td class="bl-{kind}"{cut}>{cell}</td>' for cell, (_, kind) in zip(cells, heads, strict=True))
            + "</tr>"
        )
    return Html(
        f'<div class="bl-scroll"><table class="bl-table"><thead><tr>{head}</tr></thead><tbody>{"".join(body)}</tbody>'
        "</table></div>"
    )


def _cells(found: ProgramForecast, row: dict[Any, Any], place: int, reach: float) -> list[Html]:
    sure = (
        row["grade"]
        if row["grade"] in "AB"
        else f"{row['grade']}, {'thin' if row['grade'] == 'C' else 'too thin'}: {row['of_type']}"
    )
    return [
        esc(place),
        esc(row["structure_id"]),
        esc(_over(row["name"]), 40),
        esc(wording.number(row["year_built"]).replace(",", "") if known(row["year_built"]) else "not known"),
        esc(row["superstructure"], 60),
        esc(wording.number(row["span_ft"]) if known(row["span_ft"]) else "not known"),
        esc(wording.number(row["deck_area_sf"])),
        Html(f"<b>{esc(words.rounded(row['p50']))}</b>"),
        Html(f"<b>{esc(words.rounded(row['p80']))}</b>"),
        _doubt(row, reach),
        esc(sure),
        esc(words.rounded(row["running_p80"])),
        *([esc(fits(found, place))] if found.budget else []),
    ]


def _over(name: object) -> str:
    """What the bridge is over, of a name such as “Brickfall Road over Pennywort Creek”."""
    return str(name).rpartition(" over ")[2] if known(name) else ""


def _doubt(row: dict[Any, Any], reach: float) -> Html:
    """P10 to P90 as a line, middle to P80 as a bar, all about the bridge's own middle."""

    def at(usd: float) -> float:
        return 50 + 48 * (usd / row["p50"] - 1) / reach

    low, p80, high = at(row["p10"]), at(row["p80"]), at(row["p90"])
    line = f"left:{low:.1f}%;width:{high - low:.1f}%;top:8px;height:2px;background:var(--bl-own)"
    bar = (
        f"left:50%;width:{p80 - 50:.1f}%;top:4px;height:8px;background:var(--bl-band50);border:1px solid var(--bl-own)"
    )
    tick = "left:50%;width:3px;top:1px;height:16px;margin-left:-1px;background:var(--bl-own)"
    spans = "".join(f'<span style="position:absolute;display:block;{style}"></span>' for style in (line, bar, tick))
    return Html(f'<div style="position:relative;height:18px;min-width:110px">{spans}</div>')

"""The program page's pieces: the answer, and the bridge table with its cut line."""

from __future__ import annotations

import re
from typing import Any

import pandas as pd

from bidlens import wording
from bidlens.dashboard.program_asked import Asked
from bidlens.dashboard.words import Html, bold_numbers, esc, known
from bidlens.program import ProgramForecast, words
from bidlens.report.program_text import fits


def year_of(asked: Asked, bridges: pd.DataFrame, after: int) -> int:
    """The year asked for, else the one most of the list is planned for, else the year after the last letting."""
    if asked.year is not None:
        return asked.year
    planned = pd.to_datetime(bridges["letting_date"], errors="coerce").dt.year.dropna()
    return int(planned.mode().iloc[0]) if len(planned) else after + 1


def answer(found: ProgramForecast) -> Html:
    """The answer sentence; the budget in the color of what is in question, counts bold."""
    text = words.answer(found)
    if found.schedule:
        return _bold(text)
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
    for match in re.finditer(r"\$[\d,.]*\d(?: million)?|\d+ chances of 100(?=[;,])", text):
        parts += [text[end : match.start()], (match[0],)]
        end = match.end()
    return bold_numbers(*parts, text[end:])


_HEADS = (
    ("Order", "n"), ("Bridge", ""), ("Over", ""), ("Built", "n"), ("Planned type", ""), ("Span, ft", "n"),
    ("Deck, sf", "n"), ("Middle", "n"), ("P80", "n"), ("Doubt about its middle: P10 to P90, bar to P80", ""),
    ("How sure", "nowrap"),
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

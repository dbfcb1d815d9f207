"""The board report of a program: one self-contained HTML page, or a workbook with the working."""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import BinaryIO

import pandas as pd

from bidlens.errors import BadValue
from bidlens.findings import worst_first
from bidlens.program import ProgramForecast, Rotation, words, year_words
from bidlens.report import printed
from bidlens.report import program_tables as tables
from bidlens.report.dots_svg import dots_svg
from bidlens.report.escaping import escape
from bidlens.report.program_text import CAUTION, about, bridge_rows, heads
from bidlens.report.terminal import MARKS
from bidlens.report.workbook import write_workbook

_STYLE = """
@page { size: Letter; margin: 11mm 15mm }
body { font: 11pt/1.35 "Source Sans 3","Source Sans","Segoe UI","Helvetica Neue",Arial,"Nimbus Sans",sans-serif;
  color:#17262B; background:#fff; max-width:184mm; margin:8mm auto } @media print { body { margin:0 } }
.question { color:#4A5A60; font-weight:600; border-top:1.5px solid #17262B; padding-top:2mm; margin:0 }
.answer { font-weight:400; font-size:17pt; line-height:1.25; margin:1mm 0 } .support { margin:0 0 2mm }
h2 { font-size:11pt; margin:4mm 0 1mm } p { margin:1mm 0 }
table { border-collapse:collapse; width:100%; font-size:8.5pt } thead { display:table-header-group }
th { text-align:left; font-weight:600; color:#4A5A60; border-bottom:1.5px solid #17262B; padding:.6mm 1mm;
  vertical-align:bottom } td { border-bottom:.5px solid #E3E9EA; padding:.6mm 1mm } tr { break-inside:avoid }
.n { text-align:right; white-space:nowrap } .cut td { border-top:2px dashed #C24A0A }
.finding { background:#F3F6F6; border-left:4px double #17262B; padding:1mm 2mm; margin:1mm 0; font-size:9.5pt }
.soft,.caution,footer { color:#4A5A60; font-size:8.5pt } footer { border-top:.7px solid #C3CED0; margin-top:3mm }
svg { width:100%; height:auto }
"""
_SIDES = "rlllrrrrrlrl"


def write_report(found: ProgramForecast, path: Path, sources: str) -> None:
    """Write the board report (.html) or the working (.xlsx).

    sources : the record's stamp line. Raises BadValue for another ending or a place that cannot be written.
    """
    ending = path.suffix.lower()
    if ending not in (".html", ".htm", ".xlsx"):
        raise BadValue(f"cannot write a report as “{path.name}”", do="End the file name in .html or .xlsx.")
    try:
        if ending == ".xlsx":
            write_working(found, path, sources)
        else:
            path.write_text(report_html(found, sources), encoding="utf-8")
    except OSError as error:
        raise BadValue(
            f"cannot write {path}: {error.strerror or error}", do="Choose a folder you may write to."
        ) from error


def report_html(found: ProgramForecast, sources: str) -> str:
    """The page: answer, dots, bridges with the cut line, budget, pace, doubts, caution."""
    parts = [
        f'<p class="question">What will the {found.span} list cost, and does it fit?</p>',
        f'<h1 class="answer">{_bold(words.answer(found))}</h1><p class="support">{escape(words.support(found))}</p>',
        f'<p class="soft">{escape(about(found))}</p>',
        "<h2>The whole list" + (" against the budget" if found.budget else "") + "</h2>",
        '<p class="soft">50 dots for 100 chances: each dot is 2 chances in 100.</p>',
        dots_svg(found),
        *_years(found),
        "<h2>Bridge by bridge, in your order</h2>",
        '<p class="soft">Do not add the P80 column: bridges rarely all come in high.</p>',
        _table(found),
        *(f"<p>{escape(text)}</p>" for text in words.budget_words(found)),
        *_alternatives(found),
        *_changes(found),
        f"<h2>Where the doubt is from</h2><p>{escape(words.drivers_words(found))}</p>",
        f"<h2>Does the pace keep up?</h2><p>{escape(words.rotation_words(found.rotation))}</p>",
        *(f"<p>{escape(text)}</p>" for text in year_words.pace_words(found)),
        printed.table(tables.PACE_HEADS, tables.pace_rows(found), tables.PACE_SIDES),
        *(_finding(finding.severity, finding.text, finding.do) for finding in worst_first(found.findings)[:6]),
        f'<p class="caution">{escape(CAUTION)}</p><footer>{escape(sources)}</footer>',
    ]
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Program forecast</title>'
        f"<style>{_STYLE}</style></head><body>{''.join(parts)}</body></html>"
    )


def _years(found: ProgramForecast) -> list[str]:
    if found.schedule is None:
        return []
    return [
        "<h2>Year by year, in dollars of each letting</h2>",
        printed.table(tables.YEAR_HEADS, tables.year_rows(found), tables.YEAR_SIDES),
        *(f"<p>{escape(text)}</p>" for text in year_words.schedule_words(found)),
        printed.table(tables.LETTING_HEADS, tables.letting_years(found), tables.LETTING_SIDES),
    ]


def _alternatives(found: ProgramForecast) -> list[str]:
    if found.alternatives.empty:
        return []
    return [
        "<h2>Alternatives of type, in the same futures</h2>",
        printed.table(tables.ALTERNATIVE_HEADS, tables.alternative_rows(found), tables.ALTERNATIVE_SIDES),
        *(f"<p>{escape(text)}</p>" for text in year_words.alternatives_words(found.alternatives)),
    ]


def _changes(found: ProgramForecast) -> list[str]:
    return [
        "<h2>What changing one bridge does to the whole list, in the same futures</h2>",
        *(printed.table(head, rows, sides) for head, rows, sides in tables.changes_parted(found)),
        f"<p>{escape(year_words.waiting_words(found))}</p>",
    ]


def _bold(text: str) -> str:
    return re.sub(r"\$[\d,.]*\d( million)?|\d+ chances of 100", lambda found: f"<b>{found[0]}</b>", escape(text))


def _finding(severity: str, text: str, do: str) -> str:
    mark = MARKS[severity]
    return f'<p class="finding"><b>{mark}</b> {escape(text)} <span class="soft">{escape(do)}</span></p>'


def _table(found: ProgramForecast) -> str:
    numeric, cut = ' class="n"', ' class="cut"'

    def cells(row: tuple[str, ...], tag: str) -> str:
        return "".join(
            f"<{tag}{numeric if side == 'r' else ''}>{escape(cell)}</{tag}>"
            for cell, side in zip(row, _SIDES, strict=False)
        )

    covered = found.budget.covered[80] if found.budget else len(found.structures)
    body = "".join(
        f"<tr{cut if place == covered else ''}>{cells(row, 'td')}</tr>" for place, row in enumerate(bridge_rows(found))
    )
    return f"<table><thead><tr>{cells(heads(found), 'th')}</tr></thead><tbody>{body}</tbody></table>"


def write_working(found: ProgramForecast, target: Path | BinaryIO, sources: str) -> None:
    """The working as a workbook."""
    notes = [
        words.answer(found), words.support(found), about(found), *words.budget_words(found), words.drivers_words(found),
        words.rotation_words(found.rotation), *year_words.schedule_words(found), *year_words.pace_words(found),
        *year_words.alternatives_words(found.alternatives), year_words.waiting_words(found), CAUTION, sources,
    ]  # fmt: skip
    write_workbook(target, working_sheets(found), notes)


def working(found: ProgramForecast, sources: str) -> bytes:
    """The working as the bytes of a workbook."""
    target = io.BytesIO()
    write_working(found, target, sources)
    return target.getvalue()


def working_sheets(found: ProgramForecast) -> dict[str, pd.DataFrame]:
    """Bridges, total, drivers, age profile, findings; one row a thing."""
    total = pd.DataFrame([{"what": "whole list", **found.total.as_dict()}])
    total.loc[1] = {"what": "sum of the bridges' own P80s, not to be used", "p80": found.sum_of_p80}
    if found.stress:
        total.loc[2] = {"what": "if 2021-23 happened again", **found.stress.as_dict()}
    sheets = {
        "bridges": found.structures,
        "total": total,
        "doubt": found.drivers,
        "changes of one bridge": found.changes,
    }
    if len(found.alternatives):
        sheets["alternatives"] = found.alternatives
    if found.schedule:
        sheets |= {"years": found.schedule.years, "lettings": found.schedule.bridges}
    if isinstance(found.rotation, Rotation):
        sheets |= {"age profile": found.rotation.profile, "by type": found.rotation.by_type}
        sheets |= {"ages": found.rotation.ages, "dollars a pace needs": found.pace_budget}
        sheets |= {f"backlog {n}": each.path for n, each in enumerate(found.rotation.backlogs, start=1)}
    return {**sheets, "findings": pd.DataFrame([finding.as_dict() for finding in found.findings])}

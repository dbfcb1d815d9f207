"""A printed page: self-contained HTML with title block, tables and notes; nothing is fetched, nothing runs."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from bidlens.errors import BadValue
from bidlens.findings import Finding, worst_first
from bidlens.report.escaping import escape
from bidlens.report.memo import PRINT_STYLE
from bidlens.report.terminal import MARKS

Rows = Sequence[tuple[str, ...]]
#: Head, rows, and one letter a column: "r" for numbers, "l" for words.
Section = tuple[Sequence[str], Rows, str]

_MORE_STYLE = """
.block { grid-template-columns:repeat(5,1fr) } section { break-inside:auto; margin-top:5mm } h2 { break-after:avoid }
.lead { color:#4A5A60; font-size:9.5pt; margin:0 0 1mm; break-after:avoid } h3 { font-size:10pt; margin:3mm 0 1mm }
figure { margin:4mm 0; break-inside:avoid }
figcaption { color:#4A5A60; font-size:8.5pt; border-top:.7px solid #C3CED0; padding-top:1mm }
.write { min-width:70mm; height:9mm } .wide { font-size:8pt } .widest { font-size:7pt } .finding { break-inside:avoid }
.finding.note { border-left:1px solid #17262B } th.n { white-space:normal }
"""


def write_as(path: Path, html: Callable[[], str], workbook: Callable[[Path], None]) -> None:
    """Write a report as .html or .xlsx. Raises BadValue for another ending or a place that cannot be written."""
    ending = path.suffix.lower()
    if ending not in (".html", ".htm", ".xlsx"):
        raise BadValue(f"cannot write a report as “{path.name}”", do="End the file name in .html or .xlsx.")
    try:
        if ending == ".xlsx":
            workbook(path)
        else:
            path.write_text(html(), encoding="utf-8")
    except OSError as error:
        raise BadValue(
            f"cannot write {path}: {error.strerror or error}", do="Choose a folder you may write to."
        ) from error


def page(
    title: str,
    question: str,
    answer: str,
    support: str,
    cells: Mapping[str, str],
    body: Sequence[str],
    sources: str,
    caution: str,
    *,
    style: str = "",
) -> str:
    """The whole document: question, answer, title block, the body's parts, caution, room to sign, sources at the foot.

    body : parts made by the functions here, markup already; everything else is escaped. style : more CSS.
    """
    block = "".join(f"<div><span>{escape(key)}</span>{escape(value)}</div>" for key, value in cells.items())
    parts = [
        f'<p class="question">{escape(question)}</p>',
        f'<h1 class="answer">{escape(answer)}</h1><p class="support">{escape(support)}</p>',
        f'<div class="block">{block}</div>',
        *body,
        f'<p class="caution">{escape(caution)}</p>',
        '<p class="signed">Reviewed by <span></span> Date <span></span></p>',
        f"<footer>{escape(sources)}</footer>",
    ]
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{escape(title)}</title>'
        f"<style>{PRINT_STYLE}{_MORE_STYLE}{style}</style></head><body>{''.join(parts)}</body></html>"
    )


def section(title: str, lead: str, body: str) -> str:
    """A heading, the line that says how to read it, and what it holds."""
    return f'<section><h2>{escape(title)}</h2><p class="lead">{escape(lead)}</p>{body}</section>'


def table(head: Sequence[str], rows: Rows, sides: str, write: int = -1, *, total: bool = False) -> str:
    """A table, empty text where there are no rows. An empty cell in the column `write` is room to write in.

    total : the last row stands under a rule. A line break in a cell stays one.
    """

    def cell(n: int, text: str, tag: str) -> str:
        css = "n" if sides[n] == "r" else ("write" if n == write and not text else "")
        return f"<{tag}{f' class={chr(34)}{css}{chr(34)}' if css else ''}>{_lines(text)}</{tag}>"

    titles = "".join(cell(n, text, "th") for n, text in enumerate(head))
    cells = ["".join(cell(n, text, "td") for n, text in enumerate(row)) for row in rows]
    last = len(cells) - 1 if total else -1
    body = "".join(f"<tr{' class=total' if n == last else ''}>{row}</tr>" for n, row in enumerate(cells))
    css = ' class="widest"' if len(head) > 10 else ' class="wide"' if len(head) > 7 else ""
    return f"<table{css}><thead><tr>{titles}</tr></thead><tbody>{body}</tbody></table>" if rows else ""


def _lines(text: str) -> str:
    return "<br>".join(escape(line) for line in text.split("\n"))


def finding_boxes(findings: Sequence[Finding]) -> str:
    """The findings, worst first, each with what to do."""
    return "".join(
        f'<p class="finding {f.severity}"><b>{MARKS[f.severity]}</b> {escape(f.text)} {escape(f.do)}</p>'
        for f in worst_first(findings)
    )

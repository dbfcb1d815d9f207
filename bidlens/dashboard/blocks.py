"""The pieces every page is built of: answer, title block, tables, findings, stops, empty state, caution."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Literal

import streamlit as st

from bidlens import wording
from bidlens.dashboard.words import Html, esc, plain, without_commands
from bidlens.errors import BidlensError
from bidlens.figures import DARK, LIGHT, Palette
from bidlens.findings import Finding, worst_first

#: Findings shown open; the rest stand under one line.
FINDINGS_OPEN = 3

#: Rows of a scrolling list that are seen at once.
ROWS_IN_VIEW = 12

#: Letters from which a cell of the title block may break into two lines.
WRAPPED_FROM = 30

_FIRST_WORD = {"stop": "Look.", "check": "Check this.", "note": "Note."}
_KIND_MARK = {"stop": "■ Stop", "check": "▲ Check", "note": "· Note"}

FITNESS = (
    "Prices describe past bids, not structural fitness. The choice of a type is for a licensed engineer under the "
    "county's standards and local codes."
)
AWARD = (
    "Award and negotiation follow the county's procurement law and counsel; statistics of bids are not evidence of "
    "wrongdoing."
)


@dataclass(frozen=True, slots=True)
class Column:
    """A table column: its head, and whether it holds numbers (right, not broken) or short words (not broken)."""

    title: str
    kind: str = ""  # "n" numbers, "nowrap" short words, "" text


def palette() -> Palette:
    """The figure colors of the mode the reader has chosen."""
    return DARK if st.context.theme.type == "dark" else LIGHT


def opening(question: str, answer: Html, support: str = "") -> None:
    """The page's one question, its answer in a sentence, and a second line with n and how sure."""
    second = f'<p class="bl-support">{esc(support, 600)}</p>' if support else ""
    st.html(f'<p class="bl-question">{esc(question)}</p><h1 class="bl-answer">{answer}</h1>{second}')


def title_block(cells: Mapping[str, object]) -> None:
    """What is compared, as a row of named cells."""
    body = "".join(
        f'<div class="{"" if len(str(value)) > WRAPPED_FROM else "bl-nowrap"}">'
        f"<span>{esc(key)}</span><b>{esc(value)}</b></div>"
        for key, value in cells.items()
    )
    st.html(f'<div class="bl-block">{body}</div>')


def section(title: str, lead: str = "") -> None:
    """A section's heading and the line that says how to read it."""
    second = f'<p class="bl-lead">{esc(lead)}</p>' if lead else ""
    st.html(f'<h2 class="bl-section">{esc(title)}</h2>{second}')


def lead(text: str) -> None:
    """A soft line on its own, such as what is to be read off the picture above it."""
    st.html(f'<p class="bl-lead">{esc(text, 600)}</p>')


def table_html(
    columns: Sequence[Column],
    rows: Iterable[Sequence[object]],
    *,
    total: Sequence[object] | None = None,
    picked: int = -1,
) -> Html:
    """A table as HTML; every cell is escaped unless it is `Html` already.

    total : a last row under a rule. picked : number of a row to mark.
    """
    head = "".join(_head(column) for column in columns)
    body = [_row(columns, row, "bl-picked" if number == picked else "") for number, row in enumerate(rows)]
    if total is not None:
        body.append(_row(columns, total, "bl-total"))
    return Html(
        f'<div class="bl-scroll"><table class="bl-table"><thead><tr>{head}</tr></thead>'
        f"<tbody>{''.join(body)}</tbody></table></div>"
    )


def _head(column: Column) -> str:
    """A column's head; without a title it is no heading, and a screen reader is not told that it is one."""
    if not column.title:
        return f'<td class="{_css(column)}"></td>'
    return f'<th class="{_css(column)}" scope="col">{esc(column.title)}</th>'


def _css(column: Column) -> str:
    return f"bl-{column.kind}" if column.kind else ""


def _row(columns: Sequence[Column], cells: Sequence[object], css: str) -> str:
    """One row; the first cell of a total row reaches over the blank ones after it."""
    wide = next((n for n, cell in enumerate(cells) if n and cell != ""), len(cells)) if css == "bl-total" else 1
    body = [f'<td class="{_css(columns[0])}" colspan="{wide}">{esc(cells[0])}</td>']
    body += [
        f'<td class="{_css(column)}">{esc(cell)}</td>' for column, cell in list(zip(columns, cells, strict=True))[wide:]
    ]
    return f'<tr class="{css}">{"".join(body)}</tr>'


def table(
    columns: Sequence[Column], rows: Iterable[Sequence[object]], *, total: Sequence[object] | None = None
) -> None:
    """`table_html`, shown."""
    st.html(table_html(columns, rows, total=total))


def list_height(rows: int) -> int | Literal["auto"]:
    """Height of a scrolling list: as tall as its rows, but no more than about a dozen of them."""
    return "auto" if rows <= ROWS_IN_VIEW else 35 * (ROWS_IN_VIEW + 1)


def severity_mark(severity: str) -> str:
    """A finding's kind as a word with a mark, for tables."""
    return _KIND_MARK.get(severity, severity)


def findings(found: Iterable[Finding]) -> None:
    """Findings worst first: three open, the rest under one line that says how many."""
    ordered = worst_first(found)
    for finding in ordered[:FINDINGS_OPEN]:
        finding_box(finding)
    if more := ordered[FINDINGS_OPEN:]:
        with st.expander(plain(f"{len(more)} more")):
            for finding in more:
                finding_box(finding)


def finding_box(finding: Finding) -> None:
    """One finding: what was seen, where, and on a second line what to do."""
    css = "" if finding.severity == "note" else "bl-check"
    seen = f"{finding.text} ({finding.place})" if finding.place else finding.text
    _box(_FIRST_WORD[finding.severity], seen, finding.do, css)


def note(text: str, do: str = "") -> None:
    """A quiet remark."""
    _box("Note.", text, do)


def stopped(error: BidlensError, first_word: str = "Stopped.") -> None:
    """An error as the user meets it: what, where, what was seen, what to do. Never a traceback."""
    said = f"{error.where}: {error.what}" if error.where else error.what
    said = said if said.rstrip().endswith(".") else f"{said}."
    _box(first_word, said[:1].upper() + said[1:] if not error.where else said, error.do, "bl-stopped")


def _box(first: str, text: str, do: str, css: str = "") -> None:
    second = f"<br><small>{esc(without_commands(do), 600)}</small>" if do else ""
    role = ' role="alert"' if css == "bl-stopped" else ""
    st.html(f'<div class="bl-note {css}"{role}><b>{esc(first)}</b> {esc(text, 900)}{second}</div>')


@contextmanager
def stops_shown() -> Iterator[None]:
    """Show an error of ours as the “Stopped.” box and go on with the rest of the page."""
    try:
        yield
    except BidlensError as error:
        stopped(error)


def empty_box(title: str, body: Html) -> None:
    """A dashed box where there is nothing to show yet."""
    st.html(f'<div class="bl-empty"><p><b>{esc(title)}</b></p>{body}</div>')


def caution(*sentences: str) -> None:
    """The cautions that close a page."""
    body = "".join(f"<p>{esc(sentence)}</p>" for sentence in sentences or (FITNESS, AWARD))
    st.html(f'<div class="bl-caution">{body}</div>')


def header_line(left: str, right: str) -> None:
    """The county's record at left, the cost index at right."""
    st.html(f'<div class="bl-head"><span>{esc(left)}</span><span>{esc(right)}</span></div>')


def counted(n: int, noun: str) -> str:
    return wording.count(int(n), noun)

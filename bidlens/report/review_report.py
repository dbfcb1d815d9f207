"""The letting review to print or file: self-contained HTML with its picture, or a workbook with one sheet a table."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from pathlib import Path
from typing import BinaryIO

import pandas as pd

from bidlens.errors import BadValue
from bidlens.findings import worst_first
from bidlens.letting import ChangeExplained, LettingReview, words
from bidlens.letting.flags import FLAG_COLUMNS, Flag
from bidlens.report.memo import PRINT_STYLE
from bidlens.report.review_svg import bids_svg
from bidlens.report.review_text import CAUTION, MOST_FLAGS, Rows, checklist_table, sections
from bidlens.report.terminal import MARKS
from bidlens.report.workbook import write_workbook

_MORE_STYLE = """
.block { grid-template-columns:repeat(5,1fr) } section { break-inside:auto; margin-top:5mm } h2 { break-after:avoid }
.lead { color:#4A5A60; font-size:9.5pt; margin:0 0 1mm } figure { margin:4mm 0; break-inside:avoid }
figcaption { color:#4A5A60; font-size:8.5pt; border-top:.7px solid #C3CED0; padding-top:1mm }
.write { min-width:70mm; height:9mm } .wide { font-size:8pt }
"""


def write_review(review: LettingReview, path: Path, sources: str) -> None:
    """Write the review as .html or .xlsx. Raises BadValue for another ending or a place that cannot be written."""
    ending = path.suffix.lower()
    if ending not in (".html", ".htm", ".xlsx"):
        raise BadValue(f"cannot write a report as “{path.name}”", do="End the file name in .html or .xlsx.")
    try:
        if ending == ".xlsx":
            write_review_workbook(review, path, sources)
        else:
            path.write_text(review_html(review, sources), encoding="utf-8")
    except OSError as error:
        raise BadValue(
            f"cannot write {path}: {error.strerror or error}", do="Choose a folder you may write to."
        ) from error


def review_html(review: LettingReview, sources: str) -> str:
    """One self-contained page: nothing is fetched, nothing runs."""
    cells = "".join(
        f"<div><span>{escape(key)}</span>{escape(value)}</div>" for key, value in words.title_cells(review).items()
    )
    body = [
        f'<p class="question">How did our {review.year} lettings go?</p>',
        f'<h1 class="answer">{escape(words.answer(review))}</h1><p class="support">{escape(words.support(review))}</p>',
        f'<div class="block">{cells}</div>',
        *(_all_parts(review) if review.competition.contracts else []),
        "".join(
            f'<p class="finding"><b>{MARKS[f.severity]}</b> {escape(f.text)} {escape(f.do)}</p>'
            for f in worst_first(review.findings)
        ),
        f'<p class="caution">{escape(CAUTION)}</p>',
        '<p class="signed">Reviewed by <span></span> Date <span></span></p>',
        f"<footer>{escape(sources)}</footer>",
    ]
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Letting review {review.year}</title>'
        f"<style>{PRINT_STYLE}{_MORE_STYLE}</style></head><body>{''.join(body)}</body></html>"
    )


def _all_parts(review: LettingReview) -> list[str]:
    picture = bids_svg(review)
    figure = f"<figure>{picture}<figcaption>{escape(words.caption(review))}</figcaption></figure>" if picture else ""
    tables = [_section(title, lead, _table(*section)) for title, lead, section in sections(review)]
    return [
        figure,
        *tables,
        _section("Worth a look before the next letting", words.base_rate(review), _flags(review)),
        _section("Fourteen questions of a bid review", "Computed where bids can answer; the rest to be written in.",
                 _table(*checklist_table(review), write=2)),
        _section("Numbers that ask for a second look", "Each with its source; those known from memory are off.",
                 _table(("", "trigger", "source"), trigger_rows(review), "lll")),
    ]  # fmt: skip


def trigger_rows(review: LettingReview) -> Rows:
    """On or off, the trigger, its source."""
    return [
        ("on" if one.on else "off", one.title, f"{one.source}{' · unverified' if one.seen == 'memory' else ''}")
        for one in review.triggers.values()
    ]


def _section(title: str, lead: str, body: str) -> str:
    return f'<section><h2>{escape(title)}</h2><p class="lead">{escape(lead)}</p>{body}</section>'


def _table(head: Sequence[str], rows: Rows, sides: str, write: int = -1) -> str:
    """A table; an empty cell in the column `write` is room to write in."""

    def cell(n: int, text: str, tag: str) -> str:
        css = "n" if sides[n] == "r" else ("write" if n == write and not text else "")
        return f"<{tag}{f' class={chr(34)}{css}{chr(34)}' if css else ''}>{escape(text)}</{tag}>"

    titles = "".join(cell(n, text, "th") for n, text in enumerate(head))
    body = "".join(f"<tr>{''.join(cell(n, text, 'td') for n, text in enumerate(row))}</tr>" for row in rows)
    css = ' class="wide"' if len(head) > 7 else ""
    return f"<table{css}><thead><tr>{titles}</tr></thead><tbody>{body}</tbody></table>" if rows else ""


def _flags(review: LettingReview) -> str:
    shown = review.flags[:MOST_FLAGS]
    boxes = "".join(
        f'<p class="finding"><b>{MARKS[f.severity]}</b> {escape(f.text)}<br>'
        f'<span class="soft">{escape(_papers(f))}</span></p>'
        for f in shown
    )
    more = len(review.flags) - len(shown)
    rest = f'<p class="soft">{more} more stand in the workbook and in the JSON answer.</p>' if more else ""
    return boxes + rest if shown else '<p class="soft">Nothing the triggers in use look for.</p>'


def _papers(flag: Flag) -> str:
    """What to do, where it stands, which test it met."""
    return " · ".join(part for part in (flag.do, str(flag.place or ""), flag.source) if part)


def write_review_workbook(review: LettingReview, target: Path | BinaryIO, sources: str) -> None:
    """One sheet a table, real numbers and dates, with the answer and the sources on the first."""
    notes = [
        words.answer(review), words.support(review), words.caption(review),
        f"{review.basis} basis · dollars of {review.dollars_of} where prices are restated, by the {review.index_title}",
        words.base_rate(review), sources, CAUTION,
    ]  # fmt: skip
    write_workbook(target, review_sheets(review), notes)


def review_sheets(review: LettingReview) -> dict[str, pd.DataFrame]:
    """The review as frames by sheet name."""
    change = review.change
    parts = change.parts if isinstance(change, ChangeExplained) else ()
    flags = pd.DataFrame([flag.as_dict() for flag in review.flags], columns=list(FLAG_COLUMNS))
    flags = flags.astype({"usd": "float64"})
    questions = checklist_table(review)[1]
    return {
        "contracts": review.contracts,
        "bids": review.bids,
        "competition": review.competition_by_year,
        "bidders": review.bidders,
        "estimates": review.accuracy_by_year,
        "missed by category": review.missed_categories,
        "missed by pay item": review.missed_items,
        "prices that moved": review.prices_moved,
        "price index": review.price_index,
        "unit cost by type": review.unit_cost_by_type,
        "change explained": pd.DataFrame(
            [(p.what, p.per_sf, p.note) for p in parts], columns=["part", "per_sf", "note"]
        ),
        "worth a look": flags,
        "questions": pd.DataFrame(questions, columns=["n", "question", "answer"]),
        "triggers": pd.DataFrame(trigger_rows(review), columns=["state", "trigger", "source"]),
    }

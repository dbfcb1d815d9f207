"""The letting review to print or file: self-contained HTML with its picture, or a workbook with one sheet a table."""

from __future__ import annotations

from pathlib import Path
from typing import BinaryIO

import pandas as pd

from bidlens.letting import ChangeExplained, LettingReview, words
from bidlens.letting.flags import FLAG_COLUMNS, Flag
from bidlens.report.escaping import escape
from bidlens.report.printed import Rows, finding_boxes, page, section, table, write_as
from bidlens.report.review_svg import MOST_CONTRACTS, bids_svg, index_svg
from bidlens.report.review_text import CAUTION, MOST_FLAGS, checklist_table, sections
from bidlens.report.terminal import MARKS
from bidlens.report.workbook import write_workbook


def write_review(review: LettingReview, path: Path, sources: str) -> None:
    """Write the review as .html or .xlsx. Raises BadValue for another ending or a place that cannot be written."""
    write_as(path, lambda: review_html(review, sources), lambda target: write_review_workbook(review, target, sources))


def review_html(review: LettingReview, sources: str) -> str:
    """One self-contained page: nothing is fetched, nothing runs."""
    body = [*(_all_parts(review) if review.competition.contracts else []), finding_boxes(review.findings)]
    question = f"How did our {review.period} lettings go?"
    return page(f"Letting review {review.period}", question, words.answer(review), words.support(review),
                words.title_cells(review), body, sources, CAUTION)  # fmt: skip


def _all_parts(review: LettingReview) -> list[str]:
    picture = bids_svg(review)
    figure = (
        f"<figure>{picture}<figcaption>{escape(words.caption(review))}{escape(_drawn(review))}</figcaption></figure>"
        if picture
        else ""
    )
    drawn = {"County price index": index_svg(review)}
    tables = [
        section(title, lead, f"{drawn.get(title, '')}{table(*of_table)}") for title, lead, of_table in sections(review)
    ]
    return [
        figure,
        *tables,
        section("Worth a look before the next letting", words.base_rate(review), _flags(review)),
        section("Fourteen questions of a bid review", "Computed where bids can answer; the rest to be written in.",
                 table(*checklist_table(review), write=2)),
        section("Numbers that ask for a second look", "Each with its source; off where from memory, unless turned on.",
                 table(("", "trigger", "source"), trigger_rows(review), "lll")),
    ]  # fmt: skip


def _drawn(review: LettingReview) -> str:
    """What of the contracts the picture leaves out."""
    with_estimate = int(review.contracts["estimate_usd"].notna().sum())
    return f" · the {MOST_CONTRACTS} largest drawn, all listed" if with_estimate > MOST_CONTRACTS else ""


def trigger_rows(review: LettingReview) -> Rows:
    """On or off, the trigger, its source."""
    return [("on" if one.on else "off", one.title, one.said_source) for one in review.triggers.values()]


def _flags(review: LettingReview) -> str:
    shown = review.flags[:MOST_FLAGS]
    boxes = "".join(
        f'<p class="finding {f.severity}"><b>{MARKS[f.severity]}</b> {escape(f.text)}<br>'
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
        "bidders by year": review.bidders_by_year,
        "estimates": review.accuracy_by_year,
        "missed by category": review.missed_categories,
        "missed by pay item": review.missed_items,
        "prices that moved": review.prices_moved,
        "pay item prices": review.recurring_items,
        "price index": review.price_index,
        "unit cost by type": review.unit_cost_by_type,
        "unit cost by year": review.unit_cost_by_year,
        "change by year": review.change_by_year,
        "change explained": pd.DataFrame(
            [(p.what, p.per_sf, p.note) for p in parts], columns=["part", "per_sf", "note"]
        ),
        "worth a look": flags,
        "questions": pd.DataFrame(questions, columns=["n", "question", "answer"]),
        "triggers": pd.DataFrame(trigger_rows(review), columns=["state", "trigger", "source"]),
    }

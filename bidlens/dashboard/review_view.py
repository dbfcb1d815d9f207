"""The letting review in the page's sentences and tables, and what of it can be taken away."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Sequence

import pandas as pd
import streamlit as st

from bidlens import figures, quarters, wording, workflow
from bidlens.dashboard import blocks, on_paper
from bidlens.dashboard.downloads import XLSX
from bidlens.dashboard.paging import rows_of_page
from bidlens.dashboard.words import Html, bold_numbers
from bidlens.figures import letting as drawn
from bidlens.letting import ChangeExplained, LettingReview, words
from bidlens.report import as_json, review_report, review_text
from bidlens.report.review_svg import bid_ratios

#: Rows of a table with links, or without a frame to scroll in.
LISTED = 40
_NUMBERS = re.compile(r"(\d[\d.]*%(?: under| over)?|\d[\d.]* (?:contracts?|bids)(?: each)?)")


def answer(review: LettingReview) -> Html:
    """The answer sentence, its numbers bold."""
    return bold(words.answer(review), _NUMBERS)


def bold(sentence: str, numbers: re.Pattern[str]) -> Html:
    """A sentence with what the pattern finds in bold."""
    pieces = numbers.split(sentence)
    return bold_numbers(*((piece,) if n % 2 else piece for n, piece in enumerate(pieces)))


def bids_picture(review: LettingReview) -> None:
    """Bids against estimate, one row a contract."""
    contracts = review.contracts
    with_estimate = contracts[(contracts["status"] != "rejected") & contracts["estimate_usd"].notna()]
    rows = with_estimate[with_estimate["low_usd"].notna()]
    picture = drawn.bids_against_estimate(rows, bid_ratios(review, rows), words.caption(review), blocks.palette())
    _chart(picture, "review_bids", "Each contract's bids against the engineer's estimate")


def moved_picture(review: LettingReview) -> None:
    caption = [
        "n beside each item, in contracts",
        "pay units as let",
        f"low bids in dollars of {quarters.shown(review.dollars_of)}",
        f"open, dotted: under {drawn.THIN} contracts",
        f"source: bid tabs {review.compared[0]}–{review.years[1]}; {review.index_title}",
    ]
    picture = drawn.prices_moved(review.prices_moved, review.period, review.years_compared, caption, blocks.palette())
    _chart(picture, "review_moved", "Pay item prices that moved beyond the cost index")


def change_picture(review: LettingReview) -> None:
    change = review.change
    if not isinstance(change, ChangeExplained):
        _chart(figures.empty_figure(f"{str(change).capitalize()}.", blocks.palette()), "review_change", str(change))
        return
    ends = [change.before]
    for part in change.parts:
        ends.append(ends[-1] + part.per_sf)
    caption = [f"{review.basis} basis", "as let, not restated", "n beside each average, in structures",
               "types, spans and bidders by the model",
               f"source: bid tabs {review.compared[0]}–{review.years[1]}; {review.index_title}"]  # fmt: skip
    picture = drawn.change_explained(review_text.change_rows(review), [*ends, change.after], caption, blocks.palette())
    _chart(picture, "review_change", "Why the average price per square foot changed")


def _chart(picture: object, key: str, alt: str) -> None:
    st.plotly_chart(picture, theme=None, config=figures.CONFIG, key=key, alt=alt)


def change_lead(review: LettingReview) -> str:
    change = review.change
    if not isinstance(change, ChangeExplained):
        return "The average of the year beside that of the years before."
    return (
        f"Why the average on the {review.basis} basis went from {wording.per_sf(change.before)} to "
        f"{wording.per_sf(change.after)}."
    )


def table(section: review_text.Section, links: Callable[[slice], Sequence[Html]] | None = None) -> None:
    """A table of the report as the page shows it; long ones scroll, those with links come in pages.

    links : the first cells of some rows as links, where they lead somewhere.
    """
    head, rows, sides = section
    if links:
        page = rows_of_page(len(rows), LISTED, f"{head[0]}_{head[1]}_page")
        rows = [(link, *row[1:]) for link, row in zip(links(page), rows[page], strict=True)]
    elif len(rows) > LISTED:
        frame = pd.DataFrame(rows, columns=list(head))
        on_paper.scrolling(frame, key="_".join(["list", *head]), height=blocks.list_height(len(rows)))
        return
    columns = [
        blocks.Column(title.capitalize(), "n" if side == "r" else "") for title, side in zip(head, sides, strict=True)
    ]
    blocks.table(columns, rows)


def download_buttons(review: LettingReview, db: workflow.Database) -> None:
    """The report to print, the workbook, the JSON answer; each is made when it is asked for."""
    stem = f"letting_review_{review.period.replace('–', '_')}"

    def tables() -> bytes:
        target = io.BytesIO()
        review_report.write_review_workbook(review, target, workflow.sources_of(db))
        return target.getvalue()

    with st.popover("Download"):
        st.download_button("Report to print (HTML)",
                           lambda: review_report.review_html(review, workflow.sources_of(db)), f"{stem}.html",
                           "text/html", key="review_html")  # fmt: skip
        st.download_button("Tables (XLSX)", tables, f"{stem}.xlsx", XLSX, key="review_xlsx")
        st.download_button("All numbers (JSON)", lambda: as_json.document("review", **review.as_dict()),
                           f"{stem}.json", "application/json", key="review_json")  # fmt: skip

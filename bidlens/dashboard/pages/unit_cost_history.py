"""What have we paid? Dollars per square foot of deck, type by type, in dollars of one quarter."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from bidlens import figures, quarters
from bidlens.dashboard import blocks, cache, downloads, empty, filter_bar, history_view, on_paper, papers
from bidlens.dashboard.filters import Filters, basis_title
from bidlens.dashboard.words import Html
from bidlens.normalizer import UnitCostHistory
from bidlens.workflow import PricedHistory

QUESTION = "What have we paid?"
ARTICLE = {"superstructure": "a superstructure in place", "beams": "beams in place", "bridge": "a bridge in place"}


def page() -> None:
    """The whole page."""
    if cache.is_empty():
        empty.no_bid_tabs(QUESTION)
    else:
        filters = Filters.from_query(st.query_params)
        paid(filters, cache.price_history(filters.basis, filters.dollars_of, filters.index))
    blocks.caution()


def paid(filters: Filters, priced: PricedHistory) -> None:
    """Answer, title block, panels, tables."""
    history, everything = priced.history, priced.frame
    shown = filter_bar.kept(filters, everything)
    if shown.empty:
        blocks.opening(QUESTION, Html("<b>No priced structure</b> is left to show."))
        blocks.note(
            "No contract on record has dollars of this basis and a deck area, within the types and years chosen.",
            "Change what is compared, or import the structure list with length and out-to-out width.",
        )
    else:
        what = ARTICLE.get(filters.basis, "a whole contract")
        blocks.opening(QUESTION, *history_view.answer(shown, what, restated=not priced.index.is_none))
    blocks.title_block(
        {
            "Structures": f"{len(shown)} of {len(everything) + len(history.left_out)}",
            "Left out": history_view.left_out_words(history),
            "Basis": basis_title(filters.basis),
            "Dollars of": quarters.shown(history.dollars_of),
            "Bids used": "low responsive bid, as corrected",
        }
    )
    table = history_view.table(shown)
    table = table if table["By hand"].any() else table.drop(columns="By hand")
    with st.container(horizontal=True, gap="small", key="compare_row"):
        filter_bar.popover(filters, priced.index, everything)
        downloads.frame_buttons(shown, f"unit_costs_{filters.basis}", "unit costs", history_view.notes(history))
    filter_bar.line(filters, everything, shown, "Prices at the reference span come from a model of all {n}.")
    if shown.empty:
        return
    st.plotly_chart(
        figures.panels_by_type(shown, history.basis, history.dollars_of, blocks.palette()),
        theme=None,
        config=figures.CONFIG,
        key="panels",
        alt="Prices per square foot of deck over the years, one panel a superstructure type",
        on_select=lambda: papers.pick_from_chart("panels"),
        selection_mode="points",
    )
    papers.trail(priced, filters.basis)
    tables(shown, table, history)


def tables(shown: pd.DataFrame, table: pd.DataFrame, history: UnitCostHistory) -> None:
    """By type, then one row a structure."""
    blocks.section("By type", "$/sf of deck in the dollars above; averages are dollars over deck area.")
    heads = (("Type", ""), ("n", "n"), ("Average", "n"), ("Lowest to highest", "n"), ("Spans, ft", "n"))
    blocks.table([blocks.Column(*head) for head in heads], history_view.type_rows(shown))
    blocks.section(
        "One row a structure",
        "Newest first. Dollars over deck area is as bid; times the index ratio, adjusted; then at the reference span. "
        "Mark a row for its papers.",
    )
    keys = history_view.table_keys(shown)
    on_paper.scrolling(
        table,
        column_config=_column_config(),
        key="history_table",
        height=blocks.list_height(len(table)),
        on_select=lambda: papers.pick_from_table("history_table", keys),
        selection_mode="single-row",
    )
    if len(history.left_out):
        with st.expander(f"{len(history.left_out)} structures left out, and why"):
            rows = history.left_out.astype(str).values.tolist()
            blocks.table([blocks.Column(name) for name in ("Contract", "Bridge", "Why")], rows)
    blocks.findings(history.findings)


def _column_config() -> dict[str, Any]:
    """Formats and widths in px; what fits at 1280 ends with the adjusted prices. Text is shown literally here."""
    formats = {
        "Contract": (None, 72),
        "Bridge": (None, 64),
        "Type": (None, 138),
        "Span, ft": ("%.0f", 72),
        "Deck, sf": ("localized", 76),
        "Bids": ("%.0f", 52),
        "Dollars as bid": ("localized", 112),
        "Share": ("%.2f", 60),
        "As bid, $/sf": ("%.2f", 94),
        "Index ratio": ("%.3f", 92),
        "Adjusted, $/sf": ("%.2f", 110),
        "At ref. span, $/sf": ("%.2f", 124),
        "By hand": (None, 160),
        "Over": (None, 240),
        "Low bidder": (None, 200),
        "First source row": (None, 280),
    }
    columns: dict[str, Any] = {
        name: st.column_config.NumberColumn(format=form, width=width) if form else st.column_config.Column(width=width)
        for name, (form, width) in formats.items()
    }
    return {**columns, "Let": st.column_config.DateColumn(format="D MMM YYYY", width=106)}


page()

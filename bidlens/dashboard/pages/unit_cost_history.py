"""What have we paid? Dollars per square foot of deck, type by type, in dollars of one quarter."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from bidlens import figures, quarters
from bidlens.dashboard import blocks, cache, downloads, empty, history_view, papers
from bidlens.dashboard.filters import Filters, basis_title, compare_widgets, history_widgets
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
        paid(filters, cache.price_history(filters.basis, filters.dollars_of))
    blocks.caution()


def paid(filters: Filters, priced: PricedHistory) -> None:
    """Answer, title block, panels, tables."""
    history, everything = priced.history, priced.frame
    shown = history_view.shown_rows(everything, filters) if len(everything) else everything
    if shown.empty:
        blocks.opening(QUESTION, Html("<b>No priced structure</b> is left to show."))
        blocks.note(
            "No contract on record has dollars of this basis and a deck area, within the types and years chosen.",
            "Change what is compared, or import the structure list with length and out-to-out width.",
        )
    else:
        blocks.opening(QUESTION, *history_view.answer(shown, ARTICLE.get(filters.basis, "a whole contract")))
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
    with st.container(horizontal=True, gap="small", key="compare_row"):
        with st.popover("Change what is compared"):
            compare_widgets(filters, priced.index)
            history_widgets(filters, everything)
        downloads.frame_buttons(shown, f"unit_costs_{filters.basis}", "unit costs", history_view.notes(history))
    if shown.empty:
        return
    blocks.section(
        "One panel a type, same scales",
        "Blue: the type named above the panel. Grey: all others. Line: dollars over deck area, from four up.",
    )
    st.plotly_chart(
        figures.panels_by_type(shown, history.basis, history.dollars_of, blocks.palette()),
        theme=None,
        config=figures.CONFIG,
        key="panels",
        alt="Prices per square foot of deck over the years, one panel a superstructure type",
        on_select=lambda: papers.pick_from_chart("panels"),
        selection_mode="points",
    )
    tables(shown, table, history)
    papers.trail(everything, filters.basis)


def tables(shown: pd.DataFrame, table: pd.DataFrame, history: UnitCostHistory) -> None:
    """By type, then one row a structure."""
    blocks.section("By type", "$/sf of deck in the dollars above; averages are dollars over deck area.")
    heads = (("Type", ""), ("n", "n"), ("Average", "n"), ("Lowest to highest", "n"), ("Spans, ft", "n"))
    blocks.table([blocks.Column(*head) for head in heads], history_view.type_rows(shown))
    blocks.section(
        "One row a structure", "Newest first. As bid, times the index ratio, is adjusted; each step is a column."
    )
    st.dataframe(table, hide_index=True, column_config=_column_config(), key="history_table", height=420)
    if len(history.left_out):
        with st.expander(f"{len(history.left_out)} structures left out, and why"):
            rows = history.left_out.astype(str).values.tolist()
            blocks.table([blocks.Column(name) for name in ("Contract", "Bridge", "Why")], rows)
    blocks.findings(history.findings)


def _column_config() -> dict[str, Any]:
    """Formats and widths; text columns are shown literally by this widget."""
    number, money, ratio = (st.column_config.NumberColumn(format=f) for f in ("%.0f", "$%.0f", "%.3f"))
    per_sf = st.column_config.NumberColumn(format="$%.2f")
    return {
        "Contract": st.column_config.TextColumn(width="small"),
        "Bridge": st.column_config.TextColumn(width="small"),
        "Let": st.column_config.DateColumn(format="D MMM YYYY", width="small"),
        "Span, ft": number,
        "Deck, sf": number,
        "Bids": number,
        "Dollars as bid": money,
        "Share of schedule": ratio,
        "As bid, $/sf": per_sf,
        "Index ratio": ratio,
        "Adjusted, $/sf": per_sf,
        "At reference span, $/sf": per_sf,
    }


page()

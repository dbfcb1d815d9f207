"""Work categories: the dollars in each, every pay item with the rule that placed it, and placing one by hand."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from bidlens import wording
from bidlens.dashboard import blocks, cache
from bidlens.dashboard.records_parts import listed
from bidlens.dashboard.words import known, label, or_not_given
from bidlens.errors import BadValue
from bidlens.normalizer import WORK_CATEGORIES

UNCLASSIFIED = "unclassified"
ITEM = ["item_code", "description", "pay_unit"]


def show() -> None:
    """Low-bid dollars by category, the pay items, and the form that places one."""
    summary: pd.DataFrame = cache.table("category_summary")
    blocks.section("Work categories", "Dollars of low bids. What no rule knows stands as unclassified.")
    if placed := st.session_state.pop("item placed", None):
        blocks.note(placed)
    if summary.empty:
        blocks.note("No bid tab has been imported.")
        return
    heads = (("Work category", ""), ("Pay items", "n"), ("Lines", "n"), ("Placed by hand", "n"), ("Low bids", "n"),
             ("Share", "n"))  # fmt: skip
    blocks.table([blocks.Column(*head) for head in heads], [_category(row) for row in summary.to_dict("records")])
    items: pd.DataFrame = cache.table("pay_items")
    blocks.section("Pay items, most dollars first", "Each with its work category and the rule that decided it.")
    names = {
        "item_code": "Item", "description": "Description", "pay_unit": "Unit", "work_category": "Work category",
        "category_rule": "Rule", "lines": "Lines", "low_bid_usd": "Low bids",
    }  # fmt: skip
    shown = items[list(names)].rename(columns=names).assign(**{"Low bids": items["low_bid_usd"].round()})
    widths = {"Item": 90, "Description": 380, "Unit": 60, "Work category": 150, "Rule": 330, "Lines": 60}
    listed(shown, "items_table", widths, scrolling=True)
    place_form(items)


def _category(row: dict[Any, Any]) -> list[object]:
    return [
        in_words(row["work_category"]),
        wording.number(row["items"]),
        wording.number(row["lines"]),
        wording.number(row["by_hand"]),
        wording.usd(row["low_bid_usd"]),
        or_not_given(row["share"], lambda share: f"{wording.number(share * 100, 1)}%", "no dollars"),
    ]


def in_words(work_category: str) -> str:
    return work_category.replace("_", " ")


def place_form(items: pd.DataFrame) -> None:
    """Place a pay item by hand: it wins over every rule, here and in every later import."""
    blocks.section("Place a pay item", "Your decision wins over every rule, for the lines on record and those to come.")
    distinct = items.fillna(dict.fromkeys(ITEM, "")).drop_duplicates(ITEM)
    first = distinct["work_category"] != UNCLASSIFIED
    ordered = distinct.assign(first=first).sort_values("first", kind="stable").to_dict("records")
    with st.form("place_item", border=False), st.container(horizontal=True, vertical_alignment="bottom"):
        chosen = st.selectbox(
            "Pay item, unclassified ones first", range(len(ordered)), index=None, key="item_to_place", width=460,
            format_func=lambda place: _described(ordered[place]), placeholder="Choose a pay item",
        )  # fmt: skip
        choices = [name for name in WORK_CATEGORIES if name != UNCLASSIFIED]
        category = st.selectbox(
            "Work category", choices, index=None, format_func=in_words, key="category_chosen", width=220
        )
        reason = st.text_input("Why", key="reason_given", placeholder="bid with the deck on these jobs", width=280)
        sent = st.form_submit_button("Place it", type="primary")
    if sent:
        with blocks.stops_shown():
            _place(None if chosen is None else ordered[chosen], category, reason)


def _described(item: dict[Any, Any]) -> str:
    code = f"{item['item_code']} " if known(item["item_code"]) else ""
    return label(f"{code}{item['description']}, {item['pay_unit']} ({in_words(item['work_category'])})", 120)


def _place(item: dict[Any, Any] | None, category: str | None, reason: str) -> None:
    if item is None or not category or not reason.strip():
        raise BadValue(
            "pay item, work category or reason is missing", where="the form", do="Give all three; the reason is kept."
        )
    moved = cache.database().place_item(
        item["item_code"], item["description"], item["pay_unit"], category, " ".join(reason.split())
    )
    st.session_state["item placed"] = (
        f"{label(item['description'])} now counts as {in_words(category)}: {blocks.counted(moved, 'line')} on record."
    )
    st.rerun()

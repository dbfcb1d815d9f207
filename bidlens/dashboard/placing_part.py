"""Placing a pay item by hand: what would move is shown first; what was placed is listed and can be taken back."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from bidlens import quarters, wording
from bidlens.dashboard import blocks, cache
from bidlens.dashboard.filters import basis_title
from bidlens.dashboard.records_parts import listed
from bidlens.dashboard.words import known, label, or_not_given, place
from bidlens.errors import BadValue
from bidlens.normalizer import WORK_CATEGORIES
from bidlens.placing import PlacingEffect

UNCLASSIFIED = "unclassified"
ITEM = ["item_code", "description", "pay_unit"]
_SAID = "item placed"
_WIDGETS = ("item_to_place", "category_chosen", "placed_item")
SHOWN = 8


def said() -> None:
    """What the last decision did."""
    if done := st.session_state.pop(_SAID, None):
        blocks.note(done)


def in_words(work_category: str) -> str:
    return work_category.replace("_", " ")


def place_form(items: pd.DataFrame) -> None:
    """Choose a pay item and a category, see what moves, then place it: it wins over every rule from then on."""
    blocks.section(
        "Place a pay item",
        "Your decision wins over every rule, for the lines on record and those to come. What it moves is shown first.",
    )
    distinct = items.fillna(dict.fromkeys(ITEM, "")).drop_duplicates(ITEM)
    first = distinct["work_category"] != UNCLASSIFIED
    ordered = distinct.assign(first=first).sort_values("first", kind="stable").to_dict("records")
    with st.container(horizontal=True, vertical_alignment="bottom", key="place_row"):
        chosen = st.selectbox(
            "Pay item, unclassified ones first", range(len(ordered)), index=None, key="item_to_place", width=460,
            format_func=lambda number: _described(ordered[number]) if number < len(ordered) else "",
            placeholder="Choose a pay item",
        )  # fmt: skip
        choices = [name for name in WORK_CATEGORIES if name != UNCLASSIFIED]
        category = st.selectbox(
            "Work category", choices, index=None, format_func=in_words, key="category_chosen", width=220,
            placeholder="Choose one",
        )  # fmt: skip
        reason = st.text_input("Why", key="reason_given", placeholder="bid with the deck on these jobs", width=280)
        pressed = st.button("Place it", type="primary", key="place_it")
    item = ordered[chosen] if chosen is not None and chosen < len(ordered) else None
    with blocks.stops_shown():
        if pressed:
            _place(item, category, reason)
        if item is not None and category:
            effect(cache.placing_effect(item["item_code"], item["description"], item["pay_unit"], category))


def _described(item: dict[Any, Any]) -> str:
    code = f"{item['item_code']} " if known(item["item_code"]) else ""
    return label(f"{code}{item['description']}, {item['pay_unit']} ({in_words(item['work_category'])})", 120)


def _place(item: dict[Any, Any] | None, category: str | None, reason: str) -> None:
    if item is None or not category or not reason.strip():
        raise BadValue(
            "pay item, work category or reason is missing", where="the form", do="Give all three; the reason is kept."
        )
    code, description, unit = (str(item[name]) for name in ITEM)
    moved = cache.database().place_item(code, description, unit, category, " ".join(reason.split()))
    _done(f"{label(description)} now counts as {in_words(category)}: {blocks.counted(moved, 'line')} on record.")


def _done(text: str) -> None:
    st.session_state[_SAID] = text
    for widget in _WIDGETS:
        st.session_state.pop(widget, None)
    st.rerun()


def effect(found: PlacingEffect) -> None:
    """Which lines and dollars a decision moves, and which prices change by it."""
    if found.lines.empty:
        blocks.note("No line on record changes its category by this; no price changes.")
        return
    lines, contracts = len(found.lines), found.lines["contract_id"].nunique()
    moved = f"{blocks.counted(lines, 'line')} in {blocks.counted(contracts, 'contract')} would move"
    dollars = f"{wording.usd(found.usd)} of low bids"
    prices = f"{blocks.counted(len(found.prices), 'price')} would change" if len(found.prices) else "no price changes"
    blocks.note(f"{moved}, {dollars}; {prices}. Nothing is stored yet.")
    _prices(found)
    with st.expander(f"The {blocks.counted(lines, 'line')} that would move"):
        _lines(found.lines)


def _prices(found: PlacingEffect) -> None:
    """The prices that change, largest change first."""
    if found.prices.empty:
        return
    size = found.prices["change"].abs().fillna(float("inf"))
    ordered = found.prices.assign(size=size).sort_values("size", ascending=False, kind="stable")
    dollars = f"$/sf, {quarters.shown(found.dollars_of)}"
    heads = (("Contract", "nowrap"), ("Bridge", "nowrap"), ("Type", ""), ("Basis", ""), (f"Now, {dollars}", "n"),
             (f"Then, {dollars}", "n"), ("Change", "n"))  # fmt: skip
    rows = [_price(row) for row in ordered.to_dict("records")]
    blocks.table([blocks.Column(*head) for head in heads], rows[:SHOWN])
    if more := rows[SHOWN:]:
        with st.expander(f"{len(more)} more prices"):
            blocks.table([blocks.Column(*head) for head in heads], more[:200])


def _price(row: dict[Any, Any]) -> list[object]:
    def price(value: Any) -> str:
        return or_not_given(value, lambda one: wording.number(one, 2), "no such work")

    return [
        row["contract_id"],
        row["structure_id"],
        row["superstructure"],
        basis_title(row["basis"]),
        price(row["before"]),
        price(row["after"]),
        or_not_given(row["change"], lambda one: wording.percent(one, 1), "no price on one side"),
    ]


def _lines(lines: pd.DataFrame) -> None:
    where = [place(*row) for row in zip(lines["source_file"], lines["source_sheet"], lines["source_row"], strict=True)]
    shown = pd.DataFrame(
        {
            "Contract": lines["contract_id"],
            "Let": lines["letting_date"].dt.strftime("%Y-%m-%d"),
            "Line": lines["line"],
            "Low bid": [wording.usd(usd, 2) if known(usd) else "no low bid" for usd in lines["low_bid_usd"]],
            "From": lines["work_category"].map(in_words),
            "To": lines["to_category"].map(in_words),
            "Row": where,
        }
    )
    listed(shown, "lines_moving", {"Row": 320})


def placed() -> None:
    """Every pay item placed by hand with its reason, and the way to take one back."""
    frame: pd.DataFrame = cache.table("overrides")
    if frame.empty:
        return
    blocks.section("Placed by hand", "Each can be taken back; then the rules place the item again.")
    rows = frame.to_dict("records")
    heads = (("Item", "nowrap"), ("Description", ""), ("Unit", "nowrap"), ("Work category", ""), ("Why", ""),
             ("When", "nowrap"))  # fmt: skip
    body = [
        [row["item_code"] or "any", row["description"], row["pay_unit"] or "any", in_words(row["work_category"]),
         row["reason"], wording.day(row["decided_at"])] for row in rows
    ]  # fmt: skip
    blocks.table([blocks.Column(*head) for head in heads], body)
    with st.container(horizontal=True, vertical_alignment="bottom", key="placed_row"):
        chosen = st.selectbox(
            "Take a decision back", range(len(rows)), index=None, key="placed_item", width=460,
            placeholder="Choose one",
            format_func=lambda number: _described(rows[number]) if number < len(rows) else "",
        )  # fmt: skip
        pressed = chosen is not None and st.button("Take it back", key="placed_back")
    if chosen is None or chosen >= len(rows):
        return
    code, description, unit = (str(rows[chosen][name]) for name in ITEM)
    with blocks.stops_shown():
        if pressed:
            moved = cache.database().withdraw_item(code, description, unit)
            _done(f"{label(description)} is placed by the rules again: {blocks.counted(moved, 'line')} on record.")
        effect(cache.placing_effect(code, description, unit, None))

"""Names: spellings that may be one bidder, each with a button to confirm it; those confirmed, with one to forget it."""

from __future__ import annotations

from functools import partial
from typing import Any

import pandas as pd
import streamlit as st

from bidlens import wording
from bidlens.dashboard import blocks, cache, on_paper
from bidlens.dashboard.decision_rows import rows_with_button
from bidlens.dashboard.paging import rows_of_page
from bidlens.dashboard.placing_part import in_words
from bidlens.dashboard.words import esc, label
from bidlens.report import decided

ROWS_SHOWN = 30
_SAID = "names said"


def show() -> None:
    """Suggested spellings, confirmed ones, bidders as counted, and pay items that may be one."""
    if said := st.session_state.pop(_SAID, None):
        blocks.note(said)
    for finding in cache.table("bidders_kept_apart"):
        blocks.finding_box(finding)
    suggested()
    confirmed()
    counted_bidders()
    pay_items()
    same_items()


def suggested() -> None:
    """One row a suggestion: both spellings, their bids, why they may be one, and the button."""
    frame: pd.DataFrame = cache.table("bidder_suggestions")
    blocks.section(
        "Spellings that may be one bidder",
        "Nothing is put together by itself. Confirmed spellings are counted as one; the rows keep what was read.",
    )
    if frame.empty:
        blocks.note("No spelling of a bidder looks like another.")
        return
    st.text_input("Why, for those you confirm", value="the same firm, spelt differently", key="name_reason", width=420)
    rows = frame.iloc[rows_of_page(len(frame), ROWS_SHOWN, "spellings_page")].to_dict("records")
    rows_with_button(
        ("Spelling", "May be", "Why"),
        [(_with_bids(row["spelling"], row["spelling_contracts"]), _with_bids(row["bidder"], row["bidder_contracts"]),
          _why(row)) for row in rows],
        "One bidder", "confirm", [partial(_confirm, row) for row in rows],
    )  # fmt: skip


def _with_bids(name: str, bids: int) -> str:
    return f"<b>{esc(name)}</b> <small>{blocks.counted(bids, 'bid')}</small>"


def _why(row: dict[Any, Any]) -> str:
    flag = f"<br><b>Look: {esc(row['flag'])}</b>" if row["flag"] else ""
    return f"{esc(row['why'])}{flag}"


def confirmed() -> None:
    """Spellings confirmed so far, each with a button that takes it back."""
    frame: pd.DataFrame = cache.table("bidder_aliases")
    if frame.empty:
        return
    blocks.section("Confirmed spellings", "Each can be taken back; then it stands for itself again.")
    rows = frame.to_dict("records")
    rows_with_button(
        ("Spelling", "Shown as", "Why"),
        [(_with_bids(row["spelling"], row["contracts"]), esc(row["bidder"]),
          f"{esc(row['reason'])}<br><small>{wording.day(row['decided_at'])}</small>") for row in rows],
        "Take back", "forget", [partial(_forget, row) for row in rows],
    )  # fmt: skip


def _confirm(row: dict[Any, Any]) -> None:
    cache.database().confirm_name(row["spelling"], row["bidder"], " ".join(st.session_state["name_reason"].split()))
    _said(f"{label(row['spelling'])} is shown and counted as {label(row['bidder'])}.")


def _forget(row: dict[Any, Any]) -> None:
    cache.database().forget_name(row["spelling"])
    _said(f"{label(row['spelling'])} stands for itself again.")


def _said(text: str) -> None:
    st.session_state[_SAID] = text
    st.rerun()


def counted_bidders() -> None:
    """Bids and first places of each bidder, confirmed spellings together."""
    frame: pd.DataFrame = cache.table("bidders")
    blocks.section("Bidders on record", "Confirmed spellings counted together; first places by corrected total.")
    if frame.empty:
        blocks.note("No bid tab has been imported.")
        return
    names = {
        "bidder": "Bidder", "bids": "Bids", "responsive": "Responsive", "low_bids": "First places",
        "first_letting": "First", "last_letting": "Last", "spellings": "Spellings on record",
    }  # fmt: skip
    day = st.column_config.DateColumn(format="D MMM YYYY")
    on_paper.scrolling(
        frame[list(names)].rename(columns=names), key="bidders_table",
        height=blocks.list_height(len(frame)), column_config={"First": day, "Last": day},
    )  # fmt: skip


def pay_items() -> None:
    """Descriptions that may be one pay item; those in two work categories first."""
    frame: pd.DataFrame = cache.table("pay_item_suggestions")
    blocks.section(
        "Pay items that may be one",
        "Digits, classes and units are the same. Confirmed ones are counted as one in item prices and the price index, "
        "and stand in one category; nothing is put together by itself.",
    )
    if frame.empty:
        blocks.note("No description looks like another.")
        return
    st.text_input("Why, for those you confirm", value="the same item, spelt differently", key="item_reason", width=420)
    rows = frame.iloc[rows_of_page(len(frame), ROWS_SHOWN, "items_page")].to_dict("records")
    rows_with_button(
        ("Description", "May be", "Why"),
        [(_item(row["description"], row["category"], row["pay_unit"]), _item(row["other"], row["other_category"]),
          f"{esc(row['why'])} <small>{blocks.counted(row['lines'], 'line')}</small>") for row in rows],
        "One item", "same_item", [partial(_confirm_item, row) for row in rows],
    )  # fmt: skip


def _item(description: str, category: str, pay_unit: str = "") -> str:
    unit = f", {pay_unit}" if pay_unit else ""
    return f"<b>{esc(description)}</b>{esc(unit)} <small>{esc(in_words(category))}</small>"


def _confirm_item(row: dict[Any, Any]) -> None:
    reason = " ".join(st.session_state["item_reason"].split())
    moved = cache.database().confirm_item(row["description"], row["other"], row["pay_unit"], reason)
    _said(decided.item_confirmed_answer(label(row["description"]), label(row["other"]), moved))


def same_items() -> None:
    """Pay items confirmed to be one, each with a button that takes it back."""
    frame: pd.DataFrame = cache.table("item_aliases")
    if frame.empty:
        return
    blocks.section("Pay items counted as one", "In item prices, price index and work category; each can be taken back.")
    rows = frame.to_dict("records")
    rows_with_button(
        ("Description", "Counted as", "Why"),
        [(f"<b>{esc(row['description'])}</b>, {esc(row['pay_unit'])}<br>"
          f"<small>{blocks.counted(row['lines'], 'line')}</small>", esc(row["same_as"]),
          f"{esc(row['reason'])}<br><small>{wording.day(row['decided_at'])}</small>") for row in rows],
        "Take back", "forget_item", [partial(_forget_item, row) for row in rows],
    )  # fmt: skip


def _forget_item(row: dict[Any, Any]) -> None:
    was = cache.database().forget_item(row["description"], row["pay_unit"])
    _said(decided.item_forgotten_answer(label(row["description"]), label(was)))

"""Names: spellings that may be one bidder, each with a button to confirm it; those confirmed, with one to forget it."""

from __future__ import annotations

from functools import partial
from typing import Any

import pandas as pd
import streamlit as st

from bidlens import wording
from bidlens.dashboard import blocks, cache
from bidlens.dashboard.decision_rows import rows_with_button
from bidlens.dashboard.placing_part import in_words
from bidlens.dashboard.records_parts import listed
from bidlens.dashboard.words import esc, label

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
    rows = frame.head(ROWS_SHOWN).to_dict("records")
    rows_with_button(
        ("Spelling", "May be", "Why"),
        [(_with_bids(row["spelling"], row["spelling_contracts"]), _with_bids(row["bidder"], row["bidder_contracts"]),
          _why(row)) for row in rows],
        "One bidder", "confirm", [partial(_confirm, row) for row in rows],
    )  # fmt: skip
    if len(frame) > ROWS_SHOWN:
        blocks.note(f"{len(frame) - ROWS_SHOWN} more; they follow as these are confirmed. “bidlens names” lists all.")


def _with_bids(name: str, bids: int) -> str:
    return f"<b>{esc(name)}</b><br><small>{blocks.counted(bids, 'bid')}</small>"


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
    st.dataframe(
        frame[list(names)].rename(columns=names), hide_index=True, key="bidders_table",
        height=blocks.list_height(len(frame)), column_config={"First": day, "Last": day},
    )  # fmt: skip


def pay_items() -> None:
    """Descriptions that may be one pay item; those in two work categories first."""
    frame: pd.DataFrame = cache.table("pay_item_suggestions")
    blocks.section(
        "Pay items that may be one",
        "Digits, classes and units are the same. Where the two stand in different categories, place one by hand under "
        "Work categories.",
    )
    if frame.empty:
        blocks.note("No description looks like another.")
        return
    names = {
        "description": "Description", "category": "Work category", "other": "May be", "other_category": "Its category",
        "pay_unit": "Unit", "why": "Why", "lines": "Lines",
    }  # fmt: skip
    shown = frame[list(names)].rename(columns=names)
    shown = shown.assign(**{name: shown[name].map(in_words) for name in ("Work category", "Its category")})
    widths = {"Description": 300, "Work category": 130, "May be": 300, "Its category": 130, "Unit": 60, "Why": 250}
    listed(shown, "alike_items_table", widths, scrolling=True)

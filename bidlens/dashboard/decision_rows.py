"""Rows that each end in a button: what can be decided, or taken back, one row a decision."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import streamlit as st

from bidlens.dashboard import blocks
from bidlens.dashboard.words import esc


def rows_with_button(
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    button: str,
    key: str,
    actions: Sequence[Callable[[], None]],
) -> None:
    """Rows of three escaped HTML cells, each ending in a button of its own, keyed by `key` and the row's number."""
    widths = [3, 3, 4, 1.3]
    with st.container(key=f"{key}_decision_rows", gap="small"):
        for column, head in zip(st.columns(widths), heads, strict=False):
            column.html(f'<span class="bl-decision-head">{esc(head)}</span>')
        for number, (cells, action) in enumerate(zip(rows, actions, strict=True)):
            places = st.columns(widths, vertical_alignment="center")
            for place, cell in zip(places, cells, strict=False):
                place.html(f"<div>{cell}</div>")
            if places[-1].button(button, key=f"{key}_{number}"):
                with blocks.stops_shown():
                    action()

"""A long list in pages: which rows of it are drawn, chosen by their numbers."""

from __future__ import annotations

import streamlit as st

from bidlens import wording


def rows_of_page(count: int, size: int, key: str) -> slice:
    """The rows of the page chosen; a list that fits one page has no choice above it.

    count : rows of the whole list. size : rows of a page. key : of the choice, one a list.
    """
    if count <= size:
        return slice(0, count)
    starts = list(range(0, count, size))
    if st.session_state.get(key, 0) not in starts:  # the list has become shorter
        st.session_state[key] = starts[-1]

    def said(start: int) -> str:
        return f"{wording.number(start + 1)} to {wording.number(min(start + size, count))} of {wording.number(count)}"

    start = st.selectbox("Rows shown", starts, format_func=said, key=key, width=240)
    return slice(start, start + size)

"""Lists that scroll on the screen and stand whole on paper, where only what was drawn would be printed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd
import streamlit as st

from bidlens import wording
from bidlens.dashboard import blocks
from bidlens.dashboard.words import Html, label

#: Longer lists are not printed; paper says where the whole is.
MOST_ROWS = 200
#: Letters of a cell that is kept on one line.
SHORT = 20


def scrolling(frame: pd.DataFrame, *, key: str, column_config: Mapping[Any, Any] | None = None, **more: Any) -> Any:
    """`st.dataframe`, and on paper a plain table of the same rows. Returns what `st.dataframe` returns."""
    config = dict(column_config or {})
    with st.container(key=f"{key}_on_paper", gap=None):
        seen = st.dataframe(frame, key=key, hide_index=True, column_config=config, **more)
        st.html(f'<div class="bl-paper">{_printed(frame, config)}</div>')
    return seen


def _printed(frame: pd.DataFrame, config: Mapping[Any, Any]) -> Html:
    if len(frame) > MOST_ROWS:
        said = f"A list of {wording.count(len(frame), 'row')} is not printed; on the screen its menu gives it as CSV."
        return Html(f'<p class="bl-lead">{said}</p>')
    filled = [name for name in frame if not (frame[name].isna() | (frame[name].astype("str") == "")).all()]
    numbers = set(frame.select_dtypes("number").columns)
    formats = [_format_of(config.get(name)) for name in filled]
    rows = [
        [_cell(value, form) for value, form in zip(row, formats, strict=True)]
        for row in frame[filled].itertuples(index=False)
    ]
    columns = [
        blocks.Column(str(name), "n" if name in numbers else _kind(cells))
        for name, cells in zip(filled, zip(*rows, strict=True), strict=True)
    ]
    return blocks.table_html(columns, rows)


def _kind(cells: Sequence[str]) -> str:
    """Short words are not broken."""
    return "nowrap" if max(map(len, cells)) <= SHORT else ""


def _format_of(config: Any) -> str:
    """The printf format of a column's numbers; empty where it has none."""
    told = (config or {}).get("type_config") or {}
    form = str(told.get("format") or "")
    return form if form.startswith("%") else ""


def _cell(value: Any, form: str) -> str:
    if pd.isna(value):
        return ""
    if isinstance(value, dt.date):
        return wording.day(value)
    if form:
        return form % value
    return wording.number(value) if isinstance(value, (int, float)) else label(value, 300)

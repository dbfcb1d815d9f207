"""Cost indexes on record: those that ship, those imported with their release, the values of one, and taking one out."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from bidlens import quarters, wording
from bidlens.dashboard import blocks, cache
from bidlens.dashboard.filter_bar import index_title
from bidlens.dashboard.imports_part import take_back, taken_back, what_would_go
from bidlens.dashboard.words import esc, label
from bidlens.reference import NO_INDEX, SHIPPED_INDEXES, CostIndex

_ADJUSTED = {True: "seasonally adjusted", False: "not seasonally adjusted", None: "not stated"}


def show() -> None:
    """The list, then one index with its values."""
    names = [name for name in cache.table("index_names") if name != NO_INDEX]
    imported: pd.DataFrame = cache.table("index_series")
    blocks.section("Cost indexes", "Which one restates prices is chosen on each page under “Change what is compared”.")
    taken_back()
    listed(names, imported)
    taking_out(imported)
    chosen = st.selectbox("Values of", names, format_func=index_title, key="index_shown", width=460)
    with blocks.stops_shown():
        one(cache.index(chosen))
    blocks.note(
        "Another index comes in as a CSV with the columns quarter and value, or month and value.",
        "Import it under Imports. Each release is kept beside the earlier ones; none is mixed with another.",
    )


def listed(names: list[str], imported: pd.DataFrame) -> None:
    """Every index that can be asked for, with release, span and file."""
    heads = (("Index", ""), ("Asked for as", "nowrap"), ("Release", "nowrap"), ("Runs", "nowrap"), ("Adjusted", ""),
             ("From", ""))  # fmt: skip
    blocks.table([blocks.Column(*head) for head in heads], [_row(name, imported) for name in names])


def _row(name: str, imported: pd.DataFrame) -> list[object]:
    index = cache.index(name)
    own = imported[(imported["series"] + " " + imported["release"]) == name]
    file = f"{own['source_file'].iloc[0]}, import {own['batch_id'].iloc[0]}" if len(own) else "comes with bidlens"
    usual = " (used unless another is chosen)" if name == next(iter(SHIPPED_INDEXES)) else ""
    return [f"{index.name}{usual}", name, index.release, _runs(index), _ADJUSTED[index.seasonally_adjusted], file]


def _runs(index: CostIndex) -> str:
    return f"{quarters.shown(index.first)} to {quarters.shown(index.last_published)}"


def taking_out(imported: pd.DataFrame) -> None:
    """Take an imported index out of the record, with the import it came by."""
    if imported.empty:
        return
    rows = {int(row["batch_id"]): row for row in imported.to_dict("records")}
    with st.container(horizontal=True, vertical_alignment="bottom", key="index_row"):
        batch = st.selectbox(
            "Take an imported index out", list(rows), index=None, key="index_out", width=460, placeholder="Choose one",
            format_func=lambda number: _named(rows[number]) if number in rows else str(number),
        )  # fmt: skip
        if batch is None:
            return
        with st.popover("Take it out"):
            st.html(what_would_go(batch, str(rows[batch]["source_file"])))
            if st.button("Yes, take it out", key="index_out_yes"):
                take_back(batch, str(rows[batch]["source_file"]))


def _named(row: dict[Any, Any]) -> str:
    return label(f"{row['series']} {row['release']}, import {row['batch_id']}", 80)


def one(index: CostIndex) -> None:
    """One index: where it is from, and its values, latest first."""
    st.html(f'<p class="bl-lead">{esc(index.title)}. Source: {esc(index.source or "the imported file")}.</p>')
    frame = pd.DataFrame({"Quarter": [quarters.shown(one) for one in index.quarters], "Value": index.values})
    year_ago = frame["Value"] / frame["Value"].shift(4) - 1
    frame["On a year before"] = [
        wording.percent(one, 1) if pd.notna(one) else "not given: first year" for one in year_ago
    ]
    st.dataframe(
        frame.iloc[::-1], hide_index=True, key="index_table", height=blocks.list_height(len(frame)), width=520,
        column_config={
            "Value": st.column_config.NumberColumn(format="%.4f"),
            "On a year before": st.column_config.Column(alignment="right"),
        },
    )  # fmt: skip

"""The program list on the page: typed in, changed, and added to from the inventory."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from bidlens.dashboard import blocks, cache
from bidlens.dashboard.words import known, label, plain
from bidlens.program import FIXED_COSTS
from bidlens.superstructure import ALTERNATIVES, all_types, joined

_GEOMETRY = ("length_ft", "width_ft", "spans", "skew_deg")
OTHER = "or_type"
COLUMNS = ("structure_id", "priority", "superstructure", OTHER, *_GEOMETRY, "letting_date", *FIXED_COSTS)
#: Rows of the list seen at once, the head and the row to type in among them.
MOST_ROWS_SEEN = 18
_BASE, _VERSION = "program list shown", "program list version"


def starting_list(on_record: pd.DataFrame) -> pd.DataFrame:
    """The list to edit: the program imported last, or one empty row."""
    frame = on_record.reindex(columns=[name for name in COLUMNS if name != OTHER])
    frame = frame if len(frame) else pd.DataFrame([dict.fromkeys(frame.columns)], columns=frame.columns)
    numbers = {name: pd.to_numeric(frame[name]).astype("float64") for name in ("priority", *_GEOMETRY, *FIXED_COSTS)}
    numbers |= {name: numbers[name].fillna(0.0) for name in FIXED_COSTS}
    parted = frame["superstructure"].astype("str").fillna("").str.partition(ALTERNATIVES)
    frame = frame.assign(**numbers, letting_date=pd.to_datetime(frame["letting_date"]))
    frame["structure_id"] = frame["structure_id"].astype("str")
    frame["superstructure"] = parted[0].str.strip()
    frame[OTHER] = parted[2].str.strip().fillna("")
    return frame[list(COLUMNS)]


def edited_list() -> pd.DataFrame:
    """The list in a table to type in; rows without a structure number are not yet part of it. Nothing is stored."""
    frame = st.session_state.get(_BASE)
    frame = starting_list(cache.table("program_bridges")) if frame is None else frame
    edited = st.data_editor(
        frame, num_rows="dynamic", hide_index=True, column_config=_columns(frame), width="stretch",
        height=35 * min(len(frame) + 2, MOST_ROWS_SEEN) + 2,
        key=f"program_list_{st.session_state.get(_VERSION, 0)}",
    )  # fmt: skip
    bridges = edited[edited["structure_id"].map(known)].reset_index(drop=True)
    _pick(edited, bridges)
    others = bridges[OTHER].fillna("")
    both = [
        joined([str(kind)] + [other.strip() for other in str(more).split(ALTERNATIVES) if other.strip()])
        if known(kind) else pd.NA for kind, more in zip(bridges["superstructure"], others, strict=True)
    ]  # fmt: skip
    return bridges.assign(superstructure=pd.Series(both, dtype="str")).drop(columns=OTHER)


def _columns(frame: pd.DataFrame) -> dict[str, Any]:
    number = st.column_config.NumberColumn
    kinds = [kind.name for kind in all_types()]
    kinds += sorted({label(kind) for kind in frame["superstructure"].dropna()} - set(kinds))
    return {
        "structure_id": st.column_config.TextColumn("Bridge", width=78),
        "priority": number("Order", format="%d", min_value=1, step=1, width=70),
        "superstructure": st.column_config.SelectboxColumn("Planned type", options=kinds, width=126),
        OTHER: st.column_config.TextColumn("Or type", help="Other types, parted by |", width=78),
        "length_ft": number("Length, ft", format="%.1f", width=90),
        "width_ft": number("Width, ft", format="%.2f", width=86),
        "spans": number("Spans", format="%d", min_value=1, step=1, width=72),
        "skew_deg": number("Skew, °", format="%.0f", width=78),
        "letting_date": st.column_config.DateColumn("Letting", format="D MMM YYYY", width=90),
        **{
            name: number(words_.capitalize(), help="Dollars", format="localized", width=52 + 5 * len(words_))
            for name, words_ in FIXED_COSTS.items()
        },
    }


def _pick(edited: pd.DataFrame, bridges: pd.DataFrame) -> None:
    """Bridges of the inventory, the oldest first, by age and type; those marked are added at the end of the list."""
    with st.expander("Pick bridges from the inventory"):
        inventory = cache.table("structures").drop_duplicates("structure_id", keep="last")
        inventory = inventory[~inventory["structure_id"].isin(bridges["structure_id"])]
        if inventory.empty:
            blocks.note(
                "No structure list is on record, or all of it is on the list.", "Import one on the page Records."
            )
            return
        now = int(cache.counts()["last_letting"].year) + 1
        shown = inventory.assign(age=now - pd.to_numeric(inventory["year_built"]).astype("float64"))
        left, right = st.columns(2, gap="medium")
        with left:
            oldest = int(shown["age"].max()) if shown["age"].notna().any() else 0
            age = st.number_input(
                "Age in years, at least", 0, max(oldest, 1), min(60, max(oldest, 1)), 5, key="pick_age"
            )
        with right:
            kinds = sorted(shown["superstructure"].dropna().unique())
            some = st.multiselect("Present types, all if none is chosen", kinds, format_func=label, key="pick_types")
        shown = shown[(shown["age"] >= age) & (shown["superstructure"].isin(some) if some else True)]
        shown = shown.sort_values(["age", "structure_id"], ascending=[False, True]).reset_index(drop=True)
        table = shown[["structure_id", "name", "year_built", "age", "superstructure", "length_ft", "width_ft", "spans"]]
        version = st.session_state.get(_VERSION, 0)
        marked = st.dataframe(
            table, hide_index=True, on_select="rerun", selection_mode="multi-row", key=f"pick_rows_{version}",
            height=blocks.list_height(len(table)), column_config=_inventory_columns(),
        )  # fmt: skip
        rows = list(marked["selection"]["rows"])
        text = (
            f"Add {blocks.counted(len(rows), 'bridge')} to the list" if rows else "Mark rows at their left to add them"
        )
        st.button(
            plain(text),
            key="pick_add",
            disabled=not rows,
            on_click=_add,
            args=(edited, shown.iloc[rows]),
            type="primary",
        )


def _inventory_columns() -> dict[str, Any]:
    number = st.column_config.NumberColumn
    return {
        "structure_id": st.column_config.TextColumn("Bridge", width=80),
        "name": st.column_config.TextColumn("Name", width=330),
        "year_built": number("Built", format="%d", width=70),
        "age": number("Age", format="%d", width=60),
        "superstructure": st.column_config.TextColumn("Present type", width=170),
        "length_ft": number("Length, ft", format="%.1f", width=96),
        "width_ft": number("Width, ft", format="%.1f", width=84),
        "spans": number("Spans", format="%d", width=76),
    }


def _add(edited: pd.DataFrame, picked: pd.DataFrame) -> None:
    st.session_state[_BASE] = with_picked(edited, picked)
    st.session_state[_VERSION] = st.session_state.get(_VERSION, 0) + 1


def with_picked(edited: pd.DataFrame, picked: pd.DataFrame) -> pd.DataFrame:
    """The list with bridges of the inventory at its end: the present type as planned, the size left to the rule."""
    kept = edited[edited["structure_id"].map(known)]
    last = int(kept["priority"].max()) if kept["priority"].notna().any() else 0
    new = picked[["structure_id", "superstructure"]].reindex(columns=list(COLUMNS))
    new = new.assign(priority=[float(last + place) for place in range(1, len(new) + 1)])
    new = new.assign(**{OTHER: ""}, **dict.fromkeys(FIXED_COSTS, 0.0))
    return pd.concat([kept, new.astype(kept.dtypes.to_dict())], ignore_index=True)

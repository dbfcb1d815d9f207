"""The numbers that ask for a second look, each with its source, editable and kept with the record."""

from __future__ import annotations

import streamlit as st

from bidlens import workflow
from bidlens.dashboard import blocks, cache
from bidlens.dashboard.words import plain
from bidlens.letting import Trigger, Triggers
from bidlens.letting.triggers import is_share

_LABELS = {
    "share_of_estimate": "Percent of the estimate",
    "least_usd": "Dollars at least",
    "least_bids": "Bids at least",
    "most_of_estimate": "Low at most, percent of the estimate",
    "most_of_quantity": "Quantity change, percent",
    "highly_above": "Sum of squared shares above",
}
_SEEN = {"source": " · read in its source", "own choice": "", "memory": " · unverified"}


def show(triggers: Triggers) -> None:
    """A form with a row for each trigger; kept with the record once sent."""
    lead = "Kept with this record and shown in its reports; what is from memory is off until you turn it on."
    blocks.section("Numbers that ask for a second look", lead)
    with st.form("triggers", border=False):
        asked = {one.name: _row(one) for one in triggers.values()}
        with st.container(horizontal=True, gap="small"):
            keep = st.form_submit_button("Keep these numbers")
            shipped = st.form_submit_button("Back to those that ship")
    if keep or shipped:
        with blocks.stops_shown():
            workflow.keep_triggers(cache.database(), asked if keep else {})
            st.rerun()


def _row(one: Trigger) -> dict[str, bool | float]:
    said: dict[str, bool | float] = {}
    numbers = {key: value for key, value in one.values.items() if isinstance(value, int | float)}
    title, *columns = st.columns([2.4, 1, 1], gap="medium", vertical_alignment="center")
    with title:
        said["on"] = st.checkbox(plain(one.title, 160), one.on, key=f"trigger_{one.name}_on")
        st.caption(plain(f"{one.source}{_SEEN[one.seen]}", 300))
    for column, (key, value) in zip(columns, numbers.items(), strict=False):
        shown = value * 100 if is_share(key) else value
        whole = not is_share(key)
        asked = column.number_input(
            _LABELS.get(key, key), 0 if whole else 0.0, None, int(shown) if whole else round(float(shown), 4),
            1 if whole else 1.0, format="%d" if whole else "%.4g", key=f"trigger_{one.name}_{key}",
        )  # fmt: skip
        said[key] = round(asked / 100, 6) if is_share(key) else asked
    return said

"""What is compared, kept in the URL so that a view can be sent to a colleague."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd
import streamlit as st

from bidlens import quarters
from bidlens.dashboard.words import label
from bidlens.errors import BadValue
from bidlens.normalizer import load_bases
from bidlens.reference import CostIndex
from bidlens.workflow import DEFAULT_BASIS

QUARTERS_BACK = 60


@dataclass(frozen=True, slots=True)
class Filters:
    """Basis, dollars of which quarter, and for the history the types and years shown (None: all)."""

    basis: str = DEFAULT_BASIS
    dollars_of: str | None = None
    types: tuple[str, ...] = ()
    first_year: int | None = None
    last_year: int | None = None

    @classmethod
    def from_query(cls, query: Mapping[str, str]) -> Filters:
        """Read a URL's query. Raises BadValue for a basis, quarter or year that cannot be one."""
        basis = query.get("basis", DEFAULT_BASIS)
        if basis not in load_bases():
            raise BadValue(f"there is no cost basis “{basis}”", do=f"Use one of: {', '.join(load_bases())}.")
        quarter = query.get("dollars_of")
        types = tuple(kind for kind in query.get("types", "").split("~") if kind)
        first, _, last = query.get("years", "").partition("-")
        return cls(basis, quarters.parse_quarter(quarter) if quarter else None, types, _year(first), _year(last))


def _year(text: str) -> int | None:
    if not text:
        return None
    if not (text.isascii() and text.isdigit() and len(text) == 4):
        raise BadValue(f"cannot read “{text}” as a year", do="Write it with four digits, such as 2019.")
    return int(text)


def basis_title(basis: str) -> str:
    return load_bases()[basis].title


def set_query(name: str, value: str | None) -> None:
    """Put a value into the URL, or take it out."""
    if value:
        st.query_params[name] = value
    elif name in st.query_params:
        del st.query_params[name]


def compare_widgets(filters: Filters, index: CostIndex) -> None:
    """Basis and dollars-of, written to the URL when changed."""
    st.session_state["basis"] = filters.basis
    st.selectbox(
        "What the dollars contain",
        list(load_bases()),
        format_func=basis_title,
        key="basis",
        on_change=_changed,
        args=("basis", DEFAULT_BASIS),
    )
    choices = list(reversed(index.quarters[-QUARTERS_BACK:]))
    chosen = filters.dollars_of or index.last_published
    if chosen not in choices:
        choices.append(chosen)
    st.session_state["dollars_of"] = chosen
    st.selectbox(
        "Dollars of",
        choices,
        format_func=quarters.shown,
        key="dollars_of",
        on_change=_changed,
        args=("dollars_of", index.last_published),
    )


def _changed(name: str, default: str) -> None:
    value = st.session_state[name]
    set_query(name, None if value == default else value)


def history_widgets(filters: Filters, frame: pd.DataFrame) -> None:
    """Types and years, written to the URL when changed. frame : the history before types and years are chosen."""
    if frame.empty:
        return
    kinds = frame["superstructure"].value_counts().index.tolist()
    st.session_state["types"] = [kind for kind in filters.types if kind in kinds]
    st.multiselect(
        "Types, all if none is chosen",
        kinds,
        format_func=label,
        key="types",
        on_change=lambda: set_query("types", "~".join(st.session_state["types"])),
    )
    year = frame["letting_date"].dt.year
    first, last = int(year.min()), int(year.max())
    if first == last:
        return
    low, high = filters.first_year or first, filters.last_year or last
    st.session_state["years"] = (min(max(low, first), last), max(min(high, last), first))
    st.slider("Lettings of the years", first, last, key="years", on_change=lambda: _years_changed(first, last))


def _years_changed(first: int, last: int) -> None:
    low, high = st.session_state["years"]
    set_query("years", None if (low, high) == (first, last) else f"{low}-{high}")

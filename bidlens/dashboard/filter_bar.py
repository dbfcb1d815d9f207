"""The filters as widgets: one popover, the count of structures they leave, and the line that says what is shown."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import pandas as pd
import streamlit as st

from bidlens import quarters
from bidlens.dashboard import blocks, cache
from bidlens.dashboard.filters import (
    COLUMN,
    NARROWING,
    SHARED,
    Filters,
    Limits,
    agencies_of,
    basis_title,
    reset,
    set_queries,
    set_query,
)
from bidlens.dashboard.words import esc, label
from bidlens.errors import BidlensError
from bidlens.normalizer import load_bases
from bidlens.reference import NO_INDEX, CostIndex
from bidlens.workflow import DEFAULT_BASIS

QUARTERS_BACK = 60
#: Pages whose pictures and lists show chosen structures only; all others take the whole record.
NARROWED_PAGES = ("Proposal check", "Unit cost history")
#: Sliders move in steps of these; their ends lie on a step.
_STEP = {"span": 5, "area": 100, "bidders": 1}
_TITLE = {"span": "Longest span, ft", "area": "Deck area, sf", "bidders": "Responsive bidders"}


def kept(filters: Filters, frame: pd.DataFrame) -> pd.DataFrame:
    """The rows of a history that the filters leave."""
    return filters.keep(frame, cache.table("lettings")) if filters.narrowed else frame


def popover(filters: Filters, index: CostIndex, frame: pd.DataFrame | None = None, *, not_used: str = "") -> None:
    """“Change what is compared”: the yardstick and, where a history is given, which of its structures are shown.

    frame : the history before anything is left out. not_used : said where filters in the URL do not apply to a page.
    """
    narrows = frame is not None and not frame.empty
    with st.popover("Change what is compared"), st.container(key="filter_panel" if narrows else "yardstick_panel"):
        left, right = st.columns([1, 1.1], gap="medium") if narrows else (st.container(), None)
        with left:
            _head("Every number")
            yardstick(filters, index)
            if not_used:
                st.html(f'<p class="bl-lead">{esc(not_used)}</p>')
            st.button("Back to the usual view", on_click=reset, key="filters_reset", disabled=not _changed())
        if right is not None and frame is not None:
            with right:
                _head(f"Structures shown: {len(kept(filters, frame))} of {len(frame)}")
                narrowing(filters, frame)


def _changed() -> bool:
    return any(name in st.query_params for name in SHARED)


def way_back() -> None:
    """Under an error that stopped a page: out of the filters that may have caused it, which would else go along."""
    if _changed():
        st.button("Back to the usual view", on_click=reset, key="stopped_reset")


def _head(text: str) -> None:
    st.html(f'<p class="bl-panel-head">{esc(text)}</p>')


def yardstick(filters: Filters, index: CostIndex) -> None:
    """Basis, dollars-of and cost index, written to the URL when changed."""
    _choice("basis", "What the dollars contain", list(load_bases()), filters.basis, DEFAULT_BASIS, basis_title)
    if not index.is_none:
        last = index.last_published
        choices = list(reversed([one for one in index.quarters if one <= last][-QUARTERS_BACK:]))
        chosen = filters.dollars_of or last
        choices += [] if chosen in choices else [chosen]
        _choice("dollars_of", "Dollars of", choices, chosen, last, quarters.shown)
    names: list[str] = cache.table("index_names")
    chosen = filters.index or names[0]
    choices = names if chosen in names else [*names, chosen]
    # Quarters of one index mean nothing to another, and without an index nothing is restated.
    _choice("index", "Cost index", choices, chosen, names[0], index_title, takes_out=("dollars_of",))


def index_title(name: str) -> str:
    """How an index is called in a list."""
    return "none: prices as bid" if name == NO_INDEX else label(cache.index(name).title if _is_known(name) else name)


def _is_known(name: str) -> bool:
    return name in cache.table("index_names")


def _choice(
    name: str,
    title: str,
    choices: Sequence[str],
    chosen: str,
    usual: str,
    shown: Callable[[str], str],
    takes_out: Sequence[str] = (),
) -> None:
    """A select box whose choice stands in the URL unless it is the usual one."""

    def changed() -> None:
        value = st.session_state[name]
        set_queries({name: None if value == usual else value, **dict.fromkeys(takes_out)})

    st.session_state[name] = chosen
    st.selectbox(title, choices, format_func=shown, key=name, on_change=changed)


def narrowing(filters: Filters, frame: pd.DataFrame) -> None:
    """Types, years, span, deck area, bidders and agency, written to the URL when changed."""
    _several("types", "Types, all if none is chosen", frame["superstructure"], filters.types)
    _slider("years", "Let in the years", frame["letting_date"].dt.year, filters.years, 1, "%d")
    beside = st.columns(2, gap="medium")
    for place, (name, column) in enumerate(COLUMN.items()):
        with beside[place % 2]:
            _slider(name, _TITLE[name], frame[column], getattr(filters, name), _STEP[name])
    _several("agency", "Let by, all if none is chosen", agencies_of(frame, cache.table("lettings")), filters.agencies)


def _several(name: str, title: str, values: pd.Series, chosen: Sequence[str]) -> None:
    choices = values.dropna().value_counts().index.tolist()
    if len(choices) < 2 and not chosen:
        return
    st.session_state[name] = [one for one in chosen if one in choices]
    st.multiselect(
        title,
        choices,
        format_func=lambda one: label(one, 60),
        key=name,
        on_change=lambda: set_query(name, "~".join(st.session_state[name])),
    )


def _slider(name: str, title: str, values: pd.Series, limits: Limits, step: int, form: str = "localized") -> None:
    """A slider of two ends; an end left at the edge of what is on record stays open."""
    known = values.dropna()
    if known.empty or known.min() == known.max():
        return
    first, last = step * math.floor(known.min() / step), step * math.ceil(known.max() / step)

    def changed() -> None:
        low, high = st.session_state[name]
        chosen = Limits(None if low == first else low, None if high == last else high)
        set_query(name, chosen.written())

    low, high = (
        int(min(max(end if end is not None else edge, first), last))
        for end, edge in ((limits.low, first), (limits.high, last))
    )
    st.session_state[name] = (low, max(low, high))
    st.slider(title, first, last, step=step, format=form, key=name, on_change=changed)


def line(filters: Filters, frame: pd.DataFrame, shown: pd.DataFrame, learnt: str) -> None:
    """Under the title block, once a view is narrowed: what is shown, how many, what rests on all, and the way out.

    frame : the whole history. shown : the rows left. learnt : what on this page rests on the whole history, with “{n}”.
    """
    if not filters.narrowed:
        return
    with st.container(horizontal=True, gap="small", vertical_alignment="center", key="filter_line"):
        st.html(
            f'<p class="bl-filters"><b>{len(shown)} of {blocks.counted(len(frame), "structure")} shown:</b> '
            f"{esc(' · '.join(filters.in_words()), 600)}. {esc(learnt.format(n=len(frame)))}</p>",
            width="content",
        )
        st.button("Show all", on_click=reset, args=(NARROWING,), key="show_all", type="tertiary")


def not_applied(page: str) -> None:
    """Over a page that takes the whole record, once the address narrows a view: where those filters apply."""
    if page in NARROWED_PAGES:
        return
    try:
        filters = Filters.from_query(st.query_params)
    except BidlensError:
        return  # the page itself says what is wrong with its address
    if filters.narrowed:
        said = esc(" · ".join(filters.in_words()), 600)
        where = esc(" and ".join(NARROWED_PAGES))
        st.html(f'<p class="bl-filters">{said}: chosen on {where}, and apply there. This page takes all on record.</p>')

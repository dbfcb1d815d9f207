"""How did our lettings go? One year: competition, estimates, prices that moved, what is worth a look."""

from __future__ import annotations

import streamlit as st

from bidlens.dashboard import blocks, cache, comparison_view, empty, review_view, triggers_part
from bidlens.dashboard.filter_bar import index_title
from bidlens.dashboard.filters import Filters, basis_title, set_query
from bidlens.dashboard.words import plain
from bidlens.letting import LettingReview, words
from bidlens.letting.years import Years, parse_years
from bidlens.normalizer import load_bases
from bidlens.report import review_text
from bidlens.workflow import DEFAULT_BASIS

#: Flags shown on the page, those of each kind with most dollars first.
FLAGS_SHOWN = 60


def page() -> None:
    """The whole page."""
    if cache.is_empty() or cache.table("lettings").empty:
        empty.no_bid_tabs("How did our lettings go?")
    elif wanted := comparison_view.asked():
        comparison_view.show(*wanted)
    else:
        years = sorted(cache.table("lettings")["letting_date"].dt.year.unique().tolist(), reverse=True)
        filters = Filters.from_query(st.query_params)
        shown(cache.review(_asked(years), filters.basis, filters.index), years)
    blocks.caution(review_text.CAUTION, blocks.FITNESS)


def _asked(years: list[int]) -> Years:
    """The year or years the URL asks for, else the last on record."""
    return parse_years(st.query_params.get("year", str(years[0])))


def shown(review: LettingReview, years: list[int]) -> None:
    """Answer, title block, pictures, tables."""
    question = f"How did our {review.period} lettings go?"
    blocks.opening(question, review_view.answer(review), words.support(review))
    blocks.title_block(words.title_cells(review))
    with st.container(horizontal=True, gap="small", key="compare_row"):
        with st.popover("Change what is compared"):
            _widgets(review, years)
        review_view.download_buttons(review, cache.database())
    if not review.competition.contracts:
        blocks.findings(review.findings)
        return
    review_view.bids_picture(review)
    left, right = st.columns(2, gap="medium")
    with left:
        blocks.section("Prices that moved", review_text.moved_lead(review))
        review_view.moved_picture(review)
    with right:
        blocks.section("Price or mix?", review_view.change_lead(review))
        review_view.change_picture(review)
    blocks.section("Worth a look before the next letting", words.base_rate(review))
    if review.flags:
        blocks.findings([flag.as_finding() for flag in review.flags[:FLAGS_SHOWN]])
        if len(review.flags) > FLAGS_SHOWN:
            blocks.note(f"{len(review.flags) - FLAGS_SHOWN} more stand in the tables to download.")
    else:
        blocks.note("Nothing was met that the triggers in use look for.")
    _tables(review)
    blocks.findings(review.findings)


def _widgets(review: LettingReview, years: list[int]) -> None:
    """Years from and to, and the basis, written to the URL when changed."""
    choices = sorted({*years, *review.years}, reverse=True)
    for column, end, title, at in zip(st.columns(2), ("from", "to"), ("First year", "Last year"), (0, 1), strict=True):
        st.session_state[f"review_{end}"] = review.years[at]
        column.selectbox(title, choices, key=f"review_{end}", on_change=_years_changed, args=(end, years[0]))
    st.session_state["review_basis"] = review.basis
    st.selectbox("What the $/sf contains", list(load_bases()), format_func=basis_title, key="review_basis",
                 on_change=lambda: _changed("basis", "review_basis", DEFAULT_BASIS))  # fmt: skip
    names: list[str] = cache.table("index_names")
    st.session_state["review_index"] = st.query_params.get("index") or names[0]
    st.selectbox("Cost index", list(dict.fromkeys([*names, st.session_state["review_index"]])), format_func=index_title,
                 key="review_index", on_change=lambda: _changed("index", "review_index", names[0]))  # fmt: skip


def _years_changed(end: str, last: int) -> None:
    """The end that was changed holds: the other one follows where they would cross."""
    first, to = st.session_state["review_from"], st.session_state["review_to"]
    first, to = (min(first, to), to) if end == "to" else (first, max(first, to))
    set_query("year", None if first == to == last else str(to) if first == to else f"{first}-{to}")


def _changed(name: str, key: str, default: str) -> None:
    value = str(st.session_state[key])
    set_query(name, None if value == default else value)


def _tables(review: LettingReview) -> None:
    """The contract list open, the other tables of the report behind a line each."""
    first, *others = review_text.sections(review)
    title, lead, section = first
    blocks.section(title, f"{lead.rstrip('.')}. A contract’s number opens its bids side by side.")
    comparison_view.picker(review.contracts)
    review_view.table(section, lambda page: comparison_view.links(review.contracts.iloc[page]))
    for title, lead, section in others:
        with st.expander(plain(title)):
            blocks.section(title, lead)
            review_view.table(section)
    with st.expander("Fourteen questions of a bid review"):
        review_view.table(review_text.checklist_table(review))
    with st.expander("Numbers that ask for a second look"):
        triggers_part.show(review.triggers)


page()

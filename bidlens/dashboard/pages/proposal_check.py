"""Is this price usual? One supplier's offer against what the county has paid, like for like."""

from __future__ import annotations

import datetime as dt

import streamlit as st

from bidlens import wording
from bidlens.dashboard import (
    blocks,
    cache,
    check_view,
    downloads,
    empty,
    filter_bar,
    left_out,
    letters_part,
    offers,
    papers,
    side_view,
    words,
)
from bidlens.dashboard.filters import Filters
from bidlens.errors import BidlensError
from bidlens.proposal import Proposal, questions
from bidlens.workflow import PricedHistory

QUESTION = "Is this price usual?"


def page() -> None:
    """The whole page: the form, the first steps of an empty record, or one checked offer."""
    if cache.is_empty():
        empty.no_bid_tabs(QUESTION)
    elif offers.form_is_open():
        blocks.opening(QUESTION, words.esc("Type in what the letter offers."))
        offers.form()
    else:
        offer = offers.chosen()
        if offer is None:
            blocks.opening(QUESTION, words.esc("There is no letter yet to compare with what was paid."))
            offers.none_yet()
        else:
            checked(offer)
    blocks.caution()


def checked(offer: Proposal) -> None:
    """One offer made like for like and held against the history; where that stops, why, and the ways out."""
    filters = Filters.from_query(st.query_params)
    db = cache.database()
    today = dt.datetime.now(dt.UTC).astimezone().date()
    try:
        whole = cache.price_history(filters.basis, filters.dollars_of, filters.index)
        out = left_out.held(whole.frame)
        found = cache.checked(offer, filters.basis, filters.dollars_of, filters.index, today, out)
    except BidlensError as error:
        blocks.opening(QUESTION, words.Html("<b>No answer</b> is given to what is asked here."))
        blocks.stopped(error)
        with st.container(horizontal=True, gap="small", key="compare_row"):
            filter_bar.popover(Filters.from_query({}), db.index())
            offers.chooser()
        return
    with blocks.stops_shown():
        shown(offer, found, whole, filters, today, out)


def shown(
    offer: Proposal,
    held: cache.Checked,
    whole: PricedHistory,
    filters: Filters,
    today: dt.date,
    out: dict[str, str],
) -> None:
    """Answer, title block, pictures, closest contracts, findings, papers. whole : with what was left out, `out`."""
    (check,), priced = held.found.checks, held.found.priced
    offered = wording.usd(check.like_for_like_per_sf) if words.known(check.like_for_like_per_sf) else None
    blocks.opening(QUESTION, words.answer(check.verdict.text, offered), check.verdict.support)
    check_view.title_block(check, cache.table("structures"))
    with st.container(horizontal=True, gap="small", key="compare_row"):
        filter_bar.popover(filters, priced.index, priced.frame)
        offers.chooser()
        downloads.check_buttons(check, cache.sources())
    drawn = filter_bar.kept(filters, priced.frame)
    filter_bar.line(filters, priced.frame, drawn, "The range and the closest contracts come from all {n}.")
    offers.source_note()
    check_view.strip(check, drawn)
    check_view.pictures(check, drawn, held.curve)
    check_view.comparables(check, linked=offers.is_on_record(offer))
    left_out.part(check, whole.frame)
    check_view.working(check, priced)
    blocks.section("Worth knowing")
    blocks.findings(one for one in check.findings if one.code != left_out.CODE)
    side_view.usual_line(check, questions(check), held.usual)
    side_view.show(offer, filters, today, out)
    if offers.is_on_record(offer):
        letters_part.show(check, whole, filters, today)
    papers.trail(whole, filters.basis)


page()

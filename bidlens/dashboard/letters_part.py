"""What became of a letter, what was paid, and the letters on record over time: the end of the Proposal check page."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

import streamlit as st

from bidlens import figures, offering, wording
from bidlens.dashboard import blocks, cache
from bidlens.dashboard.filters import Filters, address, set_query
from bidlens.dashboard.paging import rows_of_page
from bidlens.dashboard.words import Html, esc, label
from bidlens.errors import BidlensError
from bidlens.figures.letters import offers_over_time
from bidlens.proposal import Proposal, ProposalCheck
from bidlens.proposal.letter import Letter
from bidlens.proposal.outcome import Outcome, paid_beside_offer, status_words
from bidlens.proposal.over_time import same_supplier
from bidlens.report.letters import HOW, NOW, THEN, beside_words, paid_words
from bidlens.tables.decisions import OUTCOMES, WITH_CONTRACT
from bidlens.workflow import PricedHistory

_PROBLEM, _FILLED_FOR = "outcome problem", "outcome filled for"
_FIELDS = ("outcome_is", "outcome_on", "outcome_contract", "outcome_reason")
ROWS_SHOWN = 40


def show(check: ProposalCheck, priced: PricedHistory, filters: Filters, today: dt.date) -> None:
    """The letter's outcome with its form, and, when asked for, every letter on record over time.

    check : of a letter on record. priced : the history it is held against, with nothing left out.
    """
    outcome(check, priced, today)
    blocks.section(
        "Letters over time",
        "Each offer, like for like, against the middle the lettings before it would have led us to expect.",
    )
    st.session_state["letters"] = st.query_params.get("letters") == "all"
    st.toggle(
        "Show every letter on record",
        key="letters",
        on_change=lambda: set_query("letters", "all" if st.session_state["letters"] else None),
    )
    if st.session_state["letters"]:
        found = cache.letters(filters.basis, filters.dollars_of, filters.index)
        over_time(found, check.proposal, filters, today)


def outcome(check: ProposalCheck, priced: PricedHistory, today: dt.date) -> None:
    """What became of the letter, what was paid beside it, and the form that says so."""
    offer = check.proposal
    said = offering.outcomes_of(cache.table("proposal_outcomes")).get(offer.proposal_id)
    blocks.section("What became of this letter")
    if said is None:
        blocks.note(f"This letter is {status_words(None, offer.valid_until, today)}: no outcome is on record.")
    else:
        blocks.note(f"{said.words[:1].upper()}{said.words[1:]}, on {wording.day(said.on)}: {said.reason}")
        if said.contract_id is not None:
            blocks.note(paid_words(paid_beside_offer(check, said, priced.history)))
    if problem := st.session_state.pop(_PROBLEM, None):
        blocks.stopped(problem)
    with st.expander("Say what became of it" if said is None else "Change what became of it"):
        _form(offer.proposal_id, said, today)
        if said is not None:
            st.button(
                "Take it back: the letter is open", key="outcome_back", on_click=_take_back, args=(offer.proposal_id,)
            )


def _form(proposal_id: str, said: Outcome | None, today: dt.date) -> None:
    if st.session_state.get(_FILLED_FOR) != (proposal_id, said):  # another letter, or another outcome of it
        for name in _FIELDS:
            st.session_state.pop(name, None)
        st.session_state[_FILLED_FOR] = (proposal_id, said)
    lettings = cache.table("lettings").sort_values("letting_date", ascending=False)
    named = [f"{row.contract_id}, let {wording.day(row.letting_date)}" for row in lettings.itertuples()]
    keys = dict(zip(named, zip(lettings["contract_id"], lettings["letting_date"].dt.date, strict=True), strict=True))
    chosen = next((one for one, key in keys.items() if said and key == (said.contract_id, said.letting_date)), None)
    with st.form("outcome", border=False):
        first, second, third = st.columns([1, 1, 1.4])
        first.selectbox(
            "Outcome",
            list(OUTCOMES),
            index=list(OUTCOMES).index(said.outcome) if said else None,
            format_func=OUTCOMES.__getitem__,
            placeholder="Choose one",
            key="outcome_is",
        )
        second.date_input("Decided on", value=said.on if said else today, format="YYYY-MM-DD", key="outcome_on")
        third.selectbox(
            "Contract it became, or that was let instead",
            named,
            index=named.index(chosen) if chosen else None,
            format_func=lambda one: label(one, 80),
            placeholder="None yet",
            key="outcome_contract",
        )
        st.text_input("Why", value=said.reason if said else "", placeholder="board of 2 April", key="outcome_reason")
        st.form_submit_button("Keep the outcome", on_click=_keep, args=(proposal_id, keys))


def _keep(proposal_id: str, keys: dict[str, tuple[str, dt.date]]) -> None:
    chosen = st.session_state["outcome_is"] or ""
    contract, let = keys.get(st.session_state["outcome_contract"] or "", (None, None))
    if chosen not in WITH_CONTRACT:
        contract = let = None
    try:
        cache.database().record_outcome(
            proposal_id, chosen, st.session_state["outcome_reason"], st.session_state["outcome_on"], contract, let
        )
    except BidlensError as problem:
        st.session_state[_PROBLEM] = problem


def _take_back(proposal_id: str) -> None:
    try:
        cache.database().forget_outcome(proposal_id)
    except BidlensError as problem:
        st.session_state[_PROBLEM] = problem


def over_time(found: Sequence[Letter], offer: Proposal, filters: Filters, today: dt.date) -> None:
    """Every letter against what its own time, and all we know now, would have expected."""
    chart = offers_over_time(found, offer.supplier, offer.proposal_id, filters.basis, blocks.palette())
    own = [one for one in found if same_supplier(one.offer.supplier) == same_supplier(offer.supplier)]
    said = offering.words_of(own)
    st.plotly_chart(
        chart,
        theme=None,
        config=figures.CONFIG,
        key="letters_chart",
        alt=f"Letters over time. {said[0] if said else ''}",
    )
    for sentence in said:
        blocks.note(sentence)
    columns = [
        blocks.Column("Letter"),
        blocks.Column("Written", "nowrap"),
        blocks.Column("Type"),
        blocks.Column("Like for like, $/sf", "n"),
        blocks.Column(f"Against {THEN}", "n"),
        blocks.Column(f"Against {NOW}", "n"),
        blocks.Column("What became of it"),
    ]
    newest = sorted(found, key=lambda one: one.offer.date or dt.date.min, reverse=True)
    newest.sort(key=lambda one: one not in own)
    shown = newest[rows_of_page(len(newest), ROWS_SHOWN, "letters_page")]
    blocks.table(columns, [_row(one, today) for one in shown])
    st.caption(esc(HOW))


def _row(one: Letter, today: dt.date) -> list[object]:
    offer = one.offer
    link = address(proposal=offer.proposal_id, contract=None)
    name = Html(f'<a href="{esc(link, 2000)}" target="_self">{esc(label(offer.supplier, 60))}</a>')
    price = "not given" if one.check is None else wording.number(one.check.like_for_like_per_sf)
    return [
        name,
        "not given" if offer.date is None else wording.day(offer.date),
        label(offer.superstructure, 40),
        price,
        beside_words(one.then),
        beside_words(one.now),
        one.status(today),
    ]

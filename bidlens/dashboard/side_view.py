"""Several offers side by side on the Proposal check page, and what each costs a year. The choice is kept in the URL."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence

import streamlit as st

from bidlens import figures
from bidlens.dashboard import blocks, cache, downloads
from bidlens.dashboard.filters import Filters, set_query
from bidlens.dashboard.words import label
from bidlens.errors import BadValue
from bidlens.figures.beside import annual_cost, offers_beside
from bidlens.proposal import DEFAULT_LIFE_YEARS, DEFAULT_RATE, LIFE_CAUTION, Proposal, ProposalCheck
from bidlens.proposal.side_by_side import MOST
from bidlens.report.comparison import HEAD, life_rows, offered_row, said_of, steps_beside
from bidlens.wording import usd


def usual_line(check: ProposalCheck, questions: tuple[str, ...], usual: tuple[float, float] | None) -> None:
    """What this letter could quote and read as usual, and what to ask."""
    if usual is None and not questions:
        return
    blocks.section("What to take to the supplier")
    if usual is not None:
        blocks.note(
            f"With this scope, a quoted price of {usd(usual[0])} to {usd(usual[1])} would read as usual; the letter "
            f"says {usd(check.quoted_usd)}."
        )
    if questions:
        blocks.table([blocks.Column("Worth asking")], [[question] for question in questions])


def show(offer: Proposal, filters: Filters, today: dt.date, out: Mapping[str, str]) -> None:
    """The picker, and the comparison once other offers are picked. out : contracts left out, with the reasons."""
    blocks.section("Side by side", "Pick other letters on record to set beside this one, like for like.")
    others = {one.proposal_id: one for one in cache.proposals() if one.proposal_id != offer.proposal_id}
    if not others:
        blocks.note("No other letter is on record.")
        return
    wanted = [one for one in st.query_params.get("beside", "").split("~") if one in others][: MOST - 1]
    st.session_state["beside"] = wanted
    st.multiselect(
        "Set beside this letter",
        list(others),
        format_func=lambda one: label(f"{others[one].supplier}: {others[one].superstructure}", 80),
        key="beside",
        max_selections=MOST - 1,
        placeholder="Choose letters",
        on_change=lambda: set_query("beside", "~".join(st.session_state["beside"])),
    )
    if not wanted:
        return
    with blocks.stops_shown():
        _compared([offer, *(others[one] for one in wanted)], filters, today, out)


def _compared(offers: list[Proposal], filters: Filters, today: dt.date, out: Mapping[str, str]) -> None:
    rate, life_years = _assumptions()
    found = cache.beside(
        offers, filters.basis, filters.dollars_of, filters.index, today, out, rate=rate, life_years=life_years
    )
    if found.side is None or found.life is None:
        raise BadValue(f"{len(offers)} offers cannot be shown side by side", do=f"Pick up to {MOST}.")
    first = found.checks[0]
    left, right = st.columns([1.1, 1], gap="large")
    with left:
        chart = offers_beside(found.side.offers, first.basis, first.dollars_of, blocks.palette())
        st.plotly_chart(
            chart, theme=None, config=figures.CONFIG, key="beside_chart", alt="Offers in the ranges of their types"
        )
    with right:
        chart = annual_cost(found.life, blocks.palette())
        st.plotly_chart(chart, theme=None, config=figures.CONFIG, key="life_chart", alt="Cost a year against life")
    columns = [
        blocks.Column(title[:1].upper() + title[1:], "n" if place > 1 else "") for place, title in enumerate(HEAD)
    ]
    blocks.table(columns, [offered_row(one) for one in found.side.offers])
    blocks.table([blocks.Column("What stands between them")], [[sentence] for sentence in said_of(found.side)])
    offered = [blocks.Column(label(one.supplier, 40), "n") for one in found.side.offers]
    *parts, total = steps_beside(found.checks)
    blocks.table([blocks.Column("From each letter to a comparable price, $/sf"), *offered], parts, total=total)
    titles = ("Offer", "Type", "Like for like", "Life, years", "Cost a year per sf", "Level with the cheapest other at")
    blocks.table(_columns(titles), life_rows(found.life))
    blocks.note(LIFE_CAUTION)
    downloads.comparison_button(found, cache.sources())


def _columns(titles: Sequence[str]) -> list[blocks.Column]:
    """Two columns of words, the others numbers."""
    return [blocks.Column(title, "n" if place > 1 else "") for place, title in enumerate(titles)]


def _assumptions() -> tuple[float, float]:
    first, second, _ = st.columns([1, 1, 3])
    rate = first.number_input("Interest a year, %", 0.0, 25.0, 100 * DEFAULT_RATE, 0.5, key="rate")
    life = second.number_input("Service life, years, of all", 1.0, 500.0, DEFAULT_LIFE_YEARS, 5.0, key="life")
    return rate / 100, life

"""A proposal check on the page: title block, pictures, closest contracts. Drawn from one `ProposalCheck`."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from bidlens import figures, quarters, wording
from bidlens.dashboard import blocks, papers
from bidlens.dashboard.filters import address, basis_title, set_query
from bidlens.dashboard.words import Html, esc, known, label, or_not_given
from bidlens.figures.marks import key_of
from bidlens.figures.words import feet
from bidlens.lengths import shown_feet_inches
from bidlens.model import CostModel
from bidlens.proposal import SURE, ProposalCheck
from bidlens.workflow import PricedHistory

AGAINST = {"span": "span", "date": "letting date"}


def title_block(check: ProposalCheck, structures: pd.DataFrame) -> None:
    """Bridge, offer, deck area, basis, dollars, history, how sure."""
    blocks.title_block(
        {
            "Bridge": _bridge(check, structures),
            "Offered": _offered(check),
            "Deck area": f"{wording.number(check.deck_area_sf)} sf",
            "Basis": basis_title(check.basis),
            "Dollars of": quarters.shown(check.dollars_of),
            "History": f"{check.history.same_type} of this type, {check.history.contracts} in all",
            "How sure": f"{SURE[check.grade]} ({check.grade})",
        }
    )


def _bridge(check: ProposalCheck, structures: pd.DataFrame) -> str:
    number = check.proposal.structure
    if not number:
        return "not on the list"
    names = structures.loc[structures["structure_id"] == number, "name"].dropna()
    return f"{number}, {names.iloc[-1]}" if len(names) and known(names.iloc[-1]) else number


def _offered(check: ProposalCheck) -> str:
    parts = [check.proposal.superstructure]
    if known(check.span_ft):
        spans = check.proposal.spans or 1
        parts.append(f"{wording.count(spans, 'span')} of {feet(check.span_ft)}")
    if known(check.width_ft):
        parts.append(f"{shown_feet_inches(check.width_ft)} wide")
    return ", ".join(parts)


def pictures(check: ProposalCheck, history: pd.DataFrame, curve: pd.DataFrame | None) -> None:
    """The scatter beside the steps."""
    left, right = st.columns([1.1, 1], gap="large")
    with left:
        blocks.section("Against our past lettings", "Each mark is one structure let. Click a mark for its bid tab.")
        _against(check, history, curve)
    with right:
        blocks.section(
            "From the letter to a comparable price", "Work the letter leaves out is added at what we paid for it."
        )
        _chart(figures.like_for_like_steps(check, history, blocks.palette()), "steps", "Steps from the quoted price")


def strip(check: ProposalCheck, history: pd.DataFrame) -> None:
    """The place strip; nothing where the history is too thin to place an offer."""
    if check.expected is None or check.grade == "D":
        return
    _chart(
        figures.place_strip(check, history, blocks.palette()),
        "strip",
        f"Where the offer lies. {check.verdict.text}",
        clickable=True,
    )


def _against(check: ProposalCheck, history: pd.DataFrame, curve: pd.DataFrame | None) -> None:
    against = st.query_params.get("against", "span")
    st.session_state["against"] = against if against in AGAINST else "span"
    st.segmented_control(
        "Against",
        list(AGAINST),
        format_func=lambda one: AGAINST[one],
        key="against",
        required=True,
        label_visibility="collapsed",
        on_change=lambda: set_query("against", None if st.session_state["against"] == "span" else "date"),
    )
    picked, colors = papers.picked(history), blocks.palette()
    if st.session_state["against"] == "date":
        figure = figures.against_date(history, check, colors, picked)
    else:
        figure = figures.against_span(history, check, curve, colors, picked)
    _chart(figure, "scatter", f"Past prices. {check.verdict.text}", clickable=True)
    papers.pointer(history)


def _chart(figure: Any, key: str, alt: str, *, clickable: bool = False) -> None:
    """A figure in its own colors; the marks of a clickable one lead to their papers."""
    if not clickable:
        st.plotly_chart(figure, theme=None, config=figures.CONFIG, key=key, alt=alt)
        return
    st.plotly_chart(
        figure,
        theme=None,
        config=figures.CONFIG,
        key=key,
        alt=alt,
        on_select=lambda: papers.pick_from_chart(key),
        selection_mode="points",
    )


def working(check: ProposalCheck, priced: PricedHistory) -> None:
    """Show the working: the parts of the expected middle, every effect in words, rows set aside and rows that sway."""
    if not check.contributions or priced.model is None:
        return
    with st.expander("Show the working"):
        reference, *parts = check.contributions
        blocks.note(f"From {wording.usd(reference.per_sf)}/sf for {reference.what}; the ratios multiply to the middle.")
        columns = [blocks.Column("This bridge"), blocks.Column("Ratio", "n"), blocks.Column("$/sf so far", "n")]
        rows = [[one.what, f"× {wording.number(one.ratio, 3)}", wording.number(one.per_sf)] for one in parts]
        blocks.table(columns, rows)
        blocks.table([blocks.Column("What the record says of each effect")], [[one] for one in _sentences(priced)])
        named_rows(priced.model)


def _sentences(priced: PricedHistory) -> list[str]:
    return [] if priced.model is None else [str(said) for said in priced.model.in_words()["words"]]


def named_rows(model: CostModel) -> None:
    """Lettings given no weight, and lettings that sway the prices of a type, with their contracts."""
    aside, swaying = model.screened, model.influential
    columns = [blocks.Column(title) for title in ("Contract", "Let", "Type", "$/sf", "What of it")]
    said = [(row, f"given no weight: {_times(row['times_expected'])} what the rest leads to") for row in _rows(aside)]
    said += [
        (row, f"without it, {row['of_type']} would be expected {wording.percent(row['moves'])}")
        for row in _rows(swaying)
    ]
    if not said:
        blocks.note("No past letting was set aside, and none moves a type's price by more than 10% on its own.")
        return
    cells = [
        [label(row["contract_id"], 40), wording.month(row["letting_date"]), row["superstructure"],
         wording.number(row["unit_cost"]), words] for row, words in said
    ]  # fmt: skip
    blocks.table(columns, cells)


def _rows(frame: pd.DataFrame) -> list[dict[Any, Any]]:
    return frame.to_dict("records")


def _times(ratio: float) -> str:
    return f"{wording.number(ratio, 1)} times"


def comparables(check: ProposalCheck, *, linked: bool) -> None:
    """The closest past contracts, each brought to this bridge in the open: dollars, then span and size.

    linked : whether contract numbers lead to their papers by a link; by the picker they always do.
    """
    closest = check.comparables
    blocks.section(
        "Closest past contracts",
        "Picked for type first, then span and letting date. Each price is brought to this bridge in the open.",
    )
    if closest.empty:
        blocks.note("No past contract on this basis is close enough to list.")
        return
    geometry = f"To {feet(check.span_ft)}, " if known(check.span_ft) else "To "
    columns = [
        blocks.Column("Contract", "nowrap"),
        blocks.Column("Over"),
        blocks.Column("Let", "nowrap"),
        blocks.Column("Type"),
        blocks.Column("Span, ft", "n"),
        blocks.Column("Deck, sf", "n"),
        blocks.Column("Low bidder"),
        blocks.Column("Bids", "n"),
        blocks.Column("As bid, $/sf", "n"),
        blocks.Column(f"To dollars of {quarters.shown(check.dollars_of)}", "n"),
        blocks.Column(f"{geometry}{wording.number(check.deck_area_sf)} sf", "n"),
        blocks.Column("Comparable, $/sf", "n"),
        blocks.Column("This offer is", "n"),
    ]
    rows = [_comparable(row, check, linked) for row in closest.to_dict("records")]
    offer = Html(f'<b class="bl-flag">{wording.number(check.like_for_like_per_sf)}</b>')
    total = [f"This offer, {check.proposal.supplier}, like for like", *[""] * 10, offer, ""]
    blocks.table(columns, rows, total=total)


def _comparable(row: dict[Any, Any], check: ProposalCheck, linked: bool) -> list[object]:
    def number(value: Any) -> Html:
        return or_not_given(value, wording.number)

    return [
        _contract_cell(row, check, linked),
        or_not_given(row["name"], str),
        wording.month(row["letting_date"]),
        row["superstructure"],
        number(row["span_ft"]),
        number(row["deck_area_sf"]),
        or_not_given(row["low_bidder"], str),
        number(row["bidders"]),
        _as_bid(row),
        wording.signed(row["to_dollars"]),
        or_not_given(row["to_geometry"], wording.signed, "no span"),
        Html(f"<b>{number(row['comparable'])}</b>"),
        or_not_given(row["offer_ratio"], wording.percent),
    ]


def _as_bid(row: dict[Any, Any]) -> Html:
    """The price as bid, and below it what of it was said by hand."""
    price = or_not_given(row["unit_cost"], wording.number)
    return Html(f"{price}<br><small>{esc(row['by_hand'])}</small>") if row["by_hand"] else price


def _contract_cell(row: dict[Any, Any], check: ProposalCheck, linked: bool) -> object:
    shown = label(row["contract_id"], 40)
    if not linked:
        return shown
    key = key_of(row["contract_id"], row["letting_date"], row["structure_id"])
    link = address(proposal=check.proposal.proposal_id, contract=key)
    return Html(f'<a href="{esc(link, 2000)}" target="_self">{esc(shown)}</a>')

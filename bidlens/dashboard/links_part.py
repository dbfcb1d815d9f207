"""Contracts and bridges: contracts that no bridge is linked to, bridges their words name, and links made by hand."""

from __future__ import annotations

import datetime as dt
from functools import partial
from typing import Any

import pandas as pd
import streamlit as st

from bidlens import wording
from bidlens.dashboard import blocks, cache
from bidlens.dashboard.decision_rows import rows_with_button
from bidlens.dashboard.paging import rows_of_page
from bidlens.dashboard.words import esc, known, label
from bidlens.errors import BadValue
from bidlens.lengths import parse_length_ft
from bidlens.report import linked
from bidlens.workflow import NewBridge

ROWS_SHOWN = 20
_SAID, _PICKED = "link said", "link picked"
_SIZES = ("link_type", "link_length", "link_width", "link_span")
_Letting = tuple[str, dt.date]


def show() -> None:
    """The whole part, below the list of structures."""
    if said := st.session_state.pop(_SAID, None):
        blocks.note(said)
    without()
    suggested()
    link_form()
    said_by_hand()
    unlink_form()


def without() -> None:
    """Contracts with bridge work in the low bid and no bridge linked: they are in no cost per square foot."""
    frame: pd.DataFrame = cache.table("contracts_without_structure")
    blocks.section(
        "Contracts with bridge work and no bridge linked",
        "Dollars of beams, deck, substructure and the like in low bids that are in no cost per square foot.",
    )
    if frame.empty:
        blocks.note("Every contract with bridge work in its low bid has a bridge.")
        return
    rows = [
        [row["contract_id"], wording.day(row["letting_date"]), wording.usd(row["bridge_usd"]), row["low_bidder"],
         row["description"] if known(row["description"]) else ""]
        for row in frame.iloc[rows_of_page(len(frame), ROWS_SHOWN, "without_page")].to_dict("records")
    ]  # fmt: skip
    heads = (("Contract", "nowrap"), ("Let", "nowrap"), ("Bridge work", "n"), ("Low bidder", ""), ("Work", ""))
    total = [blocks.counted(len(frame), "contract"), "", wording.usd(frame["bridge_usd"].sum()), "", ""]
    blocks.table([blocks.Column(*head) for head in heads], rows, total=total)


def suggested() -> None:
    """Bridges that contracts name: each with a button that carries it into the form."""
    frame: pd.DataFrame = cache.table("link_suggestions")
    if frame.empty:
        return
    blocks.section(
        "Bridges that contracts name",
        "A number on record that stands whole in a contract's own words. Nothing is linked by itself.",
    )
    rows = frame.iloc[rows_of_page(len(frame), ROWS_SHOWN, "suggested_page")].to_dict("records")
    rows_with_button(
        ("Contract", "Bridge", "Named in"), [_suggestion(row) for row in rows], "Use it", "use_link",
        [partial(_use, row) for row in rows],
    )  # fmt: skip


def _suggestion(row: dict[Any, Any]) -> tuple[str, str, str]:
    schedules = f", schedule {' and '.join(row['schedules'])}" if row["schedules"] else ""
    look = f"<br><b>Look: reads like {esc(row['also_fits'])} too</b>" if row["also_fits"] else ""
    usd = f", {wording.usd(row['bridge_usd'])} of bridge work" if known(row["bridge_usd"]) else ""
    return (
        f"<b>{esc(row['contract_id'])}</b><br><small>{wording.day(row['letting_date'])}{usd}</small>",
        f"<b>{esc(row['structure_id'])}</b>{esc(schedules)}{look}",
        f"{esc(row['found_in'])}: {esc(row['text'])}",
    )


def _use(row: dict[Any, Any]) -> None:
    st.session_state[_PICKED] = row
    st.rerun()


def link_form() -> None:
    """Link a bridge to a contract: schedules, and what was built where the list has another bridge."""
    blocks.section(
        "Link a bridge to a contract",
        "Type and size: fill in what was built. The structure list lends what is left empty, unless it has the bridge "
        "that was there before: a bridge that was replaced does not price the new one.",
    )
    lettings, structures = _lettings(), sorted(set(cache.table("structures")["structure_id"]))
    if not lettings:
        blocks.note("No bid tab has been imported.")
        return
    _fill_in(lettings)
    with st.container(horizontal=True, vertical_alignment="bottom", key="link_row"):
        let = st.selectbox(
            "Contract, those without a bridge first", lettings, index=None, key="link_contract", width=300,
            format_func=_said_letting, placeholder="Choose one",
        )  # fmt: skip
        structure_id = st.selectbox(
            "Bridge", structures, index=None, key="link_structure", width=190, accept_new_options=True,
            placeholder="Choose or type",
        )  # fmt: skip
        there = cache.database().schedules_of(*let) if let else []
        schedules = st.multiselect(
            "Schedules that pay for it", there, key="link_schedules", width=280, disabled=not there,
            placeholder="all, shared by deck area" if there else "no schedules",
        )  # fmt: skip
    with st.container(horizontal=True, vertical_alignment="bottom", key="link_size_row"):
        kind = st.text_input("Type built", key="link_type", width=190, placeholder="as listed")
        length = st.text_input("Length", key="link_length", width=110, placeholder="62 ft")
        width = st.text_input("Width, out to out", key="link_width", width=140, placeholder="28'-0\"")
        span = st.text_input("Longest span", key="link_span", width=120, placeholder="60 ft")
        reason = st.text_input("Why", key="link_reason", width=300, placeholder="plans, sheet 2")
        pressed = st.button("Link", type="primary", key="link_it")
    if pressed:
        with blocks.stops_shown():
            _link(let, structure_id, schedules, (kind, length, width, span), reason)


def _lettings() -> list[_Letting]:
    """Contract and day of every letting, those without a bridge first, then the newest."""
    every: pd.DataFrame = cache.table("lettings").sort_values("letting_date", ascending=False, kind="stable")
    first: pd.DataFrame = cache.table("contracts_without_structure")
    both = pd.concat([first[["contract_id", "letting_date"]], every[["contract_id", "letting_date"]]])
    rows = both.drop_duplicates()
    return [(str(one), day.date()) for one, day in zip(rows["contract_id"], rows["letting_date"], strict=True)]


def _said_letting(let: _Letting) -> str:
    return label(f"{let[0]}, let {wording.day(let[1])}", 60)


def _fill_in(lettings: list[_Letting]) -> None:
    """Put a picked suggestion into the form, before its widgets are made."""
    row = st.session_state.pop(_PICKED, None)
    if not row:
        return
    let = (row["contract_id"], pd.Timestamp(row["letting_date"]).date())
    st.session_state["link_contract"] = let if let in lettings else None
    st.session_state["link_structure"] = row["structure_id"]
    st.session_state["link_schedules"] = list(row["schedules"])
    st.session_state["link_reason"] = f"named in its {row['found_in']}"
    for name in _SIZES:
        st.session_state[name] = ""


def _link(
    let: _Letting | None, structure_id: str | None, schedules: list[str], size: tuple[str, ...], reason: str
) -> None:
    if let is None or not structure_id or not reason.strip():
        raise BadValue("the contract, the bridge or the reason is missing", do="Give all three; they are kept.")
    kind, *sizes = (" ".join(text.split()) for text in size)
    length, width, span = (parse_length_ft(text) if text else None for text in sizes)
    doubts = cache.database().link_structure(
        let[0], structure_id.strip(), " ".join(reason.split()), letting_date=let[1], schedules=schedules,
        bridge=NewBridge(kind or None, length, width, span),
    )  # fmt: skip
    _done(" ".join([linked.linked_said(label(let[0]), label(structure_id), schedules), *doubts]))


def _done(text: str) -> None:
    st.session_state[_SAID] = text
    for name in ("link_contract", "link_structure", "link_schedules", "link_reason", "unlink_pair", *_SIZES):
        st.session_state.pop(name, None)
    st.rerun()


def said_by_hand() -> None:
    """What was said so far, each with a button that takes it back."""
    frame: pd.DataFrame = cache.table("structure_links")
    if frame.empty:
        return
    blocks.section("Links made by hand", "They belong to no import. Each can be taken back; then the files hold.")
    rows = list(frame.itertuples())
    rows_with_button(
        ("Contract and bridge", "What was built", "Why"), [_said(row) for row in rows], "Take back", "link_back",
        [partial(_take_back, row) for row in rows],
    )  # fmt: skip


def _said(row: Any) -> tuple[str, str, str]:
    part = f", schedule {row.schedule}" if row.schedule else ""
    return (
        f"<b>{esc(row.contract_id)}</b> and <b>{esc(row.structure_id)}</b>{esc(part)}<br>"
        f"<small>{wording.day(row.letting_date)} · {esc(linked.stands(row))}</small>",
        esc(linked.size_words(row)) if row.linked else "",
        f"{esc(row.reason)}<br><small>{wording.day(row.decided_at)}</small>",
    )


def _take_back(row: Any) -> None:
    was_link = cache.database().take_back_link(row.contract_id, row.structure_id, row.letting_date.date())
    _done(linked.taken_back_said(label(row.contract_id), label(row.structure_id), was_link))


def unlink_form() -> None:
    """A link of a file that does not hold is set out of count, with a reason."""
    frame: pd.DataFrame = cache.table("structures")
    pairs = frame.loc[frame["linked_by"].isin(["structure list", "bid tab"]), ["contract_id", "structure_id"]]
    rows = list(dict.fromkeys(zip(pairs["contract_id"], pairs["structure_id"], strict=True)))
    if not rows:
        return
    blocks.section("A link of a file that does not hold", "The file's row stays on record; it prices nothing any more.")
    with st.container(horizontal=True, vertical_alignment="bottom", key="unlink_row"):
        chosen = st.selectbox(
            "Contract and bridge", range(len(rows)), index=None, key="unlink_pair", width=300,
            placeholder="Choose one",
            format_func=lambda number: label(" and ".join(rows[number])) if number < len(rows) else "",
        )  # fmt: skip
        reason = st.text_input("Why", key="unlink_reason", width=420, placeholder="deck repair only")
        pressed = st.button("Unlink", key="unlink_it")
    if pressed:
        with blocks.stops_shown():
            if chosen is None:
                raise BadValue("no contract and bridge are chosen", do="Choose a pair, and say why.")
            contract_id, structure_id = rows[chosen]
            cache.database().unlink_structure(contract_id, structure_id, " ".join(reason.split()))
            _done(linked.unlinked_said(label(contract_id), label(structure_id)))

"""Mending: a finding or a row set aside opened in its file and accepted with a reason; a blank price typed in."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from bidlens import wording
from bidlens.dashboard import blocks, cache, source_view
from bidlens.dashboard.words import known, label, place
from bidlens.errors import BadValue, NotOnRecord

_SAID = "repair said"


def show() -> None:
    """The forms below the lists, then what was typed and accepted so far."""
    if said := st.session_state.pop(_SAID, None):
        blocks.note(said)
    open_one()
    type_price()
    typed()
    accepted()


def open_one() -> None:
    """Pick a finding or a row set aside: the row in its file, and the form that accepts it."""
    doubts = _open_doubts()
    blocks.section("Open one", "The row as it is kept, with the row above and below; accept it with a reason.")
    if not doubts:
        blocks.note("Nothing is open.")
        return
    chosen = st.selectbox(
        "Finding or row", range(len(doubts)), index=None, key="doubt", width=900, placeholder="Choose one",
        format_func=lambda number: _described(doubts[number]) if number < len(doubts) else "",
    )  # fmt: skip
    if chosen is None or chosen >= len(doubts):
        return
    one = doubts[chosen]
    _in_its_file(one)
    with st.form("accept_doubt", border=False), st.container(horizontal=True, vertical_alignment="bottom"):
        reason = st.text_input("Why it can stand", key="accept_reason", width=520)
        sent = st.form_submit_button("Accept", type="primary")
    if sent:
        with blocks.stops_shown():
            cache.database().accept(
                int(one["batch_id"]), str(one["source_file"] or ""), _sheet(one), _row(one), one["code"], one["text"],
                " ".join(reason.split()),
            )  # fmt: skip
            _done("Accepted; it is not counted as open any more.")


def _open_doubts() -> list[dict[Any, Any]]:
    findings: pd.DataFrame = cache.table("findings")
    rows: pd.DataFrame = cache.table("set_aside")
    open_findings = findings[findings["accepted"].isna()]
    open_rows = rows[rows["accepted"].isna()].assign(code="set_aside")
    return [*open_findings.to_dict("records"), *open_rows.to_dict("records")]


def _described(one: dict[Any, Any]) -> str:
    kind = "Set aside" if one["code"] == "set_aside" else blocks.severity_mark(one["severity"])
    return label(f"{kind}: {_where(one)}: {one['text']}", 140)


def _where(one: dict[Any, Any]) -> str:
    return place(one["source_file"], one["source_sheet"], one["source_row"]) or "whole file"


def _sheet(one: dict[Any, Any]) -> str:
    return str(one["source_sheet"]) if known(one["source_sheet"]) else ""


def _row(one: dict[Any, Any]) -> int:
    return int(one["source_row"]) if known(one["source_row"]) else 0


def _in_its_file(one: dict[Any, Any]) -> None:
    """The picked row, the one above and the one below, the picked one marked: as read, else as far as it is kept."""
    if _row(one):
        try:
            st.html(source_view.as_html(cache.row_as_read(int(one["batch_id"]), _sheet(one), _row(one)), _row(one)))
            return
        except NotOnRecord:
            pass  # the file was not kept with this import
    rows = cache.database().rows_around(int(one["batch_id"]), _sheet(one), _row(one)) if _row(one) else pd.DataFrame()
    if rows.empty:
        blocks.note(f"{_where(one)}: {one['text']}")
        return
    numbers = rows["source_row"].tolist()
    picked = numbers.index(_row(one)) if _row(one) in numbers else -1
    columns = [blocks.Column("Row", "n"), blocks.Column("Kept as"), blocks.Column("As read")]
    body = [[wording.number(row["source_row"]), row["kept_as"], label(row["text"], 400)]
            for row in rows.to_dict("records")]  # fmt: skip
    st.html(blocks.table_html(columns, body, picked=picked))


def type_price() -> None:
    """Type in a unit price that was left blank: the bid's total, status and places follow."""
    frame: pd.DataFrame = cache.table("blank_prices")
    blocks.section(
        "Type in a missing price",
        "What was read stays on record; the typed price is marked, and totals and places follow. Whether a bid may be "
        "completed at all is for the owner's procurement rules.",
    )
    if frame.empty:
        blocks.note("No unit price is missing.")
        return
    rows = frame.to_dict("records")
    with st.container(horizontal=True, vertical_alignment="bottom"):
        chosen = st.selectbox(
            "Missing price", range(len(rows)), index=None, key="missing_price", width=560, placeholder="Choose one",
            format_func=lambda number: _priced(rows[number]) if number < len(rows) else "",
        )  # fmt: skip
        value = st.text_input("Unit price, $", key="price_typed", width=140)
        reason = st.text_input("Where it is from", key="price_reason", placeholder="bid as handed in", width=260)
        sent = st.button("Type it in", type="primary", key="type_it_in")
    row = None if chosen is None or chosen >= len(rows) else rows[chosen]
    with blocks.stops_shown():
        if sent:
            _type_in(row, value, " ".join(reason.split()))
        elif row is not None and value.strip():
            _tried(row, value)


def _tried(row: dict[Any, Any], value: str) -> None:
    """What the price would make of the bid, before it is stored."""
    would = cache.tried_price(_key(row), value)
    more = f" ({would.still_blank} more missing)" if would.still_blank else ""
    low = label(would.low_after, 60)
    blocks.title_block(
        {
            "Extension": wording.usd(float(would.extension), 2) if would.extension is not None else "none",
            "The bid’s total": f"{_usd(would.total)}{more}",
            "The bid": f"{would.status}, was {row['bid_status']}"
            if would.status != row["bid_status"]
            else would.status,
            "Place": would.rank or "not ranked",
            "Low bidder": f"{low}, as before"
            if would.low_after == would.low_before
            else f"{low}, was {label(would.low_before, 60)}",
        }
    )
    blocks.lead("So it would be; nothing is stored before “Type it in”.")


def _usd(value: Any) -> str:
    return "not complete" if value is None else wording.usd(float(value), 2)


def _priced(row: dict[Any, Any]) -> str:
    said = f"{row['contract_id']}, {row['bidder']}, line {row['line']}: {row['description']}"
    return label(f"{said}, {row['quantity']:g} {row['pay_unit'] if known(row['pay_unit']) else ''}", 130)


def _key(row: dict[Any, Any]) -> tuple[str, Any, str, str, str]:
    day = pd.Timestamp(row["letting_date"]).date()
    return row["contract_id"], day, row["schedule"], row["line"], row["bidder"]


def _type_in(row: dict[Any, Any] | None, value: str, reason: str) -> None:
    if row is None or not value.strip() or not reason:
        raise BadValue("the price to mend, its value or its source is missing", do="Give all three; they are kept.")
    _outcome(row, cache.database().correct_price(*_key(row), value, reason))


def _outcome(row: dict[Any, Any], done: Any) -> None:
    total = f", total {wording.usd(float(done.total), 2)}" if done.total is not None else ""
    rank = f", place {done.rank}" if done.rank else ", not ranked"
    low = f" Low bidder: {label(done.low_after)}." if done.low_after == done.low_before else (
        f" The low bidder was {label(done.low_before)} and is {label(done.low_after)}."
    )  # fmt: skip
    _done(f"{label(row['bidder'])} on {label(row['contract_id'])} is {done.status}{total}{rank}.{low}")


def typed() -> None:
    """Prices typed by hand so far, and the way to take one back."""
    frame: pd.DataFrame = cache.table("corrections")
    if frame.empty:
        return
    blocks.section("Prices typed by hand", "Each can be taken back; they return when the same file is imported again.")
    heads = (("Contract", "nowrap"), ("Line", ""), ("Pay item", ""), ("Bidder", ""), ("As read", ""), ("Typed", "n"),
             ("Why", ""), ("Row", ""))  # fmt: skip
    rows = frame.to_dict("records")
    body = [
        [row["contract_id"], row["line"], row["description"] if known(row["description"]) else "not on record now",
         row["bidder"], row["value_as_read"] or "blank", wording.usd(row["value"], 2), row["reason"],
         place(row["source_file"], row["source_sheet"], row["source_row"])] for row in rows
    ]  # fmt: skip
    blocks.table([blocks.Column(*head) for head in heads], body)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        chosen = st.selectbox(
            "Take a typed price back", range(len(rows)), index=None, key="typed_price", width=560,
            placeholder="Choose one",
            format_func=lambda number: _typed(rows[number]) if number < len(rows) else "",
        )  # fmt: skip
        if chosen is not None and st.button("Take it back", key="price_back"):
            with blocks.stops_shown():
                _outcome(rows[chosen], cache.database().take_back_price(*_key(rows[chosen])))


def _typed(row: dict[Any, Any]) -> str:
    return label(f"{row['contract_id']}, {row['bidder']}, line {row['line']}", 110)


def _accepted(row: dict[Any, Any]) -> str:
    return label(f"{_what(row)}: {row['text']}", 110)


def accepted() -> None:
    """Findings and rows accepted so far, and the way to open one again."""
    frame: pd.DataFrame = cache.table("acceptances")
    if frame.empty:
        return
    blocks.section("Accepted", "Looked at and let stand; not counted as open.")
    rows = frame.to_dict("records")
    body = [[_what(row), label(row["text"], 300), row["reason"], wording.day(row["decided_at"])] for row in rows]
    heads = (("What", "nowrap"), ("Text", ""), ("Why", ""), ("When", "nowrap"))
    blocks.table([blocks.Column(*head) for head in heads], body)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        chosen = st.selectbox(
            "Open one again", range(len(rows)), index=None, key="accepted_one", width=560, placeholder="Choose one",
            format_func=lambda number: _accepted(rows[number]) if number < len(rows) else "",
        )  # fmt: skip
        if chosen is not None and st.button("Open it again", key="reopen"):
            one = rows[chosen]
            with blocks.stops_shown():
                cache.database().reopen(
                    one["sha256"], one["source_sheet"], int(one["source_row"]), one["code"], one["text"]
                )
                _done("It is open again.")


def _what(row: dict[Any, Any]) -> str:
    return str(row["code"]).replace("_", " ")


def _done(text: str) -> None:
    st.session_state[_SAID] = text
    for widget in ("doubt", "missing_price", "price_typed", "price_reason", "typed_price", "accepted_one"):
        st.session_state.pop(widget, None)
    st.rerun()

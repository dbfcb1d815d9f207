"""The papers behind one mark: point, contract, bid rows of the basis, and the lines of the file they were read from."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from bidlens import quarters, wording
from bidlens.dashboard import blocks, cache
from bidlens.dashboard.filters import set_query
from bidlens.dashboard.words import Html, esc, known, label, place
from bidlens.figures.marks import keys_of
from bidlens.figures.words import feet
from bidlens.workflow import Papers

ROWS_SHOWN = 12


def pick_from_chart(chart_key: str) -> None:
    """Put the contract of a clicked mark into the URL. For `on_select` of a chart with this key."""
    points = st.session_state[chart_key]["selection"]["points"]
    carried = next((point.get("customdata") for point in points if point.get("customdata")), None)
    if isinstance(carried, list):
        carried = carried[0]
    if carried:
        set_query("contract", str(carried))


def picked(history: pd.DataFrame) -> str | None:
    """The key in the URL, if the history holds it."""
    wanted = st.query_params.get("contract")
    return wanted if wanted and wanted in keys_of(history) else None


def pointer(history: pd.DataFrame) -> None:
    """Under a chart whose marks can be clicked: which contract is picked, and the way down to its papers."""
    wanted = picked(history)
    if wanted is not None:
        row = history.iloc[keys_of(history).index(wanted)]
        st.html(
            f'<p class="bl-lead">{esc(row["contract_id"])} is picked: <a href="#papers">its papers are below</a>.</p>'
        )


def picker(history: pd.DataFrame) -> None:
    """The same choice by keyboard: every contract drawn, newest first."""
    ordered = history.sort_values(["letting_date", "contract_id"], ascending=False, kind="stable")
    keys = keys_of(ordered)
    words = {key: _described(row) for key, row in zip(keys, ordered.to_dict("records"), strict=True)}
    st.session_state["papers_of"] = picked(history)
    st.selectbox(
        "Contract",
        keys,
        index=None,
        format_func=lambda key: words.get(key, label(key)),
        key="papers_of",
        placeholder="Click a mark, or choose a contract here",
        on_change=lambda: set_query("contract", st.session_state["papers_of"]),
        width=560,
    )


def _described(row: dict[Any, Any]) -> str:
    when = wording.month(row["letting_date"])
    return label(f"{row['contract_id']}, {row['superstructure']}, {row['structure_id']}, let {when}", 110)


def trail(history: pd.DataFrame, basis: str) -> None:
    """Heading, picker and, once a contract is picked, its papers."""
    st.html('<div id="papers"></div>')
    blocks.section("The papers behind a price", "Follow a mark back to the lines it was read from.")
    picker(history)
    wanted = picked(history)
    if wanted is None:
        if st.query_params.get("contract"):
            blocks.note("The contract in this page’s address is not among those compared here.")
        return
    row = history.iloc[keys_of(history).index(wanted)].to_dict()
    with blocks.stops_shown():
        found = cache.papers(row["contract_id"], row["letting_date"], row["structure_id"], basis)
        st.html(trail_html(row, found, basis))


def trail_html(row: dict[Any, Any], papers: Papers, basis: str) -> Html:
    """Four joined cells; the rows sum to the basis dollars, which over the deck area give the $/sf as bid."""
    cells = (_point(row), _contract(row, papers), _rows(row, papers, basis), _source(papers))
    body = "".join(f"<div><h3>{esc(head)}</h3>{content}</div>" for head, content in cells)
    return Html(f'<div class="bl-trail" aria-label="The papers behind {esc(row["contract_id"])}">{body}</div>')


def _lines(lines: list[Any]) -> Html:
    return Html("<br>".join(esc(line) for line in lines if line))


def _point(row: dict[Any, Any]) -> tuple[str, Html]:
    span = f", {feet(row['span_ft'])}" if known(row["span_ft"]) else ""
    return "Point on the chart", _lines(
        [
            Html(f"<b>{wording.per_sf(row['unit_cost_adjusted'])}</b>"),
            f"{row['superstructure']}{span}",
            f"dollars of {quarters.shown(row['dollars_of'])}",
            f"{wording.per_sf(row['unit_cost'])} as bid, times {wording.number(row['index_ratio'], 3)} by the index",
        ]
    )


def _contract(row: dict[Any, Any], papers: Papers) -> tuple[str, Html]:
    name = f"{row['name']}, bridge {row['structure_id']}" if known(row.get("name")) else f"bridge {row['structure_id']}"
    bids = blocks.counted(papers.letting["bidders"], "responsive bid")
    share = row.get("area_share", 1.0)
    shared = f"{wording.number(share * 100)}% of a shared schedule, by deck area" if share < 0.9995 else ""
    return "Contract", _lines(
        [
            Html(f"<b>{esc(row['contract_id'])}</b>, let {wording.day(row['letting_date'])}"),
            name,
            f"{bids}, low {row['low_bidder']}",
            f"{wording.usd(row['basis_usd'])} {row['basis']}",
            f"{wording.number(row['deck_area_sf'])} sf of deck",
            shared,
        ]
    )


def _rows(row: dict[Any, Any], papers: Papers, basis: str) -> tuple[str, Html]:
    ordered = papers.rows.sort_values("dollars", ascending=False, kind="stable")
    shown = ordered.head(ROWS_SHOWN)
    cells: list[tuple[object, object]] = [(_item(one), wording.usd(one["dollars"])) for one in shown.to_dict("records")]
    if len(ordered) > len(shown):
        rest = ordered.iloc[len(shown) :]
        cells.append((f"{len(rest)} more rows", wording.usd(float(rest["dollars"].sum()))))
    total = float(ordered["dollars"].sum())
    sums = (
        f"sum, over {wording.number(row['deck_area_sf'])} sf is {wording.per_sf(row['unit_cost'], 2)}",
        wording.usd(total),
    )
    columns = (blocks.Column("pay item"), blocks.Column("low bid", "n"))
    return f"Bid rows, {basis} basis", blocks.table_html(columns, cells, total=sums)


def _item(one: dict[Any, Any]) -> str:
    code = f"{one['item_code']} " if known(one.get("item_code")) else ""
    part = f" ({wording.number(one['share'] * 100)}% of it)" if one["share"] < 0.9995 else ""
    return f"{code}{one['description']}{part}"


def _source(papers: Papers) -> tuple[str, Html]:
    """File, sheet and row of each line, in file order; the line with most dollars is marked."""
    rows = papers.rows.drop_duplicates(["source_file", "source_sheet", "source_row"])
    rows = rows.sort_values(["source_file", "source_row"], kind="stable").head(2 * ROWS_SHOWN)
    if rows.empty:
        return "Source", esc("no row of this basis is on record")
    largest = rows["dollars"].idxmax()
    files = [place(file, sheet, None) for file, sheet in rows[["source_file", "source_sheet"]].drop_duplicates().values]
    lines = [_source_line(one, one_index == largest) for one_index, one in rows.iterrows()]
    return f"Source: {'; '.join(files)}", Html(f'<div class="bl-source">{"".join(lines)}</div>')


def _source_line(one: pd.Series, read: bool) -> str:
    price = wording.number(one["unit_price"], 2) if known(one["unit_price"]) else "blank"
    price += " typed by hand" if known(one.get("by_hand")) else ""
    quantity = f"{one['quantity']:g}" if known(one["quantity"]) else ""
    said = " | ".join(
        str(part) for part in (one["item_code"], one["description"], one["pay_unit"], quantity, price) if known(part)
    )
    number = f"{int(one['source_row']):>4}" if known(one["source_row"]) else "   ?"
    css = ' class="bl-read"' if read else ""
    return f"<div{css}>{number} │ {esc(said)}</div>"

"""The papers behind one mark: contract, how its price comes about, bid rows of the basis, and the line as it was read.

Contract, letting, structure and line stand in the URL, so that what is looked at can be sent to a colleague.
"""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from bidlens import wording
from bidlens.dashboard import blocks, cache, downloads, source_view
from bidlens.dashboard.filters import address, set_queries, set_query, shared
from bidlens.dashboard.words import Html, esc, known, label, place
from bidlens.figures.marks import key_of, keys_of, parted
from bidlens.figures.words import feet
from bidlens.report.chain import Factor, chain_of
from bidlens.workflow import Papers, PricedHistory

ROWS_SHOWN = 12
PARAMETERS = ("contract", "letting", "structure")


def pick_from_chart(chart_key: str) -> None:
    """Put the contract of a clicked mark into the URL. For `on_select` of a chart with this key."""
    points = st.session_state[chart_key]["selection"]["points"]
    carried = next((point.get("customdata") for point in points if point.get("customdata")), None)
    if isinstance(carried, list):
        carried = carried[0]
    if carried:
        pick(str(carried))


def pick_from_table(table_key: str, keys: list[str]) -> None:
    """Put the contract of a marked row into the URL. keys : those of the rows, in the table's order."""
    rows = st.session_state[table_key]["selection"]["rows"]
    if rows and rows[0] < len(keys):
        pick(keys[rows[0]])


def pick(key: str | None) -> None:
    """Put a contract, by the key of its mark, into the URL; None takes it out. The line looked at goes."""
    parts = parted(key) if key else None
    set_queries({**dict(zip(PARAMETERS, parts or (None, None, None), strict=True)), "line": None})


def picked(history: pd.DataFrame) -> str | None:
    """The key of the contract in the URL, if the history holds it."""
    contract, letting, structure = (st.query_params.get(name, "") for name in PARAMETERS)
    wanted = f"{contract}|{letting}|{structure}" if letting else contract
    return wanted if wanted and wanted in keys_of(history) else None


def link_to(row: dict[Any, Any]) -> str:
    """The query of a link on this page to the papers of a structure."""
    parts = parted(key_of(row["contract_id"], row["letting_date"], row["structure_id"]))
    return address(**dict(zip(PARAMETERS, parts or ("", "", ""), strict=True)), line=None)


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
        on_change=lambda: pick(st.session_state["papers_of"]),
        width=430,
    )


def _described(row: dict[Any, Any]) -> str:
    when = wording.month(row["letting_date"])
    return label(f"{row['contract_id']}, {row['superstructure']}, {row['structure_id']}, let {when}", 110)


def trail(priced: PricedHistory, basis: str) -> None:
    """Heading, picker and, once a contract is picked, its papers."""
    history = priced.frame
    st.html('<div id="papers"></div>')
    blocks.section(
        "The papers behind a price", "From a mark to its contract, its bid rows, and the line in the file it is from."
    )
    with st.container(horizontal=True, vertical_alignment="bottom", key="papers_row"):
        picker(history)
        wanted = picked(history)
        if wanted is None:
            if st.query_params.get("contract"):
                blocks.note("The contract in this page’s address is not among those compared here.")
            return
        row = history.iloc[keys_of(history).index(wanted)].to_dict()
        found = cache.papers(row["contract_id"], row["letting_date"], row["structure_id"], basis)
        lines = _lines(found)
        line = _line_picker(lines) if lines else None
        n_model = priced.model.n if priced.model else None
        factors = chain_of(row, found.structure, priced.index, len(found.rows), n_model)
        _leads(row, found, factors)
    st.html(trail_html(row, found, basis, factors, line))


def _lines(papers: Papers) -> dict[str, dict[Any, Any]]:
    """The bid rows by the key they have in the URL, most dollars first."""
    found: dict[str, dict[Any, Any]] = {}
    for one in _by_dollars(papers.rows).to_dict("records"):
        found.setdefault(line_key(one), one)
    return found


def _by_dollars(rows: pd.DataFrame) -> pd.DataFrame:
    return rows.sort_values("dollars", ascending=False, kind="stable")


def line_key(one: dict[Any, Any]) -> str:
    """What a line is called in the URL: its schedule, where there is one, and its number."""
    return f"{one['schedule']}.{one['line']}" if known(one.get("schedule")) else str(one["line"])


def _line_picker(lines: dict[str, dict[Any, Any]]) -> dict[Any, Any]:
    """The line looked at: named in the URL, else the one with most dollars."""
    first = next(iter(lines))
    wanted = st.query_params.get("line", first)
    st.session_state["line_of"] = wanted if wanted in lines else first
    st.selectbox(
        "Line in its file",
        list(lines),
        format_func=lambda key: _line_described(lines[key]) if key in lines else label(key),
        key="line_of",
        on_change=lambda: set_query("line", st.session_state["line_of"]),
        width=400,
    )
    return lines[st.session_state["line_of"]]


def _line_described(one: dict[Any, Any]) -> str:
    schedule = f" of {one['schedule']}" if known(one.get("schedule")) else ""
    return label(f"{_item(one)}, line {one['line']}{schedule}", 110)


def _leads(row: dict[Any, Any], papers: Papers, factors: list[Factor]) -> None:
    """Where to go on from a contract: its bids beside each other, and its papers as a workbook."""
    comparison = {"contract": str(row["contract_id"]), "letting": f"{row['letting_date']:%Y-%m-%d}"}
    st.page_link("pages/letting_review.py", label="All bids, line by line", query_params={**shared(), **comparison})
    chain = pd.DataFrame(
        [(one.sign, one.what, one.value, one.unit, one.source) for one in factors],
        columns=["", "What", "Value", "Unit", "From"],
    )
    sheets = {"how it comes about": chain, "bid rows": papers.rows, "bids": papers.bids}
    downloads.sheets_button(sheets, f"papers_{row['contract_id']}", [f"Contract {row['contract_id']}"])


def trail_html(
    row: dict[Any, Any], papers: Papers, basis: str, factors: list[Factor], line: dict[Any, Any] | None
) -> Html:
    """Three joined cells and the line below them; the rows sum to the basis dollars, over the deck area to $/sf."""
    cells = (_contract(row, papers), _chain(factors), _rows(row, papers, basis, line))
    body = "".join(f"<div><h3>{esc(head)}</h3>{content}</div>" for head, content in cells)
    source = _source(row, line) if line else esc("No row of this basis is on record.")
    return Html(
        f'<div class="bl-trail" aria-label="The papers behind {esc(row["contract_id"])}">{body}'
        f'<div class="bl-wide"><h3>Source</h3>{source}</div></div>'
    )


def _contract(row: dict[Any, Any], papers: Papers) -> tuple[str, Html]:
    name = f"{row['name']}, bridge {row['structure_id']}" if known(row.get("name")) else f"bridge {row['structure_id']}"
    span = f", {feet(row['span_ft'])}" if known(row["span_ft"]) else ""
    said = (
        Html(f"<b>{esc(row['contract_id'])}</b>, let {wording.day(row['letting_date'])}"),
        name,
        f"{row['superstructure']}{span}",
        f"{blocks.counted(papers.letting['bidders'], 'responsive bid')}, low {row['low_bidder']}",
        Html(f"<b>{wording.per_sf(row['unit_cost_adjusted'])}</b> on the chart"),
    )
    return "Contract", Html("<br>".join(esc(one) for one in said))


def _chain(factors: list[Factor]) -> tuple[str, Html]:
    """Each factor with its source under it; results bold."""
    cells = []
    for one in factors:
        value = f"<b>{esc(one.shown)}</b>" if one.sign in ("", "=") else esc(one.shown)
        sign = one.sign if one.sign else "&nbsp;"
        cells.append((Html(f"{sign}"), Html(f"{esc(one.what)}<small>{esc(one.source)}</small>"), Html(value)))
    columns = (blocks.Column("", "nowrap"), blocks.Column("factor and where it is from"), blocks.Column("value", "n"))
    return "From dollars to the price", blocks.table_html(columns, cells)


def _rows(row: dict[Any, Any], papers: Papers, basis: str, line: dict[Any, Any] | None) -> tuple[str, Html]:
    ordered = _by_dollars(papers.rows)
    shown = ordered.head(ROWS_SHOWN).to_dict("records")
    cells: list[tuple[object, object]] = [(_linked(one), wording.usd(one["dollars"])) for one in shown]
    keys = [line_key(one) for one in shown]
    at = keys.index(line_key(line)) if line and line_key(line) in keys else -1
    if len(ordered) > len(shown):
        rest = ordered.iloc[len(shown) :]
        cells.append((f"{len(rest)} more rows", wording.usd(float(rest["dollars"].sum()))))
    sums = ("sum, as the low bid has it", wording.usd(float(ordered["dollars"].sum())))
    columns = (blocks.Column("pay item, to its line in the file"), blocks.Column("low bid", "n"))
    return f"Bid rows, {basis} basis", blocks.table_html(columns, cells, total=sums, picked=at)


def _linked(one: dict[Any, Any]) -> Html:
    return Html(f'<a href="{esc(address(line=line_key(one)), 2000)}" target="_self">{esc(_item(one), 120)}</a>')


def _item(one: dict[Any, Any]) -> str:
    code = f"{one['item_code']} " if known(one.get("item_code")) else ""
    part = f" ({wording.number(one['share'] * 100)}% of it)" if one["share"] < 0.9995 else ""
    return f"{code}{one['description']}{part}"


def _source(row: dict[Any, Any], line: dict[Any, Any]) -> Html:
    """The line as read from its file, and what was understood where its file was not kept."""
    sheet = str(line["source_sheet"]) if known(line["source_sheet"]) else ""
    if not known(line["source_row"]):
        return esc(f"{place(line['source_file'], sheet, None)}: the row is not known")
    number = int(line["source_row"])
    price = wording.usd(line["unit_price"], 2) if known(line["unit_price"]) else "blank"
    hand = ", typed by hand" if known(line.get("by_hand")) else ""
    quantity = f"{line['quantity']:g} {line['pay_unit'] or ''}" if known(line["quantity"]) else ""
    understood = f"{place(line['source_file'], sheet, number)}: {_item(line)}, {quantity} at {price}{hand}"
    read = source_view.shown(
        lambda: cache.line_as_read(row["contract_id"], row["letting_date"], line["source_file"], sheet, number),
        number,
        understood,
    )
    return Html(f"{read}<p class='bl-lead'>Unit price on record: {esc(price)}{esc(hand)}.</p>") if hand else read

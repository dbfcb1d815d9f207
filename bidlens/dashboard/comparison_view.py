"""One contract's bids side by side, reached from the letting review or by `?contract=...&letting=...`."""

from __future__ import annotations

import datetime as dt
import io
import re
from typing import Any
from urllib.parse import urlencode

import pandas as pd
import streamlit as st

from bidlens import figures, wording, workflow
from bidlens.dashboard import blocks, cache, on_paper, source_view
from bidlens.dashboard.downloads import XLSX, file_stem
from bidlens.dashboard.filters import address, set_queries, set_query
from bidlens.dashboard.papers import line_key
from bidlens.dashboard.review_view import bold
from bidlens.dashboard.words import Html, esc, known, label
from bidlens.errors import BadValue
from bidlens.figures import letting as drawn
from bidlens.letting import BidComparison, comparison_words
from bidlens.letting.comparison import by_bidder
from bidlens.letting.difference import Difference
from bidlens.report import as_json, bid_comparison

PARAMETERS = ("contract", "letting", "line", "bidder")
#: Work categories drawn one by one, and lines listed in full; a longer list scrolls.
DRAWN, LISTED = 5, 40
_NUMBERS = re.compile(r"(\$[\d,]*\d|\d[\d.]*% (?:over|under)(?= our)|\d+ bids)")


def link_to(contract_id: object, letting_date: Any, page: str = "") -> Html:
    """A contract's number, leading to its bids. page : of the letting review, where it is linked from another."""
    key = {"contract": str(contract_id), "letting": f"{letting_date:%Y-%m-%d}"}
    to = f"{page}?{urlencode(key)}" if page else address(**key, line=None, bidder=None)
    return Html(f'<a href="{esc(to, 2000)}" target="_self">{esc(contract_id, 60)}</a>')


def links(contracts: pd.DataFrame) -> list[Html]:
    """`link_to` for each row of a contract list."""
    return [link_to(*key) for key in zip(contracts["contract_id"], contracts["letting_date"], strict=True)]


def open_contract(contract_id: str | None, letting_date: dt.date | None = None) -> None:
    """Put a contract into the URL, or take it out."""
    set_queries(_of_contract(contract_id, letting_date))


def _of_contract(contract_id: str | None, letting_date: dt.date | None) -> dict[str, str | None]:
    letting = letting_date.isoformat() if letting_date else None
    return {"contract": contract_id, "letting": letting, "line": None, "bidder": None}


def asked() -> tuple[str, dt.date | None] | None:
    """The contract and letting the URL asks for. Raises BadValue for a letting that is no date."""
    contract = st.query_params.get("contract")
    if not contract:
        return None
    day = st.query_params.get("letting")
    try:
        return contract, dt.date.fromisoformat(day) if day else None
    except ValueError as error:
        raise BadValue(f"cannot read “{label(day)}” as a day", do="Write it as 2025-03-12.") from error


def show(contract_id: str, letting_date: dt.date | None) -> None:
    """The whole view: answer, title block, what makes the bids differ, items by bidders, the row of a line."""
    found = cache.comparison(contract_id, letting_date)
    support = comparison_words.support(found)
    blocks.opening("How do the bids compare?", bold(comparison_words.answer(found), _NUMBERS), support)
    blocks.title_block(comparison_words.title_cells(found))
    with st.container(horizontal=True, gap="small", key="compare_row"):
        year = found.letting_date.year
        st.button(f"Back to the lettings of {year}", on_click=_back, args=(year,), key="comparison_back")
        _download(found)
    _pictures(found)
    blocks.findings(found.findings)
    _parts(found)
    _items(found)
    _row_of_a_line(found)


def _back(year: int) -> None:
    set_queries({**_of_contract(None, None), "year": st.query_params.get("year") or str(year)})


def _download(found: BidComparison) -> None:
    """The report to print, the workbook, the JSON answer; each is made when it is asked for."""
    db = cache.database()

    def tables() -> bytes:
        target = io.BytesIO()
        bid_comparison.write_comparison_workbook(found, target, workflow.sources_of(db))
        return target.getvalue()

    stem = file_stem(f"bids {found.contract_id} {found.letting_date:%Y-%m-%d}")
    with st.popover("Download"):
        st.download_button("Report to print (HTML)",
                           lambda: bid_comparison.comparison_html(found, workflow.sources_of(db)), f"{stem}.html",
                           "text/html", key="comparison_html")  # fmt: skip
        st.download_button("Tables (XLSX)", tables, f"{stem}.xlsx", XLSX, key="comparison_xlsx")
        st.download_button("All numbers (JSON)", lambda: as_json.document("compare", **found.as_dict()),
                           f"{stem}.json", "application/json", key="comparison_json")  # fmt: skip


def _pictures(found: BidComparison) -> None:
    wholes = [("From low to second", found.to_second), ("From estimate to low", found.to_estimate)]
    given = [(title, whole) for title, whole in wholes if isinstance(whole, Difference) and whole.usd]
    columns = st.container(key="first_pictures").columns(2, gap="medium") if given else []
    for column, (title, whole) in zip(columns, given, strict=False):
        with column:
            blocks.section(title)
            caption = [
                f"{whole.ends} less {whole.starts}, by work category",
                *comparison_words.caption(found).split(" · "),
                "largest difference first",
            ]
            picture = drawn.change_explained(*_steps(whole), caption, blocks.palette(), "$, whole contract", tight=True)
            alt = f"{title}: the work categories that differ"
            st.plotly_chart(picture, theme=None, config=figures.CONFIG, key=f"drawn_{title}", alt=alt)


def _steps(whole: Difference) -> tuple[list[tuple[str, str, str]], list[float]]:
    """What, amount and note of each step, and the running total after it; small work categories as one step."""
    table = whole.by_category[whole.by_category["difference_usd"] != 0]
    shown, rest = table.head(DRAWN), table.iloc[DRAWN:]
    steps = [
        (comparison_words.category_title(row["work_category"]), row["difference_usd"], int(row["lines"]))
        for row in shown.to_dict("records")
    ]
    if len(rest):
        steps.append((f"{len(rest)} more categories", float(rest["difference_usd"].sum()), int(rest["lines"].sum())))
    ends = [whole.from_usd]
    for _, usd, _ in steps:
        ends.append(ends[-1] + usd)
    first, last = (one[:1].upper() + one[1:] for one in (whole.starts, whole.ends))
    whats = [(first, wording.usd(whole.from_usd), "")]
    whats += [(what, wording.signed(usd, 0, "$"), wording.count(n, "line")) for what, usd, n in steps]
    return [*whats, (last, wording.usd(whole.to_usd), "")], [*ends, whole.to_usd]


def _parts(found: BidComparison) -> None:
    for n, part in enumerate(bid_comparison.parts(found)):
        if n and part.title.endswith("line by line"):
            blocks.section(part.title, part.lead)
            _table(part)
        elif n:
            with st.expander(f"{part.title}, every work category" if part.total else part.title):
                blocks.section(part.title, part.lead)
                _table(part)
        else:
            blocks.section(part.title, part.lead)
            _table(part)


def _table(part: bid_comparison.Part) -> None:
    columns = [
        blocks.Column(title[:1].upper() + title[1:], "n" if side == "r" else "nowrap" if title == "line" else "")
        for title, side in zip(part.head, part.sides, strict=True)
    ]
    rows = [[_cell(cell) for cell in row] for row in part.rows]
    body, total = (rows[:-1], rows[-1]) if part.total else (rows, None)
    blocks.table(columns, body, total=total)


def _cell(text: str) -> Html:
    """A cell of the report; a line break in it stays one."""
    return Html("<br>".join(esc(line) for line in text.split("\n")))


def _items(found: BidComparison) -> None:
    if found.lines.empty:
        return
    if len(found.lines) <= LISTED:
        [part] = bid_comparison.items_parts(found, len(found.bidders) or 1)
        blocks.section(part.title, part.lead)
        _table(part)
        return
    frame = by_bidder(found).drop(columns=["source_file", "source_sheet", "source_row", "alternate", "item_code"])
    named = {str(name): str(name).replace("_", " ") for name in frame}
    lead = f"All {wording.count(len(frame), 'line')}, in the order of the file; dollars as bid; bidders by place."
    blocks.section("Items by bidders", lead)
    money = st.column_config.NumberColumn(format="dollar")
    shown = frame.rename(columns=named)
    config = {name: money for name in shown if str(name).endswith((" unit price", " extension"))}
    on_paper.scrolling(shown, key="items_by_bidders", column_config=config, height=blocks.list_height(len(frame)))


def _row_of_a_line(found: BidComparison) -> None:
    """Pick a line and a bidder: the row of the file its price was read from."""
    prices = found.prices[found.prices["source_row"].notna()]
    if prices.empty:
        return
    blocks.section("A price in its file", "The row it was read from, with what stands above and below.")
    names = {line_key(row): _named(row) for row in found.lines.to_dict("records")}
    whose = ["engineer’s estimate" if estimate else bidder
             for bidder, estimate in zip(prices["bidder"], prices["is_estimate"], strict=True)]  # fmt: skip
    prices = prices.assign(_key=[line_key(row) for row in prices.to_dict("records")], _whose=whose)
    left, right = st.columns(2, gap="medium")
    with left:
        line = _pick("line", "Line", [key for key in names if key in set(prices["_key"])], names)
    of_line = prices[prices["_key"] == line]
    with right:
        first = [found.low] if found.low in set(of_line["_whose"]) else []
        bidders = [*first, *(one for one in of_line["_whose"] if one not in first)]
        bidder = _pick("bidder", "Price of", bidders, {one: label(one) for one in bidders})
    row = of_line[of_line["_whose"] == bidder].iloc[0].to_dict()
    sheet = str(row["source_sheet"]) if known(row["source_sheet"]) else ""
    number, price = int(row["source_row"]), bid_comparison.unit_price(row["unit_price"])
    st.html(
        source_view.shown(
            lambda: cache.line_as_read(found.contract_id, found.letting_date, row["source_file"], sheet, number),
            number,
            f"{bid_comparison.source(row)}: {names[line]}, {price}",
        )
    )


def _named(row: dict[Any, Any]) -> str:
    several = f" of {row['schedule']}" if row["schedule"] else ""
    return label(f"{row['description']}, line {row['line']}{several}", 110)


def _pick(name: str, title: str, choices: list[Any], shown: dict[Any, str]) -> Any:
    """A select box that stands in the URL; the first is chosen where the URL names none of them."""
    wanted = st.query_params.get(name)
    st.session_state[f"comparison_{name}"] = wanted if wanted in choices else choices[0]
    st.selectbox(title, choices, format_func=lambda key: shown.get(key, label(key)), key=f"comparison_{name}",
                 on_change=lambda: set_query(name, st.session_state[f"comparison_{name}"]))  # fmt: skip
    return st.session_state[f"comparison_{name}"]


def picker(contracts: pd.DataFrame) -> None:
    """The same way in by keyboard: every contract of the review, by letting."""
    keys = list(zip(contracts["contract_id"], contracts["letting_date"].dt.date, strict=True))
    said = {
        key: label(f"{key[0]}{f', {text}' if known(text) else ''}, let {wording.day(key[1])}", 110)
        for key, text in zip(keys, contracts["description"], strict=True)
    }
    st.selectbox("Open a contract’s bids", keys, index=None, format_func=lambda key: said.get(key, label(key)),
                 placeholder="Choose a contract", key="comparison_of", width=560, on_change=_picked)  # fmt: skip


def _picked() -> None:
    if key := st.session_state["comparison_of"]:
        open_contract(*key)

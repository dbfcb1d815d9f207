"""Made-up tabulations written in every layout a workbook or a text file can have, and read back.

The same rows and the same money to the cent, whatever the order of the columns, the words of the headings, blank rows
and the style of the numbers; and no row is lost: read = kept + set aside, and none is both.
"""

from __future__ import annotations

import csv
import tempfile
from decimal import Decimal
from pathlib import Path

import xlsxwriter
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bidlens.ingest import read_file
from tests.ingest.conftest import ESTIMATE, conform_all
from tests.ingest.test_round_trip import PRICES, cents, tabulations

SETTINGS = settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
HEADS = {
    "contract": ["Contract", "Contract No.", "Proposal", "Project Number", "Solicitation No."],
    "letting": ["Letting Date", "Bid Date", "Date of Letting", "Opening Date"],
    "line": ["Line", "Line No.", "Ln."],
    "code": ["Item Code", "Pay Item", "Spec"],
    "description": ["Description", "Item Description", "Item Text"],
    "unit": ["Unit", "Units", "U/M", "Unit of Measure"],
    "quantity": ["Quantity", "Qty", "Estimated Quantity", "Est. Qty."],
    "bidder": ["Bidder", "Contractor", "Vendor Name"],
    "price": ["Unit Price", "Bid Price", "Unit Cost", "UNIT PRICE ($)"],
    "amount": ["Amount", "Extension", "Total Price", "Extended Amount"],
}
STYLES = {
    "number": lambda value: float(value),
    "plain": str,
    "money": lambda value: f"${value:,}",
    "spaced": lambda value: f"$ {value:,}",
}
#: Dates in the ways owners write them; all are April 8, 2031.
DAYS = ["2031-04-08", "04/08/2031", "4/8/2031", "April 8, 2031", "08-Apr-2031"]


def headings(draw):
    return {field: draw(st.sampled_from(words)) for field, words in HEADS.items()}


def write_csv(folder, name, rows):
    with (path := Path(folder) / name).open("w", newline="", encoding="utf-8") as stream:
        csv.writer(stream).writerows(rows)
    return path


def write_book(folder, name, sheets, merged=()):
    """sheets : title -> rows; merged : (title, first row, column, last row, column)."""
    path = Path(folder) / name
    with xlsxwriter.Workbook(str(path)) as book:
        for title, rows in sheets.items():
            sheet = book.add_worksheet(title)
            for at, row in enumerate(rows):
                for column, cell in enumerate(row):
                    if cell != "":
                        sheet.write(at, column, cell)
            for own, *block in merged:
                if own == title:
                    sheet.merge_range(*block, rows[block[0]][block[1]])
    return path


def read(path, sheets):
    """Read, and see to it that each row that is not blank is kept or set aside, and not both."""
    batch = read_file(path)
    conform_all(batch)
    filled = {(title, at) for title, rows in sheets.items() for at, row in enumerate(rows, 1) if any(map(str, row))}
    assert batch.rows_read == len(filled)
    aside = list(batch.set_aside[["source_sheet", "source_row"]].itertuples(index=False, name=None))
    assert len(set(aside)) == len(aside)
    assert set(aside) <= filled
    if "bid_price" in batch.tables:
        priced = set(batch.tables["bid_price"][["source_sheet", "source_row"]].itertuples(index=False, name=None))
        assert not priced & set(aside)
        assert priced <= filled
    return batch


def totals(items, bidders, prices):
    return {
        bidder: sum(cents(item[3] * price) for item, price in zip(items, own, strict=True))
        for bidder, own in zip(bidders, prices, strict=True)
    }


def check(batch, items, bidders, prices):
    found = batch.tables["contract_item"]
    assert list(zip(found["description"], found["pay_unit"], found["quantity"], strict=True)) == [
        (description, unit, quantity) for _, description, unit, quantity in items
    ]
    bids = batch.tables["bid"].set_index("bidder")["total_corrected"].to_dict()
    assert bids == totals(items, bidders, prices)
    got = {(row.bidder, row.line): row.unit_price for row in batch.tables["bid_price"].itertuples()}
    lines = found["line"].tolist()
    assert got == {
        (bidder, line): price
        for bidder, own in zip(bidders, prices, strict=True)
        for line, price in zip(lines, own, strict=True)
    }


# --- a row an item and bidder -------------------------------------------------------------------------------------


@SETTINGS
@given(tabulations(), st.data())
def test_long_with_the_estimate_among_the_bidders_in_any_words_and_order(tabulation, data):
    items, bidders, prices = tabulation
    names = headings(data.draw)
    dated, coded = data.draw(st.booleans()), data.draw(st.booleans())
    fields = [name for name in HEADS if (name != "letting" or dated) and (name != "code" or coded)]
    order = data.draw(st.permutations(fields))
    style = STYLES[data.draw(st.sampled_from(list(STYLES)))]
    day = data.draw(st.sampled_from(DAYS))
    above = [
        [title] for title in data.draw(st.sampled_from([[], ["Tabulation of bids"], ["County of Nowhere", "Bids"]]))
    ]
    rows = [*above, [names[field] for field in order]]
    everyone = [(ESTIMATE, [price + 1 for price in prices[0]]), *zip(bidders, prices, strict=True)]
    for at, (line, description, unit, quantity) in enumerate(items):
        for bidder, own in everyone:
            cell = {"contract": "C-91-001", "letting": day, "line": line, "code": f"50{line}",
                    "description": description, "unit": unit, "quantity": f"{quantity:,}", "bidder": bidder,
                    "price": style(own[at]),
                    "amount": style(cents(quantity * own[at]))}  # fmt: skip
            rows.append([cell[field] for field in order])
        rows += [[""] * len(order)] * data.draw(st.integers(0, 1))
    as_book = data.draw(st.booleans())
    name = "tab" if dated else "letting 2031-04-08"
    with tempfile.TemporaryDirectory() as folder:
        if as_book:
            batch = read(write_book(folder, f"{name}.xlsx", {"Bids": rows}), {"Bids": rows})
        else:
            batch = read(write_csv(folder, f"{name}.csv", rows), {"": rows})
    check(batch, items, bidders, prices)
    assert batch.tables["contract"]["contract_id"].tolist() == ["C-91-001"]
    assert {str(one) for one in batch.tables["contract"]["letting_date"]} == {"2031-04-08"}
    assert batch.tables["estimate_price"]["unit_price"].tolist() == everyone[0][1]
    if coded:
        assert batch.tables["contract_item"]["item_code"].tolist() == [f"50{line}" for line, *_ in items]


# --- bidders side by side -----------------------------------------------------------------------------------------


def wide_rows(data, items, offers, top, number_style, total_words="Total Amount Bid"):
    """Rows of a sheet with bidders side by side, its merged blocks (first row, column, last row, column), and whether
    the bidders' towns stand below their names."""
    names = headings(data.draw)
    fields = data.draw(st.permutations(["line", "description", "quantity", "unit"]))
    left = len(fields)
    town = data.draw(st.booleans())
    name_rows = data.draw(st.integers(1, 3))
    heads = [[one] for one in top] or [[""]]
    while len(heads) < name_rows:
        heads.append([""])
    for row in heads:
        row += [""] * (left + 2 * len(offers) - len(row))
    blocks = []
    for at, (bidder, _) in enumerate(offers):
        heads[0][left + 2 * at] = f"{bidder}\nEaston" if town and bidder != ESTIMATE else bidder
        blocks.append((0, left + 2 * at, len(heads) - 1, left + 2 * at + 1))
    rows = [*heads, [*(names[field] for field in fields), *[names["price"], names["amount"]] * len(offers)]]
    for number, (line, description, unit, quantity) in enumerate(items):
        cell = {"line": line, "description": description, "quantity": float(quantity), "unit": unit}
        money = [number_style(value) for _, own in offers for value in (own[number], cents(quantity * own[number]))]
        rows.append([*(cell[field] for field in fields), *money])
        rows += [[""] * len(rows[0])] * data.draw(st.integers(0, 1))
    sums = [sum(cents(item[3] * price) for item, price in zip(items, own, strict=True)) for _, own in offers]
    total = [""] * left + [cell for value in sums for cell in ("", number_style(value))]
    total[fields.index("description")] = total_words
    return [*rows, total], blocks, town


@SETTINGS
@given(tabulations(), st.data())
def test_wide_with_the_name_in_a_merged_block(tabulation, data):
    items, bidders, prices = tabulation
    offers = [*zip(bidders, prices, strict=True), (ESTIMATE, prices[0])]
    style = STYLES[data.draw(st.sampled_from(list(STYLES)))]
    top = ["HARBOR ROAD BRIDGE", "Solicitation No. 2031-007", data.draw(st.sampled_from(DAYS))]
    rows, blocks, town = wide_rows(data, items, offers, top, style)
    with tempfile.TemporaryDirectory() as folder:
        path = write_book(folder, "tab.xlsx", {"Bid Tab": rows}, [("Bid Tab", *block) for block in blocks])
        batch = read(path, {"Bid Tab": rows})
    named = [f"{bidder} Easton" if town else bidder for bidder in bidders]
    check(batch, items, named, prices)
    assert batch.tables["contract"]["contract_id"].tolist() == ["2031-007"]
    assert batch.tables["estimate_price"]["unit_price"].tolist() == prices[0]
    assert "printed_total_differs" not in [finding.code for finding in batch.findings]


@SETTINGS
@given(tabulations(), st.integers(1, 3), st.data())
def test_bidders_spread_over_sheets_are_one_contract(tabulation, per_sheet, data):
    items, bidders, prices = tabulation
    offers = list(zip(bidders, prices, strict=True))
    style = STYLES[data.draw(st.sampled_from(list(STYLES)))]
    top = ["Contract 91-001", "Bids opened April 8, 2031"]
    sheets, merged = {}, []
    for at in range(0, len(offers), per_sheet):
        title = f"Bids ({at + 1}-{at + per_sheet})"
        rows, blocks, _ = wide_rows(data, items, offers[at : at + per_sheet], top, style)
        sheets[title] = [[cell.split("\n")[0] if isinstance(cell, str) else cell for cell in row] for row in rows]
        merged += [(title, *block) for block in blocks]
    summed = totals(items, bidders, prices)
    sheets["Summary"] = [["Bidder", "Total"], *([bidder, float(summed[bidder])] for bidder in bidders)]
    with tempfile.TemporaryDirectory() as folder:
        batch = read(write_book(folder, "tab.xlsx", sheets, merged), sheets)
    check(batch, items, bidders, prices)
    assert "summary_total_differs" not in [finding.code for finding in batch.findings]


@SETTINGS
@given(tabulations(), tabulations(), st.data())
def test_an_alternate_on_a_sheet_of_its_own_stays_out_of_the_totals(base, other, data):
    items, bidders, prices = base
    alternate = [(line, f"{description}, other", unit, quantity) for line, description, unit, quantity in other[0]]
    style = STYLES[data.draw(st.sampled_from(list(STYLES)))]
    instead = [data.draw(st.lists(PRICES, min_size=len(alternate), max_size=len(alternate))) for _ in bidders]
    top = ["Contract 91-001", "Bids opened April 8, 2031"]
    sheets, merged = {}, []
    for title, of, own, words in (
        ("Base", items, prices, "Total Amount Base Bid"),
        ("Alternate 1", alternate, instead, "Total Amount Additive Alternate 1"),
    ):
        rows, blocks, _ = wide_rows(data, of, list(zip(bidders, own, strict=True)), top, style, words)
        sheets[title] = [[cell.split("\n")[0] if isinstance(cell, str) else cell for cell in row] for row in rows]
        merged += [(title, *block) for block in blocks]
    with tempfile.TemporaryDirectory() as folder:
        batch = read(write_book(folder, "tab.xlsx", sheets, merged), sheets)
    found = batch.tables["contract_item"]
    assert found["alternate"].tolist() == [False] * len(items) + [True] * len(alternate)
    bids = batch.tables["bid"].set_index("bidder")["total_corrected"].to_dict()
    assert bids == totals(items, bidders, prices)
    apart = batch.tables["bid_price"][batch.tables["bid_price"]["schedule"].str.contains("lternate")]
    assert sorted(apart["unit_price"]) == sorted(price for own in instead for price in own)


# --- summaries of contracts ---------------------------------------------------------------------------------------

OF_A_SUMMARY = {
    "contract": ["Contract", "Contract No.", "Project No.", "Proposal"],
    "bids": ["Bids", "No. of Bids", "Bids Received"],
    "bidder": ["Low Bidder", "Apparent Low Bidder", "Contractor"],
    "estimate": ["Estimate", "Engineer's Estimate"],
    "read": ["As Read", "Bid as Read", "Total as read"],
    "corrected": ["Corrected Bid", "Low Bid", "Total Bid", "Bid Amount"],
    "percent": ["% of est.", "Percent of Estimate"],
}  # fmt: skip
MONEY = st.decimals("1.00", "9999999", places=2)


@SETTINGS
@given(
    st.dictionaries(
        st.from_regex(r"\AC[0-9]{5}\Z"),
        st.one_of(
            st.none(), st.tuples(st.sampled_from(["Heron Bridge Co.", "Lark LLC", "Wren & Sons, Inc."]), MONEY, MONEY)
        ),
        min_size=1,
        max_size=5,
    ),
    st.data(),
)
def test_a_summary_of_contracts(made, data):
    names = {field: data.draw(st.sampled_from(words)) for field, words in OF_A_SUMMARY.items()}
    order = data.draw(st.permutations([field for field in names if field != "read" or data.draw(st.booleans())]))
    style = STYLES[data.draw(st.sampled_from(list(STYLES)))]
    estimate = Decimal("1000.50")
    rows = [["Letting of April 8, 2031"], [], [names[field] for field in order]]
    for contract, bid in made.items():
        name, read_at, corrected = bid or ("(no bids)", "", "")
        cell = {"contract": contract, "bids": 3 if bid else 0, "bidder": name, "estimate": style(estimate),
                "read": style(read_at) if bid else "", "corrected": style(corrected) if bid else "",
                "percent": "94.9%" if bid else ""}  # fmt: skip
        rows.append([cell[field] for field in order])
        rows += [[]] * data.draw(st.integers(0, 1))
    total = {
        "contract": "Letting Totals",
        "corrected": style(sum((bid[2] for bid in made.values() if bid), Decimal(0))),
    }
    rows.append([total.get(field, "") for field in order])
    with tempfile.TemporaryDirectory() as folder:
        if data.draw(st.booleans()):
            batch = read(write_book(folder, "summary.xlsx", {"Sheet1": rows}), {"Sheet1": rows})
        else:
            batch = read(write_csv(folder, "summary.csv", rows), {"": rows})
    assert set(batch.tables) == {"contract", "bid", "bidder"}
    contracts = batch.tables["contract"].set_index("contract_id")
    assert contracts.index.tolist() == list(made)
    assert contracts["bids_stated"].tolist() == [3 if bid else 0 for bid in made.values()]
    assert set(contracts["estimate_total"]) == {estimate}
    got = {
        row.contract_id: (row.bidder, row.total_as_read, row.total_corrected)
        for row in batch.tables["bid"].itertuples()
    }
    assert got == {
        contract: (bid[0], bid[1] if "read" in order else bid[2], bid[2]) for contract, bid in made.items() if bid
    }
    assert "letting_total_differs" not in [finding.code for finding in batch.findings]

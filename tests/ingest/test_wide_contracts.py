"""Sheets with bidders side by side that hold several contracts: each its own, or refused in plain words."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from bidlens.errors import BadValue
from bidlens.ingest import read_file
from tests.ingest.conftest import HERON, WREN, conform_all

LARK = "Lark LLC"
HEAD = ["Item No.", "Description", "Unit", "Quantity"]


def table(above, bidders, mobilization):
    """A table of two items: mobilization as given, and 10 LF at 20; each next bidder asks 1 more for the first."""
    names = ["", "", "", "", *(cell for bidder in bidders for cell in (bidder, ""))]
    first = [cell for at in range(len(bidders)) for cell in (mobilization + at, mobilization + at)]
    return [
        *([line] for line in above),
        names,
        [*HEAD, *["Unit Price", "Amount"] * len(bidders)],
        ["1", "Mobilization", "LS", 1, *first],
        ["2", "Beams", "LF", 10, *[20, 200] * len(bidders)],
        ["", "Total", "", "", *(cell for at in range(len(bidders)) for cell in ("", mobilization + at + 200))],
    ]


def bids(batch):
    conform_all(batch)
    assert batch.rows_read == batch.rows_kept + batch.rows_set_aside
    assert "printed_total_differs" not in [finding.code for finding in batch.findings]
    return {(row.contract_id, row.bidder): row.total_corrected for row in batch.tables["bid"].itertuples()}


@pytest.fixture(params=["csv", "xlsx"])
def write(request, write_csv, write_xlsx):
    def as_file(rows, stem="2031-04-08"):
        if request.param == "xlsx":
            return write_xlsx(f"{stem}.xlsx", {"Bids": rows})
        return write_csv(f"{stem}.csv", rows)

    return as_file


def test_tables_below_one_another_are_contracts_of_their_own_by_the_number_above_each(write) -> None:
    rows = [
        *table(["Larch Road Bridge", "Contract 91-001", "Bids opened April 8, 2031"], [HERON, WREN], 500),
        [],
        *table(["Sorrel Lane Bridge", "Contract 91-002", "Bids opened May 6, 2031"], [HERON, LARK, WREN], 700),
    ]
    batch = read_file(write(rows))
    assert bids(batch) == {
        ("91-001", HERON): 700, ("91-001", WREN): 701,
        ("91-002", HERON): 900, ("91-002", LARK): 901, ("91-002", WREN): 902,
    }  # fmt: skip
    contracts = batch.tables["contract"].set_index("contract_id")
    assert contracts["letting_date"].tolist() == [dt.date(2031, 4, 8), dt.date(2031, 5, 6)]
    assert contracts["description"].tolist() == ["Larch Road Bridge", "Sorrel Lane Bridge"]
    assert set(batch.tables["contract_item"]["schedule"]) == {""}


def test_tables_told_apart_by_the_name_of_the_project(write) -> None:
    rows = [*table(["Project: Larch Road"], [HERON], 500), [], *table(["Project: Sorrel Lane"], [HERON], 700)]
    assert bids(read_file(write(rows))) == {("Larch Road", HERON): 700, ("Sorrel Lane", HERON): 900}


def test_the_same_items_for_the_same_bidder_twice_are_refused_where_nothing_tells_them_apart(write) -> None:
    rows = [*table(["Contract 91-001"], [HERON], 500), [], *table(["(second sheet)"], [HERON], 700)]
    with pytest.raises(BadValue) as refused:
        read_file(write(rows))
    assert "stands above the same items twice, and both tables would be contract 91-001" in str(refused.value)
    assert "row 10" in str(refused.value)
    assert "row 3" in str(refused.value)
    assert "write “Contract” and its number above each" in str(refused.value)


def test_a_later_table_of_other_bidders_is_the_same_contract(write) -> None:
    rows = [*table(["Contract 91-001"], [HERON], 500), [], *table(["continued"], [WREN, LARK], 700)]
    assert bids(read_file(write(rows))) == {("91-001", HERON): 700, ("91-001", WREN): 900, ("91-001", LARK): 901}


def test_a_column_that_names_the_contract_parts_the_table(write) -> None:
    rows = [
        ["Letting of April 8, 2031"],
        ["", "", "", "", "", HERON, "", WREN, ""],
        ["Contract", *HEAD, "Unit Price", "Amount", "Unit Price", "Amount"],
        ["91-001", "1", "Mobilization", "LS", 1, 500, 500, 501, 501],
        ["", "2", "Beams", "LF", 10, 20, 200, 20, 200],
        ["", "", "Total", "", "", "", 700, "", 701],
        ["91-002", "1", "Mobilization", "LS", 1, 700, 700, 600, 600],
        ["", "", "Total", "", "", "", 700, "", 600],
    ]
    batch = read_file(write(rows))
    assert bids(batch) == {
        ("91-001", HERON): 700, ("91-001", WREN): 701, ("91-002", HERON): 700, ("91-002", WREN): 600,
    }  # fmt: skip
    assert batch.tables["contract_item"]["contract_id"].tolist() == ["91-001", "91-001", "91-002"]
    assert batch.rows_kept == 4


def test_a_contract_column_that_begins_blank_is_refused(write) -> None:
    rows = [
        ["", "", "", "", "", HERON, ""],
        ["Contract", *HEAD, "Unit Price", "Amount"],
        ["", "1", "Mobilization", "LS", 1, 500, 500],
    ]
    with pytest.raises(BadValue, match="contract number is blank"):
        read_file(write(rows))


def test_a_sheet_for_each_contract_named_by_its_title(write_xlsx) -> None:
    one, other = (table(["Bids opened April 8, 2031"], [HERON], price) for price in (500, 700))
    sheets = {"Contract 91-001": one, "Contract 91-002": other}
    assert bids(read_file(write_xlsx("tab.xlsx", sheets))) == {("91-001", HERON): 700, ("91-002", HERON): 900}
    sheets = {"Larch Road": one, "Sorrel Lane": other}
    with pytest.raises(BadValue, match="stands above the same items twice"):
        read_file(write_xlsx("tab.xlsx", sheets))


def test_blank_rows_above_the_contract_are_no_obstacle(write) -> None:
    batch = read_file(write([[], [], *table(["Contract 91-001"], [HERON], 500)]))
    assert bids(batch) == {("91-001", HERON): Decimal("700.00")}


def test_the_same_prices_once_more_on_another_sheet_are_counted_once(write_xlsx) -> None:
    rows = table(["Contract 91-001", "Bids opened April 8, 2031"], [HERON, WREN], 500)
    low = table(["Contract 91-001", "Bids opened April 8, 2031"], [HERON], 500)
    batch = read_file(write_xlsx("tab.xlsx", {"All bids": rows, "Low bid": low}))
    assert bids(batch) == {("91-001", HERON): 700, ("91-001", WREN): 701}
    again = batch.set_aside.query("reason == 'the same items and prices once more'")
    assert again["source_sheet"].tolist() == ["Low bid"] * 2

"""Bid tabs with one row per item and bidder: rows, lettings, estimate, debris, refusals."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from bidlens.errors import BadValue, UnreadableFile
from bidlens.ingest import read_file
from tests.ingest.conftest import ESTIMATE, HERON, LONG_HEAD, WREN, codes, conform_all, item


def test_rows_become_contract_items_bids_and_prices_and_the_estimate_is_no_bidder(write_csv, long_rows):
    batch = read_file(write_csv("letting_2031_04_08.csv", long_rows))
    conform_all(batch)
    assert (batch.kind, batch.layout, batch.contracts) == ("bid-tab", "long", 1)
    assert (batch.rows_read, batch.rows_kept, batch.rows_set_aside) == (7, 7, 0)
    assert sorted(batch.tables["bid"]["bidder"]) == [HERON, WREN]
    assert ESTIMATE not in set(batch.tables["bidder"]["spelling"])
    assert batch.tables["contract"]["letting_date"].tolist() == [dt.date(2031, 4, 8)]
    assert len(batch.tables["bid_price"]) == 4
    assert len(batch.tables["estimate_price"]) == 2
    assert batch.tables["contract_item"]["line"].tolist() == ["0010", "0020"]
    assert batch.tables["contract_item"]["pay_unit"].tolist() == ["LS", "LF"]
    assert batch.tables["contract_item"]["pay_unit_as_read"].tolist() == ["LSUM", "Ft"]


def test_totals_and_ranks_are_exact_to_the_cent(write_csv, long_rows):
    bids = read_file(write_csv("2031-04-08.csv", long_rows)).tables["bid"].set_index("bidder")
    assert bids.loc[WREN, "total_corrected"] == Decimal("2950.00")
    assert bids.loc[HERON, "total_as_read"] == Decimal("3000.00")
    assert bids["rank_corrected"].to_dict() == {WREN: 1, HERON: 2}


def test_every_price_knows_its_file_sheet_and_row(write_xlsx, long_rows):
    prices = read_file(write_xlsx("2031-04-08.xlsx", {"Tab": long_rows})).tables["bid_price"]
    heron = prices[prices["bidder"] == HERON]
    assert heron["source_row"].tolist() == [4, 7]
    assert set(prices["source_sheet"]) == {"Tab"}
    assert set(prices["source_file"]) == {"2031-04-08.xlsx"}


def test_headings_are_found_in_any_order_case_and_below_a_title(write_csv, long_rows):
    order = [6, 9, 8, 7, 5, 4, 3, 2, 1, 0]
    shuffled = [[row[place] for place in order] for row in long_rows]
    shuffled[0] = [f" {heading.upper()} " for heading in shuffled[0]]
    batch = read_file(write_csv("2031-04-08.csv", [["Bids as opened"], [], *shuffled]))
    assert len(batch.tables["bid_price"]) == 4
    assert batch.set_aside["reason"].tolist() == ["above the headings"]
    assert batch.rows_read == batch.rows_kept + batch.rows_set_aside == 8


def test_a_date_column_makes_two_lettings_of_one_contract(write_csv, long_rows):
    head, *rows = long_rows
    dated = [[*head, "Letting date"], *([*row, "04/08/2031"] for row in rows), *([*row, "2031-06-10"] for row in rows)]
    batch = read_file(write_csv("all.csv", dated))
    assert batch.layout == "long_dated"
    assert batch.tables["contract"]["letting_date"].tolist() == [dt.date(2031, 4, 8), dt.date(2031, 6, 10)]
    assert len(batch.tables["bid"]) == 4


def test_without_any_letting_date_the_message_says_how_to_give_it(write_csv, long_rows):
    with pytest.raises(BadValue, match="letting date") as caught:
        read_file(write_csv("tab.csv", long_rows))
    assert "Rename the file" in caught.value.do


@pytest.mark.parametrize("name", ["2031-02-30.csv", "letting 20311345.csv"])
def test_an_impossible_date_in_the_file_name_is_refused(write_csv, long_rows, name):
    with pytest.raises(BadValue, match="no day of the calendar"):
        read_file(write_csv(name, long_rows))


def test_a_date_outside_1950_to_2100_is_refused(write_csv, long_rows):
    head, *rows = long_rows
    with pytest.raises(BadValue, match="outside 1950 to 2100"):
        read_file(write_csv("tab.csv", [[*head, "Bid Date"], *([*row, "04/08/1931"] for row in rows)]))


def test_wrapped_descriptions_totals_and_repeated_headings_are_set_aside_with_their_reason(write_csv, long_rows):
    rows = [
        *long_rows[:2],
        ["", "", "", "(one lump)", "", "", "", "", "", ""],
        ["", "", "", "", "", "", "", "", "", ""],
        *long_rows[2:4],
        ["", "", "", "", "", "", "Ltd.", "", "", ""],
        LONG_HEAD,
        *long_rows[4:],
        ["91-001", "", "", "Total bid", "", "", WREN, "", "$2,950.00", 1],
        ["Section 2 - Bridge", "", "", "", "", "", "", "", "", ""],
    ]
    batch = read_file(write_csv("2031-04-08.csv", rows))
    assert batch.set_aside[["source_row", "reason"]].values.tolist() == [
        [3, "continuation of the description above"],
        [7, "continuation of the bidder's name above"],
        [8, "the headings once more"],
        [12, "a total, not an item"],
        [13, "a section heading, not an item"],
    ]
    assert batch.set_aside["text"].iloc[0] == "(one lump)"
    assert batch.rows_read == 12
    assert batch.rows_kept == 7
    assert batch.tables["contract_item"]["description"].tolist() == ["Mobilization (one lump)", "Beam, 21 inch"]
    assert len(batch.tables["bid_price"]) == 4


def test_text_for_a_price_stops_the_import_with_its_place(write_csv, long_rows):
    long_rows[5][7] = "1.2.50"
    with pytest.raises(BadValue) as caught:
        read_file(write_csv("2031-04-08.csv", long_rows))
    message = str(caught.value)
    assert message.startswith("2031-04-08.csv, row 6, column “Unit Price”: cannot read “1.2.50” as a unit price")
    assert "nothing was imported" in message


def test_a_decimal_comma_is_refused_and_the_message_shows_how_to_write_it(write_csv, long_rows):
    long_rows[5][7] = "1.234,50"
    with pytest.raises(BadValue, match=r"1,234\.50"):
        read_file(write_csv("2031-04-08.csv", long_rows))


def test_a_negative_quantity_is_refused_with_its_place(write_csv, long_rows):
    long_rows[2][5] = "-3"
    with pytest.raises(BadValue, match=r"row 3, column “Quantity”: the quantity is negative \(-3\)"):
        read_file(write_csv("2031-04-08.csv", long_rows))


def test_a_price_without_a_quantity_is_refused(write_csv, long_rows):
    long_rows[5][5] = ""
    with pytest.raises(BadValue, match="row 6: the row has a price but no quantity"):
        read_file(write_csv("2031-04-08.csv", long_rows))


def test_more_cells_than_headings_is_refused_and_not_shifted(write_csv, long_rows):
    long_rows[2].insert(3, "a comma split me")
    with pytest.raises(BadValue, match="row 3: the row has 11 cells, the headings have 10"):
        read_file(write_csv("2031-04-08.csv", long_rows))


def test_floats_and_money_text_give_the_same_cents(write_csv, write_xlsx, long_rows):
    def plain(row):
        money = [cell if at == 1 else float(str(cell).strip("$").replace(",", "")) for at, cell in enumerate(row[5:])]
        return [*row[:5], *money]

    numbers = [LONG_HEAD, *map(plain, long_rows[1:])]
    as_text = read_file(write_csv("2031-04-08.csv", long_rows)).tables["bid"]
    as_number = read_file(write_xlsx("2031-04-08.xlsx", {"Tab": numbers})).tables["bid"]
    assert as_text["total_corrected"].tolist() == as_number["total_corrected"].tolist()


def test_without_a_line_column_lines_are_numbered_and_a_repeated_item_is_two_lines(write_csv):
    head = ["Contract", "Letting", "Item", "Description", "Quantity", "Unit", "Bidder", "Unit price", "Extension"]
    row = ["B-77", "04/08/2031", "707-01", "Box beam", "10", "L.F."]
    rows = [
        [*row, HERON, "100", "1000"], [*row, WREN, "110", "1100"],
        [*row, HERON, "120", "1200"], [*row, WREN, "125", "1250"],
    ]  # fmt: skip
    batch = read_file(write_csv("tab.csv", [head, *rows]))
    assert batch.tables["contract_item"]["line"].tolist() == ["1", "2"]
    prices = batch.tables["bid_price"]
    assert prices[prices["line"] == "2"]["unit_price"].tolist() == [Decimal("120.00000"), Decimal("125.00000")]
    assert "line_repeated" not in codes(batch)


def test_a_line_repeated_for_one_bidder_is_kept_as_a_line_of_its_own_and_said(write_csv, long_rows):
    batch = read_file(write_csv("2031-04-08.csv", [*long_rows, long_rows[5]]))
    assert batch.tables["contract_item"]["line"].tolist() == ["0010", "0020", "0020-2"]
    assert "line_repeated" in codes(batch)


def test_an_unknown_pay_unit_is_kept_as_read_and_said(write_csv, long_rows):
    for row in long_rows[4:]:
        row[4] = "furlong"
    batch = read_file(write_csv("2031-04-08.csv", long_rows))
    assert batch.tables["contract_item"]["pay_unit"].tolist() == ["LS", "FURLONG"]
    assert [finding.text for finding in batch.findings if finding.code == "unknown_unit"] == [
        "the pay unit “furlong” is not known (1 item); it is kept as read"
    ]


def test_a_round_row_count_is_said(write_csv, long_rows):
    head, *rows = long_rows
    many = [[f"91-{number:04d}", *row[1:]] for number in range(1667) for row in rows][:10_000]
    assert "round_row_count" in codes(read_file(write_csv("2031-04-08.csv", [head, *many])))
    assert "round_row_count" not in codes(read_file(write_csv("2031-04-08.csv", [head, *many[:9990]])))


def test_two_spellings_of_one_bid_are_one_bidder(write_csv, long_rows):
    long_rows[5][6] = "WREN & SONS INC"
    batch = read_file(write_csv("2031-04-08.csv", long_rows))
    assert len(batch.tables["bid"]) == 2
    assert sorted(batch.tables["bidder"]["spelling"]) == [HERON, "WREN & SONS INC", WREN]
    assert "spelling_differs" in codes(batch)


def test_different_firms_of_one_family_stay_apart(write_csv, long_rows):
    for row in long_rows:
        row[6] = row[6].replace(HERON, "Wren Paving")
    assert len(read_file(write_csv("2031-04-08.csv", long_rows)).tables["bid"]) == 2


def test_several_sheets_of_one_workbook_come_in_together_and_a_hidden_one_is_named(write_xlsx, long_rows):
    other = [long_rows[0], *(["91-002", *row[1:]] for row in long_rows[1:])]
    path = write_xlsx("2031-04-08.xlsx", {"One": long_rows, "Two": other, "Draft": other}, hidden=["Draft"])
    batch = read_file(path)
    assert batch.contracts == 2
    assert batch.rows_read == 14
    assert "hidden_sheet" in codes(batch)


def test_a_file_that_is_no_bid_tab_is_refused_in_plain_words(write_csv):
    with pytest.raises(UnreadableFile, match="no sheet has the headings"):
        read_file(write_csv("note.csv", [["a", "b"], ["1", "2"]]), "bid-tab")


def test_a_row_of_one_item_only_with_item_code_is_enough(write_csv):
    head = ["Contract", "Item", "Qty", "U/M", "Contractor", "Price", "Letting"]
    batch = read_file(write_csv("t.csv", [head, ["7", "0012", "3", "EACH", HERON, "2.50", "4/8/2031"]]))
    assert batch.tables["contract_item"]["item_code"].tolist() == ["0012"]
    assert batch.tables["bid"]["total_corrected"].tolist() == [Decimal("7.50")]
    conform_all(batch)


def test_item_helper_keeps_the_order_of_the_headings():
    assert len(item("1", "d", "EA", 1, HERON, 1, 1, 1)) == len(LONG_HEAD)


def test_the_estimate_in_a_column_beside_the_prices_becomes_the_estimate(write_csv):
    head = [
        "Contract",
        "Letting",
        "Line",
        "Description",
        "Qty",
        "Unit",
        "Bidder",
        "Unit price",
        "Engineer's Estimate Unit Price",
    ]
    rows = [
        ["7", "4/8/2031", "1", "Deck", "88", "CY", who, price, "850"] for who, price in ((HERON, "900"), (WREN, "870"))
    ]
    batch = read_file(write_csv("t.csv", [head, *rows]))
    conform_all(batch)
    assert batch.tables["estimate_price"]["unit_price"].tolist() == [Decimal("850.00000")]
    assert len(batch.tables["bid_price"]) == 2
    assert (batch.rows_read, batch.rows_kept) == (3, 3)


@pytest.mark.parametrize("lost", ["Unit Price", "Bidder", "Description", "Quantity"])
def test_a_lost_heading_is_filled_in_where_the_cells_leave_no_doubt(write_csv, long_rows, lost):
    whole = read_file(write_csv("2031-04-08.csv", long_rows))
    long_rows[0] = ["" if heading == lost else heading for heading in LONG_HEAD]
    batch = read_file(write_csv("2031-04-08.csv", long_rows))
    assert batch.tables["bid"].to_dict() == whole.tables["bid"].to_dict()


def test_a_blank_column_without_a_heading_is_no_trouble(write_csv, long_rows):
    spaced = [[*row[:7], "", *row[7:]] for row in long_rows]
    assert len(read_file(write_csv("2031-04-08.csv", spaced)).tables["bid_price"]) == 4


def test_debris_with_noughts_in_the_other_cells_is_no_item(write_csv, long_rows):
    long_rows.insert(3, ["0", "0", "0", "of 91000)", "0", "0", "0", "0", "0", "0"])
    batch = read_file(write_csv("2031-04-08.csv", long_rows))
    assert batch.set_aside["reason"].tolist() == ["continuation of the description above"]


def test_a_column_of_structure_numbers_is_kept_with_the_contract(write_csv, long_rows):
    head, *rows = long_rows
    one = read_file(write_csv("2031-04-08.csv", [[*head, "Bridge No."], *([*row, "K-117"] for row in rows)]))
    assert one.tables["contract"]["structures_named"].tolist() == ["K-117"]
    both = [[*row, number] for row, number in zip(rows, ["K-117", "", "K-118", "K-117", "", ""], strict=True)]
    two = read_file(write_csv("2031-05-08.csv", [[*head, "Structure number"], *both]))
    assert two.tables["contract"]["structures_named"].tolist() == ["K-117; K-118"]
    conform_all(two)
    assert read_file(write_csv("2031-06-08.csv", long_rows)).tables["contract"]["structures_named"].isna().all()

"""Bid tabs with bidders side by side: names, blank prices, schedules, alternates, several sheets."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from bidlens.errors import BadValue
from bidlens.ingest import read_file
from tests.ingest.conftest import HERON, WREN, codes, conform_all

ROBIN, LARK = "Robin Constructors", "Lark LLC"
HEAD = ["Item No.", "Item Description", "Estimated\nQuantity", "Units", *["Unit Price", "Total Price"] * 3]


def block(names, items, total="Total Amount Bid", day=dt.date(2031, 3, 14)):
    """A sheet: facts at the left, each name over its two columns and five rows, items, a total row."""
    width = 2 * len(names)
    over = [cell for name in names for cell in (name, "")]
    facts = ["SAMPLE CREEK BRIDGE", "REPLACEMENT OF SUPERSTRUCTURE", 0, "Solicitation No. 2031-007", day]
    rows = [[fact, "", "", "", *(over if at == 0 else [""] * width)] for at, fact in enumerate(facts)]
    rows += [HEAD[: 4 + width], *items]
    sums = [sum(float(row[5 + 2 * at] or 0) for row in items) for at in range(len(names))]
    return [*rows, ["", total, "", "", *(cell for money in sums for cell in ("", money))]]


def blocks(count):
    """The merged blocks over the bidders' columns."""
    return [(0, 4 + 2 * at, 4, 5 + 2 * at) for at in range(count)]


ITEMS = [
    ["0001", "Mobilization\n(Item C-1)", 1, "LS", 61000, 61000, 58500, 58500, 55000, 55000],
    ["0002", "Steel Beams\n(Sec 05 12)", 41250, "LB", 2.95, 121687.5, 3.1, 127875, 2.75, 113437.5],
    ["0003", "Deck Concrete", 88, "CY", "", 74800, 905, 79640, 850, 74800],
]
NAMES = [f"{HERON}\nEaston", f"{WREN}\nWeston", "Engineer's Estimate"]


def test_bidders_in_merged_blocks_with_the_estimate_last(write_xlsx):
    path = write_xlsx("tab.xlsx", {"Bid Tab": block(NAMES, ITEMS)}, merged={"Bid Tab": blocks(3)})
    batch = read_file(path)
    conform_all(batch)
    assert (batch.layout, batch.contracts) == ("wide", 1)
    contract = batch.tables["contract"].iloc[0]
    assert (contract["contract_id"], contract["letting_date"]) == ("2031-007", dt.date(2031, 3, 14))
    assert contract["description"] == "SAMPLE CREEK BRIDGE, REPLACEMENT OF SUPERSTRUCTURE"
    bids = batch.tables["bid"].set_index("bidder")
    assert bids["total_corrected"].to_dict() == {
        f"{HERON} Easton": Decimal("257487.50"), f"{WREN} Weston": Decimal("266015.00"),
    }  # fmt: skip
    assert len(batch.tables["estimate_price"]) == 3
    assert batch.tables["contract_item"]["description"].iloc[0] == "Mobilization (Item C-1)"
    assert batch.tables["contract_item"]["line"].tolist() == ["0001", "0002", "0003"]
    assert batch.tables["bid_price"]["unit_price"].iloc[2] == Decimal("850.00000")
    assert "unit_price_from_extension" in codes(batch)
    assert batch.rows_read == 10
    assert batch.rows_read == batch.rows_kept + batch.rows_set_aside
    assert batch.rows_kept == 4


def test_bidders_named_in_plain_cells_above_their_columns(write_csv):
    batch = read_file(write_csv("tab_2031-03-14.csv", block(NAMES, ITEMS, day="")))
    assert batch.tables["contract"]["letting_date"].tolist() == [dt.date(2031, 3, 14)]
    assert len(batch.tables["bid"]) == 2


def test_bidders_named_in_the_headings_themselves(write_csv):
    head = ["Item", "Description", "Qty", "Unit", f"{HERON} Unit Price", f"{HERON} Amount", f"{WREN} - Unit Price"]
    batch = read_file(write_csv("91-004 2031-03-14.csv", [head, ["1", "Deck", "88", "CY", "850", "74800", "900"]]))
    bids = batch.tables["bid"].set_index("bidder")["total_corrected"].to_dict()
    assert bids == {HERON: Decimal("74800.00"), WREN: Decimal("79200.00")}


def test_bidders_spread_over_sheets_are_one_contract_and_the_summary_is_set_aside(write_xlsx):
    second = [[*row[:4], *row[6:8], *row[4:6], *row[8:]] for row in ITEMS]
    sheets = {
        "Bid Tab (1-2)": block([HERON, WREN], [row[:8] for row in ITEMS]),
        "Bid Tab (3-4)": block([ROBIN, LARK], [row[:8] for row in second]),
        "Bid Tab (EE)": block(["Engineer's Estimate"], [[*row[:4], *row[8:]] for row in ITEMS]),
        "Summary": [["Bidder", "Total Price"], [HERON, 257487.5], [WREN, 266015]],
    }
    merged = {"Bid Tab (1-2)": blocks(2), "Bid Tab (3-4)": blocks(2), "Bid Tab (EE)": blocks(1)}
    batch = read_file(write_xlsx("tab.xlsx", sheets, merged=merged))
    assert batch.contracts == 1
    assert len(batch.tables["contract_item"]) == 3
    assert len(batch.tables["bid"]) == 4
    assert len(batch.tables["estimate_price"]) == 3
    assert set(batch.tables["contract_item"]["schedule"]) == {""}
    assert "sheet_not_read" in codes(batch)
    assert (batch.set_aside["reason"] == "on a sheet that holds no bids").sum() == 3


def test_sheets_with_other_items_and_other_bidders_are_refused(write_xlsx):
    other = [["0001", "Something else", 5, "EA", 1, 5, 2, 10]]
    sheets = {"A": block([HERON, WREN], [row[:8] for row in ITEMS]), "B": block([ROBIN, LARK], other)}
    with pytest.raises(BadValue, match="no bidder is on both"):
        read_file(write_xlsx("tab.xlsx", sheets, merged={"A": blocks(2), "B": blocks(2)}))


def test_schedules_that_number_their_items_from_one_again_stay_apart_and_add_up(write_xlsx):
    other = [["0001", "Guardrail", 100, "LF", 40, 4000, 35, 3500]]
    sheets = {
        "A": block([HERON, WREN], [row[:8] for row in ITEMS], "Total Amount Bid Schedule A"),
        "B": block([HERON, WREN], other, "Total Amount Bid Schedule B"),
    }
    batch = read_file(write_xlsx("tab.xlsx", sheets, merged={"A": blocks(2), "B": blocks(2)}))
    conform_all(batch)
    assert batch.tables["contract_item"][["schedule", "line"]].values.tolist() == [
        ["Schedule A", "0001"], ["Schedule A", "0002"], ["Schedule A", "0003"], ["Schedule B", "0001"],
    ]  # fmt: skip
    bids = batch.tables["bid"].set_index("bidder")
    assert bids.loc[HERON, "total_corrected"] == Decimal("261487.50")
    assert bids.loc[HERON, "total_as_read"] == Decimal("261487.50")


def test_alternates_are_kept_but_not_in_the_totals(write_xlsx):
    other = [["0001", "Guardrail", 100, "LF", "N/B", "-", 35, 3500]]
    sheets = {
        "Base": block([HERON, WREN], [row[:8] for row in ITEMS], "Total Amount Base Bid"),
        "Alt": block(
            [HERON, WREN],
            other[:0] or [["0001", "Guardrail", 100, "LF", "", 0, 35, 3500]],
            "Total Amount Additive Alternate 1",
        ),
    }
    batch = read_file(write_xlsx("tab.xlsx", sheets, merged={"Base": blocks(2), "Alt": blocks(2)}))
    bids = batch.tables["bid"].set_index("bidder")
    assert bids.loc[WREN, "total_corrected"] == Decimal("266015.00")
    assert bids["status"].tolist() == ["responsive", "responsive"]
    assert {"alternates_apart", "no_bid_on_item"} <= set(codes(batch))
    assert len(batch.tables["bid_price"]) == 8


def test_prices_beside_no_item_are_refused_not_half_read(write_xlsx):
    broken = [*ITEMS, ["", "", "", "", 1100, "", 1150, "", 1450, ""]]
    with pytest.raises(BadValue, match="prices stand in this row beside no item and no quantity"):
        read_file(write_xlsx("tab.xlsx", {"T": block(NAMES, broken)}, merged={"T": blocks(3)}))


def test_prices_under_no_name_are_refused(write_xlsx):
    with pytest.raises(BadValue, match="under no bidder's name"):
        read_file(write_xlsx("tab.xlsx", {"T": block([HERON, "", WREN], ITEMS)}))


def test_a_negative_quantity_is_refused(write_xlsx):
    bad = [[*row[:2], -row[2], *row[3:]] for row in ITEMS]
    with pytest.raises(BadValue, match="the quantity is negative"):
        read_file(write_xlsx("tab.xlsx", {"T": block(NAMES, bad)}, merged={"T": blocks(3)}))


def test_a_second_block_of_bidders_below_the_first_is_read_under_its_own_names(write_csv):
    first = block([HERON, WREN], [row[:8] for row in ITEMS], day="2031-03-14")
    second = block([ROBIN, LARK], [row[:8] for row in ITEMS], day="2031-03-14")
    batch = read_file(write_csv("tab.csv", [*first, *second]))
    assert sorted(batch.tables["bid"]["bidder"]) == sorted([HERON, WREN, ROBIN, LARK])
    assert len(batch.tables["contract_item"]) == 3
    assert batch.rows_read == len(first) + len(second)
    assert batch.rows_read == batch.rows_kept + batch.rows_set_aside


def test_section_headings_name_the_schedule_of_the_items_below(write_xlsx):
    items = [["Schedule A - Bridge", *[""] * 9], *ITEMS[:2], ["Schedule B - Road", *[""] * 9], ITEMS[2]]
    rows = block(NAMES, [row for row in items if len(row) == 10 and row[1]])
    sheet = [*rows[:6], *items, rows[-1]]
    batch = read_file(write_xlsx("tab.xlsx", {"T": sheet}, merged={"T": blocks(3)}))
    assert batch.tables["contract_item"]["schedule"].tolist() == ["Schedule A - Bridge"] * 2 + ["Schedule B - Road"]


def test_bidders_named_in_the_row_that_opens_a_schedule(write_csv):
    rows = [
        [*HEAD[:4], *HEAD[4:8]],
        ["SCHEDULE A - BRIDGE", "", "", "", HERON, "", WREN, ""],
        *[row[:8] for row in ITEMS],
    ]
    batch = read_file(write_csv("91-004 2031-03-14.csv", rows))
    assert sorted(batch.tables["bid"]["bidder"]) == [HERON, WREN]
    assert set(batch.tables["contract_item"]["schedule"]) == {"SCHEDULE A - BRIDGE"}


def test_the_structures_a_column_names_are_kept_with_the_contract(write_xlsx):
    def with_bridge(row, shown):
        return [*row[:4], shown, *row[4:]]

    plain = block(NAMES[:2], [row[:8] for row in ITEMS])
    shown = [""] * 5 + ["Bridge No.", "", "K-117", "K-118", ""]
    rows = [with_bridge(row, cell) for row, cell in zip(plain, shown, strict=True)]
    merged = [(0, 5 + 2 * at, 4, 6 + 2 * at) for at in range(2)]
    batch = read_file(write_xlsx("tab.xlsx", {"Bid Tab": rows}, merged={"Bid Tab": merged}))
    conform_all(batch)
    assert batch.tables["contract"]["structures_named"].tolist() == ["K-117; K-118"]
    assert len(batch.tables["bid"]) == 2
    without = read_file(write_xlsx("plain.xlsx", {"Bid Tab": plain}, merged={"Bid Tab": blocks(2)}))
    assert without.tables["contract"]["structures_named"].isna().all()
    assert batch.tables["bid"]["total_corrected"].tolist() == without.tables["bid"]["total_corrected"].tolist()

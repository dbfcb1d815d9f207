"""Bid tabs as offices type them by hand: lump sums without quantities, taxes, places above names, amounts first."""

from __future__ import annotations

from decimal import Decimal

import pytest

from bidlens.errors import BadValue, UnreadableFile
from bidlens.ingest import read_file
from bidlens.ingest.layout import cell_words
from tests.ingest.conftest import ESTIMATE, HERON, LONG_HEAD, WREN, codes, conform_all

FIRST = ["No.", "Description", "Unit", "Qty"]
ITEMS = [("Mobilization", "LS", 1), ("Box Beams", "LF", 400), ("Deck Concrete", "CY", 90)]
PRICES = {HERON: (50000, 310.5, 850), WREN: (45000, 295, 905)}
TOTALS = {HERON: Decimal("250700.00"), WREN: Decimal("244450.00")}


def wide(*, names=None, pair=("Unit Price", "Amount"), quantities=(1, 400, 90), below=()):
    """Rows of a sheet: names over pairs of columns, three items, and what stands below them."""
    named = [["", "", "", "", HERON, "", WREN, ""]] if names is None else names
    rows = [["Contract No. 31-019"], ["Bid Date: 04/08/2031"], *named, [*FIRST, *pair, *pair]]
    for at, (work, unit, quantity) in enumerate(ITEMS):
        money = {bidder: (own[at], quantity * own[at]) for bidder, own in PRICES.items()}
        ordered = [cell for one in money.values() for cell in (one if pair[0] == "Unit Price" else reversed(one))]
        rows.append([at + 1, work, unit, quantities[at], *ordered])
    return [*rows, *below]


def totals_of(batch):
    conform_all(batch)
    return batch.tables["bid"].set_index("bidder")["total_corrected"].to_dict()


@pytest.mark.parametrize("shown", ["", "LS", "Lump Sum", "L.S.", "1 LS"])
def test_a_lump_sum_without_a_quantity_in_figures_is_one(write_xlsx, shown):
    batch = read_file(write_xlsx("tab.xlsx", {"Bids": wide(quantities=(shown, 400, 90))}))
    assert totals_of(batch) == TOTALS
    assert batch.tables["contract_item"]["quantity"].iloc[0] == 1
    assert codes(batch).count("lump_sum_quantity") == 1
    assert "lump_sum_quantity" not in codes(read_file(write_xlsx("plain.xlsx", {"Bids": wide()})))


@pytest.mark.parametrize("large", [False, True])
def test_a_lump_sum_without_a_quantity_is_one_in_a_list_of_rows_too(write_csv, monkeypatch, large):
    if large:
        monkeypatch.setattr("bidlens.ingest.grid.WORTH_IT_FROM_BYTES", 0)
    rows = [LONG_HEAD]
    for bidder, own in PRICES.items():
        for at, (work, unit, quantity) in enumerate(ITEMS):
            shown = quantity if at else ""
            rows.append(["C-1", at + 1, "", work, unit, shown, bidder, own[at], f"{quantity * own[at]:.2f}", ""])
    batch = read_file(write_csv("2031-04-08.csv", rows))
    assert totals_of(batch) == TOTALS
    assert codes(batch).count("lump_sum_quantity") == 1


def test_any_other_item_without_a_quantity_is_still_refused(write_xlsx, write_csv):
    with pytest.raises(BadValue, match="beside no quantity"):
        read_file(write_xlsx("tab.xlsx", {"Bids": wide(quantities=(1, "", 90))}))
    with pytest.raises(BadValue, match="Lump Sum"):
        read_file(write_xlsx("tab.xlsx", {"Bids": wide(quantities=(1, "Lump Sum", 90))}))
    row = ["C-1", "1", "", "Box Beams", "LF", "", HERON, "310.50", "", ""]
    with pytest.raises(BadValue, match="no quantity"):
        read_file(
            write_csv("2031-04-08.csv", [LONG_HEAD, row, ["C-1", "2", "", "Rail", "LF", "3", HERON, "9", "27", ""]])
        )


def test_a_sales_tax_below_the_items_is_set_aside_and_said(write_xlsx):
    below = [
        ["", "Subtotal", "", "", "", 250700, "", 244450],
        ["", "Sales Tax 8.9%", "", "", "", 22312.3, "", 21756.05],
        ["", "TOTAL BID", "", "", "", 273012.3, "", 266206.05],
    ]
    batch = read_file(write_xlsx("tab.xlsx", {"Bids": wide(below=below)}))
    assert totals_of(batch) == TOTALS
    assert "a tax on the whole, not an item" in batch.set_aside["reason"].tolist()
    assert codes(batch).count("tax_set_aside") == 1
    assert "printed_total_differs" not in codes(batch)


def test_an_item_of_tax_counting_is_an_item(write_xlsx):
    rows = wide()
    rows[4][1] = "Sales Tax Training"
    assert totals_of(read_file(write_xlsx("tab.xlsx", {"Bids": rows}))) == TOTALS


def test_amounts_may_stand_before_their_prices(write_xlsx):
    batch = read_file(write_xlsx("tab.xlsx", {"Bids": wide(pair=("Total", "Unit Price"))}))
    assert totals_of(batch) == TOTALS
    assert "extension_differs" not in codes(batch)


@pytest.mark.parametrize("places", [("BIDDER 1", "BIDDER 2"), ("Low Bidder", "2nd Low Bidder"), ("No. 1", "No. 2")])
def test_a_place_above_the_name_is_not_the_name(write_xlsx, places):
    names = [["", "", "", "", places[0], "", places[1], ""], ["", "", "", "", HERON, "", WREN, ""]]
    assert totals_of(read_file(write_xlsx("tab.xlsx", {"Bids": wide(names=names)}))) == TOTALS
    alone = read_file(write_xlsx("alone.xlsx", {"Bids": wide(names=names[:1])}))
    assert totals_of(alone) == dict(zip(places, TOTALS.values(), strict=True))


def test_a_contract_named_amid_other_words_is_found(write_xlsx):
    rows = [["Bridge over Alder Creek, Contract No. 31-020, Phase 2"], *wide()[1:]]
    assert read_file(write_xlsx("tab.xlsx", {"Bids": rows})).tables["contract"]["contract_id"].tolist() == ["31-020"]


@pytest.mark.parametrize(
    "name",
    ["0 - Engineers Estimate", "(0) EST", "P.S.&E. Estimate", "Engineer's Cost Estimate", "Construction Cost Estimate",
     "Engineer's Opinion of Probable Cost", "Opinion of Probable Construction Cost", "Approved Estimate", ESTIMATE],
)  # fmt: skip
def test_the_estimate_is_known_by_its_many_names(name):
    assert cell_words().is_estimate(name)


@pytest.mark.parametrize("name", ["Estimating Services Inc", "S & E Contractors", "P & S Bridge", "Costa Construction"])
def test_a_firm_is_not_taken_for_the_estimate(name):
    assert not cell_words().is_estimate(name)


def test_a_row_of_dashes_is_no_bid(write_xlsx):
    rows = wide()
    rows[5][4:6] = ["NO BID", "---"]
    batch = read_file(write_xlsx("tab.xlsx", {"Bids": rows}))
    assert batch.tables["bid"].set_index("bidder")["status"].to_dict() == {HERON: "irregular", WREN: "responsive"}


def test_a_table_for_each_bidder_one_below_the_other_is_one_contract(write_xlsx):
    rows = [["Contract No. 31-030"], ["Bid Date: 04/08/2031"]]
    for bidder, own in PRICES.items():
        rows += [[f"Bidder: {bidder}"], [*FIRST, "Unit Price", "Amount"]]
        rows += [
            [at + 1, work, unit, quantity, own[at], quantity * own[at]]
            for at, (work, unit, quantity) in enumerate(ITEMS)
        ]
        rows += [["", "Total", "", "", "", float(TOTALS[bidder])], [""]]
    batch = read_file(write_xlsx("tab.xlsx", {"Bids": rows}))
    assert totals_of(batch) == TOTALS
    assert len(batch.tables["contract_item"]) == 3
    assert batch.findings == []


def test_names_within_the_headings_may_hold_words_of_other_headings(write_xlsx):
    pairs = [
        f"{name} - {what}" for name in ("Heron Contracting", "Wren Project Group") for what in ("Unit Price", "Total")
    ]
    rows = wide(names=[])
    rows[2] = [*FIRST, *pairs]
    batch = read_file(write_xlsx("tab.xlsx", {"Bids": rows}))
    assert totals_of(batch) == dict(zip(("Heron Contracting", "Wren Project Group"), TOTALS.values(), strict=True))
    assert batch.tables["bid_price"]["extension_as_read"].notna().all()


def test_the_low_bidders_own_columns_are_a_bid(write_xlsx):
    rows = wide(names=[])
    rows[2] = [*FIRST, "Low Bid Unit Price", "Low Bid Amount", "2nd Bid Unit Price", "2nd Bid Amount"]
    unnamed = read_file(write_xlsx("unnamed.xlsx", {"Bids": rows}))
    assert list(totals_of(unnamed).values()) == list(TOTALS.values())
    assert codes(unnamed).count("bidder_not_named") == 1
    named = [*rows[:3], ["", "", "", "", HERON, "", WREN, ""], *rows[3:]]
    batch = read_file(write_xlsx("named.xlsx", {"Bids": named}))
    assert totals_of(batch) == TOTALS
    assert "bidder_not_named" not in codes(batch)


def test_a_ranking_of_one_contract_named_above_it_is_its_bids(write_xlsx):
    rows = [
        ["Bid Results - Contract 31-028"], ["April 8, 2031"], ["Rank", "Bidder", "City", "Total Bid"],
        [1, WREN, "Easton", "$244,450.00"], [2, HERON, "Weston", "$250,700.00"], ["", ESTIMATE, "", "$260,000.00"],
    ]  # fmt: skip
    batch = read_file(write_xlsx("ranking.xlsx", {"Bids": rows}))
    assert totals_of(batch) == TOTALS
    contract = batch.tables["contract"].iloc[0]
    assert (contract["contract_id"], contract["estimate_total"]) == ("31-028", Decimal("260000.00"))
    rows[0] = ["Amounts paid"]
    with pytest.raises(UnreadableFile):
        read_file(write_xlsx("paid.xlsx", {"Bids": rows}))

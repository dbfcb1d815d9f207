"""Corrected totals, ranks and what is doubtful about bids."""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import pyarrow as pa

from bidlens.ingest import read_file, totals
from tests.ingest.conftest import ESTIMATE, HERON, LONG_HEAD, WREN, codes, conform_all, item

ROBIN = "Robin Constructors"


def read_bids(write_csv, rows, name="2031-04-08.csv"):
    batch = read_file(write_csv(name, [LONG_HEAD, *rows]))
    conform_all(batch)
    return batch, batch.tables["bid"].set_index("bidder")


def texts(batch, code):
    return [finding.text for finding in batch.findings if finding.code == code]


def test_the_unit_price_governs_over_the_extension_and_both_totals_and_ranks_are_kept(write_csv):
    """Vintage Constr. v. Alaska DOT&PF, 713 P.2d 1213 (1986): bids read at 2,334,904.50 and 2,536,607; the second one's
    extensions were 249,900 above its unit prices, so as corrected it is 2,286,707 and low by 48,197.50.
    (43 TAC 9.16(a) and OAR 731-005-0650(2)(b) state the same rule.)
    """
    rows = [
        item("1", "Everything else", "LS", "1", HERON, "2334904.50", "2334904.50", 1),
        item("1", "Everything else", "LS", "1", WREN, "2286707.00", "2536607.00", 2),
    ]
    batch, bids = read_bids(write_csv, rows)
    assert bids.loc[WREN, "total_as_read"] == Decimal("2536607.00")
    assert bids.loc[WREN, "total_corrected"] == Decimal("2286707.00")
    assert bids["rank_as_read"].to_dict() == {HERON: 1, WREN: 2}
    assert bids["rank_corrected"].to_dict() == {HERON: 2, WREN: 1}
    assert bids.loc[HERON, "total_corrected"] - bids.loc[WREN, "total_corrected"] == Decimal("48197.50")
    assert texts(batch, "low_bidder_changes") == [
        f"contract 91-001: low as read {HERON} ($2,334,904.50), low as corrected {WREN} ($2,286,707.00)"
    ]
    assert texts(batch, "extension_differs") == [
        f"contract 91-001: {WREN}: 1 extension differs from quantity x unit price, by up to $249,900.00; "
        "the unit price governs"
    ]


def test_a_cent_of_rounding_is_no_difference_but_two_are(write_csv):
    rows = [
        item("1", "A", "LF", "3", HERON, "0.335", "1.00", 1),  # 1.005 is 1.01
        item("1", "A", "LF", "3", WREN, "0.335", "0.99", 2),
    ]
    batch, bids = read_bids(write_csv, rows)
    assert bids["total_corrected"].tolist() == [Decimal("1.01"), Decimal("1.01")]
    assert [text.split(":")[1].strip() for text in texts(batch, "extension_differs")] == [WREN]


def test_extensions_round_half_up_where_binary_floats_would_not():
    """43 TAC 9.16(b) rounds half up; 1.005 x 1 in binary floats is 1.00499... and would give 1.00."""
    quantity = pa.array([Decimal("1.0000"), Decimal("3.0000")], pa.decimal128(18, 4))
    price = pa.array([Decimal("1.00500"), Decimal("-0.33500")], pa.decimal128(18, 5))
    assert totals.extensions(quantity, price).to_pylist() == [Decimal("1.01"), Decimal("-1.01")]


def test_ties_share_a_place_and_are_said_and_not_broken(write_csv):
    rows = [
        item("1", "A", "LS", "1", who, price, price, 1) for who, price in ((HERON, "10"), (WREN, "10"), (ROBIN, "11"))
    ]
    batch, bids = read_bids(write_csv, rows)
    assert bids["rank_corrected"].to_dict() == {HERON: 1, WREN: 1, ROBIN: 3}
    assert texts(batch, "tie") == [f"contract 91-001: {HERON} and {WREN} are tied at $10.00"]


def test_a_single_bid_is_noted(write_csv):
    batch, _ = read_bids(write_csv, [item("1", "A", "LS", "1", HERON, "10", "10", 1)])
    assert texts(batch, "single_bid") == ["contract 91-001 has a single responsive bid"]


def test_a_blank_price_with_an_extension_is_worked_out_and_said(write_csv):
    batch, bids = read_bids(write_csv, [item("1", "A", "CY", "88", HERON, "", "74800", 1)])
    assert batch.tables["bid_price"]["unit_price"].tolist() == [Decimal("850.00000")]
    assert bids.loc[HERON, "total_corrected"] == Decimal("74800.00")
    assert "unit_price_from_extension" in codes(batch)


def test_a_blank_price_without_extension_makes_the_bid_irregular_and_unranked(write_csv):
    """43 TAC 9.16(b): a unit price left blank makes the bid incomplete."""
    rows = [
        item("1", "A", "LS", "1", HERON, "10", "10", 1), item("1", "A", "LS", "1", WREN, "8", "8", 2),
        item("2", "B", "LS", "1", HERON, "10", "10", 1), item("2", "B", "LS", "1", WREN, "", "", 2),
    ]  # fmt: skip
    batch, bids = read_bids(write_csv, rows)
    assert bids["status"].to_dict() == {HERON: "responsive", WREN: "irregular"}
    assert bids["rank_corrected"].isna().to_dict() == {HERON: False, WREN: True}
    assert bids["total_corrected"].isna()[WREN]
    assert next(finding.severity for finding in batch.findings if finding.code == "blank_unit_price") == "stop"
    assert batch.tables["bid_price"]["unit_price"].isna().sum() == 1


def test_no_bid_is_not_a_blank_price(write_csv):
    rows = [
        item("1", "A", "LS", "1", HERON, "10", "10", 1), item("1", "A", "LS", "1", WREN, "No Bid", "-", 2),
    ]  # fmt: skip
    batch, _ = read_bids(write_csv, rows)
    assert "no_bid_on_item" in codes(batch)
    assert "blank_unit_price" not in codes(batch)


def test_zero_and_negative_prices_are_kept_and_said(write_csv):
    rows = [
        item("1", "A", "LS", "1", HERON, "$0.00", "$0.00", 1),
        item("2", "B", "LS", "1", HERON, "-$1,234.50", "-$1,234.50", 1),
    ]
    batch, bids = read_bids(write_csv, rows)
    assert bids.loc[HERON, "total_corrected"] == Decimal("-1234.50")
    assert {"zero_unit_price", "negative_unit_price"} <= set(codes(batch))


def test_a_status_column_takes_rejected_and_withdrawn_bids_out_of_the_order(write_csv):
    rows = [
        item("1", "A", "LS", "1", who, price, price, rank)
        for who, price, rank in ((HERON, "8", 1), (WREN, "9", 2), (ROBIN, "10", 3))
    ]
    told = [[*LONG_HEAD, "Bid status"], [*rows[0], "Rejected"], [*rows[1], "withdrawn"], [*rows[2], "awarded"]]
    batch = read_file(write_csv("2031-04-08.csv", told))
    bids = batch.tables["bid"].set_index("bidder")
    assert bids["status"].to_dict() == {HERON: "rejected", WREN: "withdrawn", ROBIN: "responsive"}
    assert bids.loc[ROBIN, "rank_corrected"] == 1
    assert batch.tables["contract"]["status"].tolist() == ["awarded"]


def test_all_bids_rejected_makes_the_letting_rejected(write_csv):
    rows = [[*LONG_HEAD, "Bid status"], [*item("1", "A", "LS", "1", HERON, "8", "8", 1), "rejected"]]
    batch = read_file(write_csv("2031-04-08.csv", rows))
    assert batch.tables["contract"]["status"].tolist() == ["rejected"]
    assert "no_bids" in codes(batch)


def test_a_total_repeated_for_every_bidder_is_the_low_bidders(write_csv):
    head = ["Contract", "Date", "Description", "Qty", "Unit", "Bidder", "Unit Price", "Extension", "Pos", "Total"]
    rows = [
        ["7", "4/8/2031", "A", "1", "LS", who, price, price, place, "10.00"]
        for who, price, place in ((HERON, "10", 1), (WREN, "12", 2))
    ]
    bids = read_file(write_csv("t.csv", [head, *rows])).tables["bid"].set_index("bidder")
    assert bids["total_as_read"].to_dict() == {HERON: Decimal("10.00"), WREN: Decimal("12.00")}


def test_items_short_of_the_stated_total_are_said(write_csv):
    head = ["Contract", "Date", "Description", "Qty", "Unit", "Bidder", "Unit Price", "Extension", "Pos", "Total"]
    batch = read_file(write_csv("t.csv", [head, ["7", "4/8/2031", "A", "1", "LS", HERON, "10", "10", 1, "30.00"]]))
    assert texts(batch, "printed_total_differs") == [
        f"contract 7: {HERON}: the file states a total of $30.00, its items add up to $10.00"
    ]
    assert batch.tables["bid"]["total_as_read"].tolist() == [Decimal("30.00")]


def test_an_order_that_is_not_that_of_the_totals_is_noted(write_csv):
    rows = [item("1", "A", "LS", "1", HERON, "10", "10", 1), item("1", "A", "LS", "1", WREN, "8", "8", 2)]
    batch, bids = read_bids(write_csv, rows)
    assert bids["rank_corrected"].to_dict() == {HERON: 2, WREN: 1}
    assert "order_not_by_total" in codes(batch)


def test_different_quantities_for_one_line_are_said_and_the_first_is_used(write_csv):
    rows = [item("1", "A", "LF", "10", HERON, "2", "20", 1), item("1", "A", "LF", "11", WREN, "2", "22", 2)]
    batch, bids = read_bids(write_csv, rows)
    assert "quantity_differs" in codes(batch)
    assert bids["total_corrected"].tolist() == [Decimal("20.00"), Decimal("20.00")]


def test_the_estimate_is_told_by_order_nought_or_by_its_name(write_csv):
    rows = [item("1", "A", "LS", "1", "County forces", "9", "9", 0), item("1", "A", "LS", "1", HERON, "10", "10", 1)]
    batch, _ = read_bids(write_csv, rows)
    assert batch.tables["estimate_price"]["unit_price"].tolist() == [Decimal("9.00000")]
    for name in (ESTIMATE, "Eng Est", "ESTIMATE", "Engineers Est."):
        batch, bids = read_bids(write_csv, [item("1", "A", "LS", "1", name, "9", "9", ""), *rows[1:]])
        assert list(bids.index) == [HERON]
    _, bids = read_bids(write_csv, [item("1", "A", "LS", "1", "Estuary Engineering", "9", "9", 2), *rows[1:]])
    assert "Estuary Engineering" in bids.index


def test_sums_are_whole_cents_without_drift():
    cents = np.full(100_000, 10, dtype=np.int64)
    assert totals.sums(cents, np.zeros(100_000, dtype=int), 1).tolist() == [1_000_000]

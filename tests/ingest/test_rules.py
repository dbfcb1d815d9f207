"""The owner's word on counting bids: the schedules an award rests on, and the entering of unit prices."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

import pyarrow as pa
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bidlens.errors import BadValue
from bidlens.ingest import BidRules, parse_award, read_file
from bidlens.ingest.cells import numbers
from bidlens.ingest.rules import by_tenth_of_a_cent
from tests.ingest.conftest import ESTIMATE, HERON, LONG_HEAD, WREN, codes, conform_all, item

TENTH = BidRules(entry_rule="tenth-of-a-cent")


def of(schedule: str, line: str, bidder: str, price: object) -> list[object]:
    row = item(line, f"Work {line}", "LS", "1", bidder, price, price, "")
    row[2] = schedule
    return row


@pytest.fixture
def with_alternates(write_csv):
    """Base: Heron 100, Wren 110. Base + ALT 1: Heron 160, Wren 140. Base + ALT 2: Heron 105, Wren 120."""
    told = [("Base Bid", 100, 110), ("Alternate 1", 60, 30), ("Alternate 2", 5, 10)]
    rows = [
        of(name, "1", who, price) for name, *prices in told for who, price in zip((HERON, WREN), prices, strict=True)
    ]
    return write_csv("2031-04-08.csv", [LONG_HEAD, *rows])


def low_of(batch) -> dict[str, Decimal]:
    bids = batch.tables["bid"].query("rank_corrected == 1")
    return dict(zip(bids["bidder"], bids["total_corrected"], strict=True))


# --- which schedules decide (OAR 731-005-0650(2)(a)-(b): the owner's choice, stated beforehand) -------------------


def test_without_a_word_the_base_bid_decides(with_alternates):
    batch = read_file(with_alternates)
    assert low_of(batch) == {HERON: Decimal("100.00")}
    assert batch.tables["contract"]["award_rests_on"].isna().all()
    assert "alternates_apart" in codes(batch)


@pytest.mark.parametrize(
    ("award", "low", "total", "rests_on"),
    [
        ("base + ALT 1", WREN, "140.00", "Base Bid + Alternate 1"),
        ("Base bid, alternate 2", HERON, "105.00", "Base Bid + Alternate 2"),
        ("base and alt. 1 and alt. 2", WREN, "150.00", "Base Bid + Alternate 1 + Alternate 2"),
        ("Alternate 1", WREN, "30.00", "Alternate 1"),
        ("base", HERON, "100.00", "Base Bid"),
    ],
)
def test_totals_ranks_and_lines_follow_the_owners_choice(with_alternates, award, low, total, rests_on):
    """OAR 731-005-0650(2)(a)-(b): bids are compared with the alternates the owner selects."""
    batch = read_file(with_alternates, rules=BidRules(parse_award(award)))
    conform_all(batch)
    assert low_of(batch) == {low: Decimal(total)}
    assert batch.tables["contract"]["award_rests_on"].tolist() == [rests_on]
    apart = batch.tables["contract_item"].query("alternate")["schedule"].tolist()
    assert set(apart) == {"Base Bid", "Alternate 1", "Alternate 2"} - set(rests_on.split(" + "))
    assert "alternates_apart" not in codes(batch)


def test_an_award_on_a_schedule_the_file_does_not_have_is_refused(with_alternates):
    with pytest.raises(BadValue, match=r"“Alternate 7”.*\n.*“Base Bid”, “Alternate 1”"):
        read_file(with_alternates, rules=BidRules(parse_award("base + Alternate 7")))
    with pytest.raises(BadValue, match="no schedule is named"):
        parse_award(" + ")


def test_a_contract_without_the_chosen_schedule_is_counted_as_ever(write_csv):
    rows = [of("Base Bid", "1", HERON, 100), of("Alternate 1", "1", HERON, 50)]
    other = [["92-002", *of("Base Bid", "1", WREN, 70)[1:]], ["92-002", *of("Alternate 2", "1", WREN, 9)[1:]]]
    batch = read_file(write_csv("2031-04-08.csv", [LONG_HEAD, *rows, *other]), rules=BidRules(("Alternate 1",)))
    assert low_of(batch) == {HERON: Decimal("50.00"), WREN: Decimal("70.00")}
    assert {"award_as_told", "alternates_apart"} <= set(codes(batch))


def test_a_lone_letter_names_a_schedule_and_no_word(write_csv):
    rows = [of("Schedule A", "1", HERON, 1), of("Schedule B, with a rail", "1", HERON, 10), of("Part C", "1", HERON, 5)]
    path = write_csv("2031-04-08.csv", [LONG_HEAD, *rows])
    assert low_of(read_file(path, rules=BidRules(("A",)))) == {HERON: Decimal("1.00")}
    assert low_of(read_file(path, rules=BidRules(("A", "C")))) == {HERON: Decimal("6.00")}


def test_printed_totals_are_those_of_the_chosen_schedules(write_xlsx):
    def sheet(name: str, *prices: int) -> list[list[object]]:
        return [
            ["Contract 91-001", "", "", "", HERON, "", WREN, ""],
            ["Item No.", "Description", "Unit", "Quantity", *["Unit Price", "Amount"] * 2],
            ["1", f"Work of {name}", "LS", 1, *(cell for price in prices for cell in (price, price))],
            ["", f"Total {name}", "", "", *(cell for price in prices for cell in ("", price))],
        ]

    sheets = {"Base": sheet("Base Bid", 100, 110), "Alt": sheet("Alternate 1", 60, 30)}
    batch = read_file(write_xlsx("2031-04-08.xlsx", sheets), rules=BidRules(parse_award("base + alternate 1")))
    assert batch.tables["bid"].set_index("bidder")["total_as_read"].to_dict() == {HERON: 160, WREN: 140}
    assert "printed_total_differs" not in codes(batch)


# --- entering unit prices (43 TAC 9.16(b)) ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("bid", "entered"),
    [
        ("1.2345", "1.235"),
        ("1.2344", "1.234"),
        ("0.00", "0.001"),
        ("1.23449996", "1.234"),
        ("7", "7"),
        ("0.0004", "0.001"),
    ],
)
def test_prices_are_entered_to_a_tenth_of_a_cent(write_csv, bid, entered):
    """43 TAC 9.16(b): more than three decimals round half up to a tenth of a cent, a zero is tabulated as $0.001."""
    path = write_csv("2031-04-08.csv", [LONG_HEAD, item("1", "A", "LF", "1000", HERON, bid, "", "")])
    batch = read_file(path, rules=TENTH)
    assert batch.tables["bid_price"]["unit_price"].tolist() == [Decimal(entered)]
    assert batch.tables["bid"]["total_corrected"].tolist() == [Decimal(entered) * 1000]
    assert ("price_entered_by_rule" in codes(batch)) == (Decimal(bid) != Decimal(entered))
    as_bid = read_file(path).tables["bid_price"]["unit_price"].tolist()
    assert as_bid == [Decimal(bid).quantize(Decimal("0.00001"), ROUND_HALF_UP)]


def test_a_blank_price_stays_blank_under_the_rule_and_the_estimate_stands_as_it_is(write_csv):
    """43 TAC 9.16(b): a blank unit price makes a bid incomplete; the rule is one of bids."""
    rows = [item("1", "A", "LF", "1", who, price, "", "") for who, price in ((HERON, ""), (ESTIMATE, "0"), (WREN, 2))]
    batch = read_file(write_csv("2031-04-08.csv", [LONG_HEAD, *rows]), rules=TENTH)
    assert batch.tables["bid"].set_index("bidder")["status"].to_dict() == {HERON: "irregular", WREN: "responsive"}
    assert batch.tables["estimate_price"]["unit_price"].tolist() == [Decimal(0)]


def test_the_rule_holds_for_bidders_side_by_side(write_xlsx):
    rows = [
        ["Contract 91-001", "", "", "", HERON, ""],
        ["Item No.", "Description", "Unit", "Quantity", "Unit Price", "Amount"],
        ["1", "A", "LF", 1000, 1.2345, ""],
        ["2", "B", "LF", 1000, 0, ""],
    ]
    batch = read_file(write_xlsx("2031-04-08.xlsx", {"Tab": rows}), rules=TENTH)
    assert batch.tables["bid_price"]["unit_price"].tolist() == [Decimal("1.235"), Decimal("0.001")]


@settings(max_examples=200, deadline=None)
@given(st.decimals("0", "99999", places=7))
def test_entering_a_price_is_decimal_rounding_half_up(price):
    """Against the decimal module of the standard library."""
    read = numbers([f"{price:f}"], 3, [], "a price")
    wanted = price.quantize(Decimal("0.001"), ROUND_HALF_UP) or Decimal("0.001")
    assert by_tenth_of_a_cent(read).to_pylist() == [wanted]
    assert by_tenth_of_a_cent(pa.nulls(1, read.type)).null_count == 1


def test_an_unknown_rule_is_refused():
    with pytest.raises(BadValue, match=r"no rule “thirds”\nRules: as-bid, tenth-of-a-cent"):
        BidRules(entry_rule="thirds")


# --- sheets that repeat the totals --------------------------------------------------------------------------------


@pytest.mark.parametrize(("stated", "differs"), [(140, False), ("$160.00", False), (150, True)])
def test_a_summary_sheet_is_a_check_on_the_totals(write_xlsx, stated, differs):
    tab = [
        ["Contract 91-001", "", "", "", HERON, "", WREN, ""],
        ["Item No.", "Description", "Unit", "Quantity", *["Unit Price", "Amount"] * 2],
        ["1", "Beams", "LS", 1, 140, 160, 200, 200],
    ]
    sheets = {"Tab": tab, "Summary": [["Bidder", "Total"], [HERON.upper(), stated], [WREN, 200], ["Nobody Inc.", 7000]]}
    batch = read_file(write_xlsx("2031-04-08.xlsx", sheets))
    assert ("summary_total_differs" in codes(batch)) == differs
    assert len(batch.tables["bid"]) == 2


@pytest.mark.parametrize("count", [10_000, 50_000, 65_536])
@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_a_round_number_of_rows_is_said(write_csv, write_xlsx, count, ending):
    if ending == "xlsx" and count > 10_000:
        pytest.skip("a large workbook takes long to write; the count is made the same way")
    rows = [LONG_HEAD, *(item(str(at), "A", "LS", "1", HERON, "1", "1", "") for at in range(count - 1))]
    for extra in (0, 1, 2):  # with the heading, without it, and one more
        told = [*rows, *(item(f"x{at}", "A", "LS", "1", HERON, "1", "1", "") for at in range(extra))]
        path = write_csv("2031-04-08.csv", told) if ending == "csv" else write_xlsx("2031-04-08.xlsx", {"a": told})
        assert ("round_row_count" in codes(read_file(path))) == (extra < 2)


@pytest.mark.parametrize(("rows", "said"), [(10_000, True), (10_001, True), (9_990, False)])
def test_a_round_number_of_rows_is_said_of_old_workbooks_too(tmp_path, rows, said):
    """With the heading row or without it; 65,536 is the most an .xls can hold, and is counted the same way."""
    xlwt = pytest.importorskip("xlwt", reason="xlwt is not installed: no .xls can be written")
    book = xlwt.Workbook()
    sheet = book.add_sheet("Sheet1")
    told = ["Contract", "Line", "Description", "Unit", "Quantity", "Bidder", "Unit Price"]
    for column, name in enumerate(told):
        sheet.write(0, column, name)
    for at in range(1, rows):
        for column, cell in enumerate(("91-001", at, "Work", "LS", 1, HERON, 1)):
            sheet.write(at, column, cell)
    book.save(str(path := tmp_path / "2031-04-08.xls"))
    assert ("round_row_count" in codes(read_file(path))) == said

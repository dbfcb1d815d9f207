"""Files that give contracts by their totals and no items: printed reports, summaries, price agreements."""

from __future__ import annotations

import datetime as dt
import tempfile
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bidlens.errors import BadValue, UnreadableFile
from bidlens.ingest import open_file, parse_mapping, read_file, recognition_of
from tests.ingest.conftest import HERON, WREN, codes, conform_all

REPORT = """\
 DEPARTMENT OF ROADS OF NOWHERE            B I D S   A S   O P E N E D                  page   1
 letting 12/12/2030    contract 00X42      route 99, county OLDHAM        estimate: 500,000.00
 no.  bidder                      total as read    sum of extensions   recalculated   low  blanks
 0042 Heron Bridge, Inc.
                                    512,340.10 *       512,340.10        512,340.10    *
 0077 Wren Co.
                                    540,000.00         539,950.00        539,950.00
\f
 DEPARTMENT OF ROADS OF NOWHERE            B I D S   A S   O P E N E D                  page   2
 letting 12/12/2030    contract 00X42      route 99, county OLDHAM
 no.  bidder                      total as read    sum of extensions   recalculated   low  blanks
 0081 Robin Constructors
                                    500,000.00         500,100.00        500,200.00           1
 pay items in this contract: 63
 combination bid with contract 00X43: 900,000
"""


def read_report(folder: Path, text: str = REPORT, name: str = "report.txt"):
    (path := folder / name).write_text(text)
    batch = read_file(path)
    conform_all(batch)
    assert batch.rows_read == sum(bool(line.replace("\f", " ").strip()) for line in text.split("\n"))
    return batch


def bids_of(batch):
    return batch.tables["bid"].set_index("bidder")


def test_a_printed_report_becomes_a_contract_and_its_bids_without_items(tmp_path):
    batch = read_report(tmp_path, REPORT.replace(" combination bid with contract 00X43: 900,000\n", ""))
    bids = bids_of(batch)
    contract = batch.tables["contract"].iloc[0]
    assert (contract["contract_id"], contract["letting_date"]) == ("00X42", dt.date(2030, 12, 12))
    assert contract["estimate_total"] == Decimal("500000.00")
    assert batch.layout == "bids_as_opened"
    assert "contract_item" not in batch.tables
    assert bids["total_as_read"].to_dict() == {
        "Heron Bridge, Inc.": Decimal("512340.10"), "Wren Co.": Decimal("540000.00"),
        "Robin Constructors": Decimal("500000.00"),
    }  # fmt: skip
    assert bids["total_corrected"]["Wren Co."] == Decimal("539950.00")
    assert bids["source_row"].to_dict()["Wren Co."] == 6


def test_a_bid_with_blank_prices_is_irregular_and_the_third_total_is_told(tmp_path):
    """43 TAC 9.16(b): a bid with a blank unit price is incomplete."""
    batch = read_report(tmp_path)
    bids = bids_of(batch)
    assert bids["status"].to_dict()["Robin Constructors"] == "irregular"
    assert bids["rank_corrected"].to_dict()["Heron Bridge, Inc."] == 1
    assert bids["rank_corrected"].isna()["Robin Constructors"]
    told = [finding.text for finding in batch.findings if finding.code == "sum_of_extensions_differs"]
    assert (
        told[-1]
        == "contract 00X42: Robin Constructors: the extensions add up to $500,100.00, recalculated to $500,200.00"
    )
    assert {"blank_unit_price", "total_corrected", "contract_without_items"} <= set(codes(batch))


def test_a_mark_of_the_low_bid_that_is_not_by_total_is_told(tmp_path):
    text = REPORT.replace(
        "512,340.10 *       512,340.10        512,340.10    *", "512,340.10         512,340.10        512,340.10     "
    )
    batch = read_report(tmp_path, text.replace("539,950.00        539,950.00", "539,950.00        539,950.00    *"))
    told = [finding.text for finding in batch.findings if finding.code == "low_mark_differs"]
    assert told == ["contract 00X42: the report marks Wren Co. as low, by total it is Heron Bridge, Inc."]
    assert "low_mark_differs" not in codes(read_report(tmp_path))


def test_a_combination_bid_is_told_and_not_parted(tmp_path):
    text = REPORT.replace("combination bid with contract 00X43: 900,000", "combination of two: Heron Bridge, Inc.")
    batch = read_report(tmp_path, text)
    assert "combination_bid" in codes(batch)
    assert len(batch.tables["bid"]) == 3


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("512,340.10 *       512,340.10  ", "512.00 340.10 *      512,340.10  ", "both stand under"),
        ("letting 12/12/2030    contract 00X42", "route", "no contract is named"),
        ("letting 12/12/2030", "county of Oldham  ", "no letting date"),
        (" 0077 Wren Co.\n", "", "no bidder stands above"),
        ("0081 Robin Constructors", "0081 Wren Co.", "stands twice"),
        ("           1\n", "           x\n", "blank prices is “x”"),
    ],
)  # fmt: skip
def test_a_report_that_cannot_be_read_whole_is_not_read_at_all(tmp_path, old, new, said):
    with pytest.raises(BadValue, match=said):
        read_report(tmp_path, REPORT.replace(old, new))


def test_vintage_construction_by_its_totals(tmp_path):
    """Vintage Constr. v. Alaska DOT&PF, 713 P.2d 1213 (1986): read at 2,334,904.50 and 2,536,607; the second is
    2,286,707 by its extended unit prices, and low.
    """
    text = (
        " letting 04/08/2031   contract 91-001\n"
        " bidder                      total as read    sum of extensions   recalculated\n"
        " Heron Bridge Co.             2,334,904.50        2,334,904.50    2,334,904.50\n"
        " Wren & Sons                  2,536,607.00        2,286,707.00    2,286,707.00\n"
    )
    batch = read_report(tmp_path, text)
    assert bids_of(batch)["rank_as_read"].to_dict() == {"Heron Bridge Co.": 1, "Wren & Sons": 2}
    assert bids_of(batch)["rank_corrected"].to_dict() == {"Heron Bridge Co.": 2, "Wren & Sons": 1}
    assert "low_bidder_changes" in codes(batch)


@st.composite
def reports(draw):
    """contract -> bidder -> (as read, extensions, recalculated) in cents."""
    firms = st.sampled_from(["Heron Bridge, Inc.", "Wren & Sons Co.", "Robin Constructors", "Lark LLC"])
    cents = st.integers(1_00, 99_999_999_99)
    bids = st.dictionaries(firms, st.tuples(cents, cents, cents), min_size=1, max_size=4)
    return draw(st.dictionaries(st.from_regex(r"\A[0-9]{2}[A-Z][0-9]{2}\Z"), bids, min_size=1, max_size=3))


def usd(cents: int) -> str:
    return f"{cents / 100:,.2f}"


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(reports(), st.booleans())
def test_a_made_up_report_comes_back(told, on_one_line):
    lines = []
    for contract, bids in told.items():
        lines.append(f"\f letting 04/08/2031   contract {contract}   route 7, county ALTON      estimate:")
        lines.append(f" {'no.':5}{'bidder':32}{'total as read':>18}{'sum of extensions':>22}{'recalculated':>20}  low")
        for number, (bidder, totals) in enumerate(bids.items()):
            name = f" {number:04d} {bidder:32}"
            amounts = f"{usd(totals[0]):>18}{usd(totals[1]):>22}{usd(totals[2]):>20}"
            lines += [name + amounts] if on_one_line else [name, " " * 38 + amounts]
    with tempfile.TemporaryDirectory() as folder:
        batch = read_report(Path(folder), "\n".join(lines))
    got = {
        contract: {row.bidder: (row.total_as_read, row.total_corrected) for row in rows.itertuples()}
        for contract, rows in batch.tables["bid"].groupby("contract_id")
    }
    assert got == {
        contract: {
            who: (Decimal(usd(a).replace(",", "")), Decimal(usd(c).replace(",", ""))) for who, (a, _, c) in bids.items()
        }
        for contract, bids in told.items()
    }


# --- summaries ----------------------------------------------------------------------------------------------------

HEAD = ["No.", "Contract", "Bids", "Low bidder", "Estimate", "Corrected bid", "% of est.", "Difference"]
SUMMARY = [
    ["Letting of April 8, 2031"],
    HEAD,
    ["001", "C00042", "2", HERON, "$643,300.00", "$610,350.00", "94.88%", "-$32,950.00"],
    ["002", "C00043", "1", WREN, "$1,020,000.00", "$1,214,500.00", "119.07%", "$194,500.00"],
    ["003", "C00044", "0", "(no bids)", "$310,000.00", "", "", ""],
    ["004", "C00045", "6", WREN, "$955,000.00", "$898,120.40", "94.04%", "-$56,879.60"],
    ["", "Letting Totals", "9", "", "$2,928,300.00", "$2,722,970.40", "", ""],
    ["all bids rejected: C00043 (over 110 % of the estimate)"],
    ["corrected bid differs from the bid as read: C00045 (extension error in one item)"],
]


@pytest.fixture(params=["csv", "xlsx"])
def write(request, write_csv, write_xlsx):
    def as_file(rows, stem="summary"):
        return (
            write_csv(f"{stem}.csv", rows) if request.param == "csv" else write_xlsx(f"{stem}.xlsx", {"Sheet1": rows})
        )

    return as_file


def test_a_summary_gives_contracts_with_totals_and_never_an_item(write):
    batch = read_file(write(SUMMARY))
    conform_all(batch)
    contracts = batch.tables["contract"].set_index("contract_id")
    assert batch.layout == "contract_summary"
    assert set(batch.tables) == {"contract", "bid", "bidder"}
    assert contracts["bids_stated"].tolist() == [2, 1, 0, 6]
    assert contracts["status"].to_dict()["C00043"] == "rejected"
    assert contracts["estimate_total"]["C00044"] == Decimal("310000.00")
    assert set(contracts["letting_date"]) == {dt.date(2031, 4, 8)}
    bids = batch.tables["bid"].set_index("contract_id")
    assert bids["total_corrected"].to_dict() == {
        "C00042": Decimal("610350.00"), "C00043": Decimal("1214500.00"), "C00045": Decimal("898120.40")
    }  # fmt: skip
    assert bids["rank_corrected"].isna().to_dict() == {"C00042": False, "C00043": True, "C00045": False}
    assert {"all_bids_rejected", "note_on_contract", "no_bids", "bids_not_listed"} <= set(codes(batch))
    assert batch.rows_read == 9
    assert batch.rows_set_aside == 4


def test_the_total_row_is_a_check(write):
    rows = [list(row) for row in SUMMARY]
    rows[6][5] = "$2,722,970.41"
    told = [f.text for f in read_file(write(rows)).findings if f.code == "letting_total_differs"]
    assert told == ["the total row states $2,722,970.41 under “Corrected bid”, the rows add up to $2,722,970.40"]
    assert "letting_total_differs" not in codes(read_file(write(SUMMARY, "again")))


def test_a_ranking_of_bidders_is_a_summary_with_every_bid(write):
    rows = [
        ["Contract", "Letting Date", "Order", "Bidder", "As read", "As corrected"],
        ["91-001", "2031-04-08", 0, "Engineer's Estimate", 90, 90],
        ["91-001", "2031-04-08", 1, HERON, 100, 100],
        ["91-001", "2031-04-08", 2, WREN, 110, 100],
    ]
    batch = read_file(write(rows))
    assert batch.tables["contract"]["estimate_total"].tolist() == [Decimal("90.00")]
    assert batch.tables["bid"]["rank_corrected"].tolist() == [1, 1]
    assert {"tie", "total_corrected", "low_bidder_changes"} <= set(codes(batch))


def test_an_unreadable_total_or_count_in_a_summary_is_refused(write):
    for column, cell, said in ((5, "1.2.3", "cannot read"), (2, "many", "number of bids"), (3, "", "beside no bidder")):
        rows = [list(row) for row in SUMMARY]
        rows[2][column] = cell
        with pytest.raises(BadValue, match=said):
            read_file(write(rows, f"s{column}"))


def test_a_structure_list_that_names_contracts_is_no_summary(write):
    rows = [
        ["Structure", "Contract", "Low bidder", "Total bid", "Superstructure", "Length", "Width"],
        ["K-1", "91-001", HERON, "100", "rolled steel beam", "40 ft", "24 ft"],
    ]
    assert read_file(write(rows)).kind == "structures"


# --- price agreements ---------------------------------------------------------------------------------------------


def test_unit_prices_without_quantities_are_refused_as_a_price_agreement(write):
    rows = [
        ["AGREEMENT 2031-9", "", "Rowan Paving"],
        ["BID ITEM DESCRIPTION", "UNIT", "UNIT COST"],
        ["210-Sawcut Deck Edge", "LF", "$6.10"],
        ["210-Reset Expansion Plate", "Each", "$640.00"],
    ]
    with pytest.raises(UnreadableFile, match="price agreement: it has unit prices and no quantities"):
        read_file(write(rows))


def test_a_column_that_may_be_quantities_makes_it_no_price_agreement(write):
    rows = [
        ["Item", "Description", "Unit", "Amt needed", "Unit Price"],
        ["1", "A", "LF", "10", "2"],
        ["2", "B", "LF", 4, 3],
    ]
    with pytest.raises(UnreadableFile) as caught:
        read_file(write(rows))
    assert "price agreement" not in str(caught.value)


# --- what a dry run says ------------------------------------------------------------------------------------------


def test_a_report_and_a_summary_are_recognised_for_sure(tmp_path, write_csv):
    (path := tmp_path / "report.txt").write_text(REPORT)
    (sheet,) = recognition_of(open_file(path)).sheets
    assert (sheet.layout, sheet.header_row, sheet.letting_date) == ("bids_as_opened", 3, "2030-12-12")
    assert [one.field for one in sheet.columns][:4] == ["bidder", "as_read", "extensions", "recalculated"]
    assert sheet.first_rows[0]["bidder"] == "Heron Bridge, Inc."
    (listed,) = recognition_of(open_file(write_csv("summary.csv", SUMMARY))).sheets
    assert (listed.layout, listed.letting_date) == ("contract_summary", "2031-04-08")
    assert {one.field for one in listed.columns} >= {"contract", "bidder", "estimate", "total_corrected"}
    for one in (sheet, listed):
        assert one.sure
        assert not one.columns_can_be_told


def test_a_report_that_cannot_be_read_says_why_it_is_unsure_and_takes_the_date_told(tmp_path):
    text = REPORT.replace("letting 12/12/2030    ", " ")
    (path := tmp_path / "report.txt").write_text(text)
    (sheet,) = recognition_of(open_file(path)).sheets
    assert sheet.unsure == ("no letting date stands in the report or in the file's name",)
    told = parse_mapping('letting_date = "2030-12-12"', "by hand")
    assert set(read_file(path, mapping=told).tables["contract"]["letting_date"]) == {dt.date(2030, 12, 12)}

"""Headings and facts above tables in the many ways owners write them: read for what they are. All data is invented.

The words are those of the trade: common practice, no source.
"""

from __future__ import annotations

import datetime as dt

import pytest

from bidlens.errors import BadValue
from bidlens.ingest import read_file
from tests.ingest.conftest import HERON, WREN, conform_all

FACTS = ("Contract", "Letting Date")


def totals_of(batch):
    conform_all(batch)
    assert batch.rows_read == batch.rows_kept + batch.rows_set_aside
    return batch.tables["bid"].set_index("bidder")["total_corrected"].to_dict()


@pytest.mark.parametrize("blanks_below", [True, False])
def test_headings_on_two_rows_with_the_bidders_between(write_xlsx, blanks_below) -> None:
    upper = ["Item", "Description", "Estimated", "Unit", HERON, "", WREN, "", "Engineer's Estimate", ""]
    lower = ["", "", "", "", *["Unit Price", "Total"] * 3]
    if not blanks_below:
        lower[0], lower[2], lower[3] = "No.", "Quantity", "(pay)"
    else:
        upper[2] = "Qty"
    rows = [
        ["Larch Road Bridge, Project 2031-07"],
        ["Bid date: 4/8/2031"],
        upper,
        lower,
        [1, "Mobilization", 1, "LS", 500, 500, 600, 600, 550, 550],
        [2, "Beams", 10, "LF", 20, 200, 21, 210, 22, 220],
        ["", "TOTAL", "", "", "", 700, "", 810, "", 770],
    ]
    batch = read_file(write_xlsx("tab.xlsx", {"Tab": rows}))
    assert totals_of(batch) == {HERON: 700, WREN: 810}
    assert len(batch.tables["estimate_price"]) == 2
    contract = batch.tables["contract"].iloc[0]
    assert (contract["contract_id"], contract["letting_date"]) == ("2031-07", dt.date(2031, 4, 8))
    assert batch.tables["contract_item"]["description"].tolist() == ["Mobilization", "Beams"]


@pytest.mark.parametrize(
    "name",
    ["Engineer", "ENGINEER'S", "Engr. Est.", "The Engineer's Estimate", "County Engineer", "Engineer's Unit Prices"],
)
def test_the_engineer_alone_is_the_estimate_and_no_bidder(write_csv, name) -> None:
    rows = [
        [*FACTS, "Line", "Description", "Unit", "Quantity", "Bidder", "Unit Price"],
        ["91-001", "2031-04-08", "1", "Beams", "LF", 10, name, 9],
        ["91-001", "2031-04-08", "1", "Beams", "LF", 10, HERON, 20],
    ]
    batch = read_file(write_csv("tab.csv", rows))
    assert totals_of(batch) == {HERON: 200}
    assert batch.tables["estimate_price"]["unit_price"].tolist() == [9]


@pytest.mark.parametrize("firm", ["Engineered Bridge Co.", "Engineer Bridge & Iron", "Estimate Builders"])
def test_a_firm_with_the_word_in_its_name_stays_a_bidder(write_csv, firm) -> None:
    rows = [
        [*FACTS, "Line", "Description", "Unit", "Quantity", "Bidder", "Unit Price"],
        ["91-001", "2031-04-08", "1", "Beams", "LF", 10, firm, 9],
    ]
    assert totals_of(read_file(write_csv("tab.csv", rows))) == {firm: 90}


@pytest.mark.parametrize(
    ("code", "words"),
    [("Spec", "Item"), ("Item No", "Item"), ("Code", "Bid Item"), ("", "Item"), ("Item Code", "Desc")],
)
def test_a_column_headed_item_that_holds_words_is_the_description(write_csv, code, words) -> None:
    head = [*FACTS, *([code] if code else []), words, "Unit", "Contract Quantity", "Bidder", "Unit $"]
    row = ["91-001", "2031-04-08", *(["601-01"] if code else []), "Concrete, deck", "CY", 10, HERON, 20]
    batch = read_file(write_csv("tab.csv", [head, row]))
    assert totals_of(batch) == {HERON: 200}
    assert batch.tables["contract_item"]["description"].tolist() == ["Concrete, deck"]
    assert batch.tables["contract_item"]["item_code"].tolist() == (["601-01"] if code else [""])


@pytest.mark.parametrize(
    ("words", "day"),
    [
        ("Letting Summary, April 8, 2031", dt.date(2031, 4, 8)),
        ("Bid Tabulation - 4/8/2031", dt.date(2031, 4, 8)),
        ("Bids received until 2:00 PM on April 8, 2031 at the office", dt.date(2031, 4, 8)),
        ("Bid opening 2031-04-08, Larch Road", dt.date(2031, 4, 8)),
        ("Bids of April 8, 2031, printed April 9, 2031", None),
        ("Completion date May 1, 2032", None),
        ("Larch Road, April 8, 2031", None),
    ],
)
def test_the_letting_date_among_the_words_above(write_csv, words, day) -> None:
    rows = [[words], ["Contract", "Low Bidder", "Low Bid"], ["91-001", HERON, "$700.00"]]
    path = write_csv("summary.csv", rows)
    if day is None:
        with pytest.raises(BadValue, match="no letting date"):
            read_file(path)
    else:
        assert read_file(path).tables["contract"]["letting_date"].tolist() == [day]


def test_a_summary_that_says_to_whom_it_was_awarded(write_csv) -> None:
    rows = [
        ["Letting Date", "Contract Number", "Awarded To", "Award Amount", "Number of Bids"],
        ["04/08/2031", "91-001", HERON, "700.00", "3"],
    ]
    assert totals_of(read_file(write_csv("summary.csv", rows))) == {HERON: 700}

"""Columns headed by a bidder's name alone, and columns and rows of figures that were worked out from the bids."""

from __future__ import annotations

import tempfile
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bidlens.errors import UnreadableFile
from bidlens.ingest import open_file, read_file, recognition_of
from bidlens.ingest.layout import cell_words
from tests.ingest.conftest import ESTIMATE, HERON, LONG_HEAD, WREN, codes, conform_all
from tests.ingest.test_round_trip import cents, tabulations
from tests.ingest.test_round_trip_layouts import SETTINGS, STYLES, check, headings, read, write_book, write_csv


@SETTINGS
@given(tabulations(), st.data())
def test_one_column_for_each_bidder_is_unit_prices_where_the_total_proves_it(tabulation, data):
    items, bidders, prices = tabulation
    offers = [*zip(bidders, prices, strict=True), (ESTIMATE, prices[0])]
    names, style = headings(data.draw), STYLES[data.draw(st.sampled_from(list(STYLES)))]
    fields = data.draw(st.permutations(["line", "description", "unit"]))
    rows = [
        ["Contract No. C-91"],
        [*(names[field] for field in fields), names["quantity"], *(name for name, _ in offers)],
    ]
    for at, (line, description, unit, quantity) in enumerate(items):
        cell = {"line": line, "description": description, "unit": unit}
        rows.append([*(cell[field] for field in fields), str(quantity), *(style(own[at]) for _, own in offers)])
        rows += [[""] * len(rows[1])] * data.draw(st.integers(0, 1))
    sums = [sum(cents(item[3] * price) for item, price in zip(items, own, strict=True)) for _, own in offers]
    total = ["", "", "", "", *map(style, sums)]
    total[fields.index("description")] = "Total Bid"
    rows.append(total)
    with tempfile.TemporaryDirectory() as folder:
        if data.draw(st.booleans()):
            batch = read(write_book(folder, "2031-04-08.xlsx", {"Bids": rows}), {"Bids": rows})
        else:
            batch = read(write_csv(folder, "2031-04-08.csv", rows), {"": rows})
    check(batch, items, bidders, prices)
    assert batch.tables["estimate_price"]["unit_price"].tolist() == prices[0]
    assert batch.tables["contract"]["contract_id"].tolist() == ["C-91"]
    assert "printed_total_differs" not in codes(batch)


ONE_COLUMN = [
    ["Item", "Description", "Unit", "Quantity", HERON, WREN, "Robin Contracting"],
    ["1", "Mobilization", "LS", "1", "50000", "45000", "61000"],
    ["2", "Box Beams", "LF", "400", "310.50", "295", "320"],
    ["3", "Deck Concrete", "CY", "90", "850", "905", "820"],
]


def test_a_bidder_who_added_up_wrongly_does_not_hide_what_the_columns_hold(write_csv):
    rows = [*ONE_COLUMN, ["", "Total", "", "", "250700", "243450", "262800"]]
    batch = read_file(write_csv("2031-04-08.csv", rows))
    bids = batch.tables["bid"].set_index("bidder")["total_corrected"].to_dict()
    assert bids == {HERON: Decimal("250700.00"), WREN: Decimal("244450.00"), "Robin Contracting": Decimal("262800.00")}
    assert codes(batch).count("printed_total_differs") == 1


@pytest.mark.parametrize("shown", ["", "LS", "Lump Sum"])
def test_a_lump_sum_without_a_quantity_counts_once_in_the_proof(write_csv, shown):
    rows = [list(row) for row in [*ONE_COLUMN, ["", "Total", "", "", "250700", "244450", "262800"]]]
    rows[1][3] = shown
    bids = read_file(write_csv("2031-04-08.csv", rows)).tables["bid"]
    assert bids["total_corrected"].tolist() == [Decimal("250700.00"), Decimal("244450.00"), Decimal("262800.00")]


@pytest.mark.parametrize("total", [None, ["", "Total", "", "", "51160.50", "46200", "62140"]])
def test_columns_that_no_total_proves_to_be_unit_prices_are_asked_about(write_csv, total):
    """Without a total, or where the columns themselves add up to it, they could be amounts."""
    path = write_csv("2031-04-08.csv", [*ONE_COLUMN, *([total] if total else [])])
    with pytest.raises(UnreadableFile, match="no sheet has the headings of a bid tab"):
        read_file(path)
    sheet = recognition_of(open_file(path)).sheets[0]
    assert not sheet.sure


# --- figures worked out from the bids -----------------------------------------------------------------------------


def wide_with(name, prices):
    """Two bidders and a third pair of columns under a name."""
    head = ["Item", "Description", "Unit", "Quantity", *["Unit Price", "Amount"] * 3]
    bids = [(50000, 45000, prices[0]), (310, 295, prices[1])]
    rows = [["", "", "", "", HERON, "", WREN, "", name, ""], head]
    for at, (work, unit, quantity) in enumerate([("Mobilization", "LS", 1), ("Box Beams", "LF", 400)]):
        rows.append([at + 1, work, unit, quantity, *(cell for price in bids[at] for cell in (price, quantity * price))])
    return rows


@pytest.mark.parametrize(
    "name", ["Average", "AVG. BID", "Average of All Bids", "Median Unit Price", "Mean", "Std. Dev."]
)
def test_an_average_beside_the_bidders_is_no_bid(write_csv, name):
    batch = read_file(write_csv("2031-04-08.csv", wide_with(name, (47500, 302.5))))
    conform_all(batch)
    assert batch.tables["bid"]["bidder"].tolist() == [HERON, WREN]
    assert codes(batch).count("worked_out_left_out") == 1


def test_the_lowest_of_each_item_is_no_bid_where_it_repeats_the_bidders_prices(write_csv):
    repeated = read_file(write_csv("2031-04-08.csv", wide_with("Low Bid", (45000, 295))))
    assert repeated.tables["bid"]["bidder"].tolist() == [HERON, WREN]
    own = read_file(write_csv("2031-04-09.csv", wide_with("Low Bid", (44000, 295))))
    assert own.tables["bid"]["bidder"].tolist() == [HERON, WREN, "Low Bid"]


@pytest.mark.parametrize("name", ["Range Line Builders", "Meanwell Bros.", "Low Country Bridge", "Average Joe Paving"])
def test_a_firm_is_not_taken_for_a_figure(write_csv, name):
    batch = read_file(write_csv("2031-04-08.csv", wide_with(name, (47500, 302.5))))
    assert name in batch.tables["bid"]["bidder"].tolist()
    assert not cell_words().is_worked_out(name)


def test_rows_of_an_average_in_a_long_list_are_set_aside(write_csv):
    rows = [LONG_HEAD]
    for line, price in (("1", 100), ("2", 20)):
        for name, each in ((HERON, price), (WREN, price + 2), ("Average", price + 1)):
            rows.append(["C-1", line, "", f"Work {line}", "EA", 10, name, each, 10 * each, ""])
    batch = read_file(write_csv("2031-04-08.csv", rows))
    conform_all(batch)
    assert batch.tables["bid"]["bidder"].tolist() == [HERON, WREN]
    assert batch.set_aside["reason"].tolist() == ["a figure worked out from the bids, not a bid"] * 2
    assert (batch.rows_read, batch.rows_kept) == (7, 5)


def test_an_average_in_a_ranking_is_set_aside(write_csv):
    rows = [
        ["Contract", "Letting Date", "Bidder", "Bid Total"],
        ["C-1", "2031-04-08", HERON, "100000"],
        ["C-1", "2031-04-08", WREN, "120000"],
        ["C-1", "2031-04-08", "Average", "110000"],
    ]
    batch = read_file(write_csv("ranking.csv", rows))
    assert batch.tables["bid"]["bidder"].tolist() == [HERON, WREN]
    assert "a figure worked out from the bids, not a bid" in batch.set_aside["reason"].tolist()

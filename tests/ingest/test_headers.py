"""Headings found by the words of the trade."""

from __future__ import annotations

import pytest

from bidlens.ingest.headers import FieldStems, contains, find_header, match_headings, words_of
from bidlens.ingest.layout import cell_words, fields


def test_words_of_a_heading():
    assert words_of("ProjectID") == ("project", "id")
    assert words_of("Est.\nQty ") == ("est", "qty")
    assert words_of("Bidder2Town") == ("bidder", "2", "town")
    assert words_of("Engineer's Estimate ($)") == ("engineers", "estimate", "$")


def test_phrases_match_beginnings_side_by_side():
    assert contains(("unit", "price"), ("unit", "pri"))
    assert not contains(("unit", "bid", "price"), ("unit", "pri"))
    assert contains(("qty",), ("qty.",))
    assert not contains(("units",), ("unit.",))


@pytest.mark.parametrize(
    ("heading", "field"),
    [
        ("Contract", "contract"), ("Solicitation No.", "contract"), ("Call ", "contract"), ("Letting", "letting_date"),
        ("Bid Date", "letting_date"), ("Date of opening", "letting_date"), ("Line", "line"), ("Ln", "line"),
        ("Pay Item", "item_code"), ("Item No.", "item_code"), ("Item and supplemental text", "description"),
        ("DESCRIPTION", "description"), ("U/M", "unit"), ("Units ", "unit"), ("Qty", "quantity"),
        ("Estimated\nQuantity", "quantity"), ("Contractor", "bidder"), ("Vendor Name", "bidder"), ("Pos", "order"),
        ("Order", "order"), ("Rank", "order"), ("Unit Price", "unit_price"), ("Bid price", "unit_price"),
        ("Unit cost", "unit_price"), ("Price", "unit_price"), ("Amount", "amount"), ("Ext", "amount"),
        ("Total Price", "amount"), ("Extension", "amount"), ("Section", "schedule"), ("Part", "schedule"),
    ],
)  # fmt: skip
def test_headings_of_bid_tabs_in_the_words_met(heading, field):
    assert match_headings([heading], fields()) == {field: (0,)}


@pytest.mark.parametrize("heading", ["Bidder2Town", "Bidder 3 Total", "County", "Region", "Unit weight", ""])
def test_headings_that_are_something_else(heading):
    assert set(match_headings([heading], fields())) == set()


def test_the_better_of_two_columns_comes_first():
    assert match_headings(["Call", "Proposal"], fields())["contract"] == (1, 0)


def test_the_heading_row_is_the_first_that_names_all_that_is_required():
    stems = {"a": FieldStems((("alpha",),)), "b": FieldStems((("beta",),))}
    rows = [["alpha only", 1.0], ["", ""], ["Beta", "Alpha"], ["alpha", "beta"]]
    header = find_header(rows, stems, ["a", "b"])
    assert header is not None
    assert (header.row, header.column("a"), header.column("b"), header.name_of("b")) == (2, 1, 0, "Beta")
    assert find_header(rows[:2], stems, ["a", "b"]) is None


@pytest.mark.parametrize("name", ["Eng Est", "Engineer's Estimate", "ENGINEERS EST.", "Estimate", "State Estimate"])
def test_names_of_the_estimate(name):
    assert cell_words().is_estimate(name)


@pytest.mark.parametrize(
    "name", ["Engineered Estates Co.", "Estuary Builders", "Eng Construction", "Best Estimating LLC"]
)
def test_firms_whose_names_only_begin_like_it(name):
    assert not cell_words().is_estimate(name)

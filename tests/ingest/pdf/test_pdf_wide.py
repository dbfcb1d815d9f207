"""One ruled table with bidders side by side, money as text and descriptions on two lines."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from bidlens.errors import UnreadableFile
from bidlens.ingest import read_file
from tests.ingest.conftest import codes, conform_all
from tests.ingest.pdf.drawing import ESTIMATE, Item, Offer, draw_wide, total

ITEMS = [
    Item("", ("Mobilization", "(Item C-1)"), "LS", "1.0"),
    Item("", ("Bearing Pads", "(Item B-6)"), "SI", "1,860.0"),
    Item("", ("Contingent Work",), "FA", "1.0"),
    Item("", ("Rolled Beam, 2 Inch Camber", "(Section 05 12)"), "LB", "38,400.0"),
]
OFFERS = [
    Offer(("Quince Co.",), ("27,250.00", "1.35", "15,000.00", "3.05")),
    Offer(("Larch & Elm, Inc.",), ("31,000.00", "1.10", "15,000.00", "2.90")),
    Offer(tuple(ESTIMATE), ("29,000.00", "1.20", "15,000.00", "3.00")),
]


def read(paper):
    batch = read_file(paper.save())
    conform_all(batch)
    assert batch.rows_read == batch.rows_kept + batch.rows_set_aside
    return batch


def check(batch, items=ITEMS, offers=OFFERS):
    found = batch.tables["bid"].set_index("bidder")["total_corrected"].to_dict()
    assert found == {offer.bidder: total(items, offer) for offer in offers if offer.name != tuple(ESTIMATE)}
    assert batch.tables["contract_item"]["description"].tolist() == [" ".join(item.description) for item in items]
    assert batch.tables["contract_item"]["pay_unit_as_read"].tolist() == [item.unit for item in items]
    assert sum(batch.tables["estimate_price"]["extension"]) == total(items, offers[-1])


def test_a_ruled_table_is_read_with_its_contract_date_and_lines(paper):
    paper = paper()
    draw_wide(paper, ITEMS, OFFERS)
    batch = read(paper)
    check(batch)
    contract = batch.tables["contract"].iloc[0]
    assert (contract["contract_id"], contract["letting_date"]) == ("2031-007", dt.date(2031, 3, 14))
    assert contract["description"] == "HARBOR ROAD BRIDGE"
    assert batch.tables["contract_item"]["line"].tolist() == ["0001", "0002", "0003", "0004"]
    assert codes(batch) == []


@pytest.mark.parametrize("how", [{"middle": True}, {"loose_sign": True}, {"middle": True, "loose_sign": True}])
def test_numbers_in_the_middle_of_two_lines_and_dollar_signs_apart(paper, how):
    paper = paper()
    draw_wide(paper, ITEMS, OFFERS, **how)
    check(read(paper))


@pytest.mark.parametrize("repeat", [True, False])
def test_a_table_over_pages_with_and_without_headings_again(paper, repeat):
    paper = paper()
    items = [replace(item, description=(f"{item.description[0]} {at}",)) for at in range(5) for item in ITEMS]
    offers = [replace(offer, prices=offer.prices * 5) for offer in OFFERS]
    draw_wide(paper, items, offers, per_page=8, repeat_head=repeat)
    check(read(paper), items, offers)


def test_a_blank_price_makes_the_bid_irregular(paper):
    paper = paper()
    blank = replace(OFFERS[0], prices=("27,250.00", "1.35", "", "3.05"))
    draw_wide(paper, ITEMS, [blank, *OFFERS[1:]])
    bids = read(paper).tables["bid"].set_index("bidder")
    assert bids.loc["Quince Co.", "status"] == "irregular"
    assert bids.loc["Larch & Elm, Inc.", "status"] == "responsive"


def test_a_table_whose_total_is_another_is_refused(paper, monkeypatch):
    paper = paper()
    monkeypatch.setattr("tests.ingest.pdf.drawing.total", lambda items, offer: total(items, offer) + 1)
    draw_wide(paper, ITEMS, OFFERS)
    with pytest.raises(UnreadableFile, match="the items add up to"):
        read_file(paper.save())

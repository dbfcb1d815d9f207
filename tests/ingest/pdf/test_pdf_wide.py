"""One ruled table with bidders side by side, money as text and descriptions on two lines."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from bidlens.errors import UnreadableFile
from bidlens.ingest import read_file
from bidlens.ingest.rules import TENTH_OF_A_CENT, BidRules
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


PLAIN = """\
SAMPLE ROAD OVER DITCH                                                          Page 1 of 1
Contract No. 77-12       Bid Date: 03/05/2031
                                                  Kestrel Co           Larch Inc            Estimate
                                                  Unit                 Unit                 Unit
Line Code Description          Unit    Qty        Price       Total    Price       Total    Price       Total
SCHEDULE A - BRIDGE
1    2.1  Structure removal    LS      1          48,000      48,000   52,500      52,500   45,000      45,000
2    2.2  Adjacent box beams   SF      2,340      118         276,120  109         255,060  105         245,700
3    2.3  Rail, 42 Inch        LF      120        N/B         N/B      100         12,000   90          10,800
Total Amount Bid Schedule A                                   324,120              319,560              301,500
ALTERNATE 1 - STEEL SUPERSTRUCTURE
1    5.1  Rolled beams         LB      38,400     3.05        117,120  2.90        111,360  3.00        115,200
Total Amount Additive Alternate 1                             117,120              111,360              115,200
Total Amount Base Bid                                         324,120              319,560              301,500
"""


def test_plain_text_with_schedules_an_alternate_and_an_item_not_bid(paper):
    paper = paper()
    paper.canvas.setFont("Courier", 6.5)
    for line in PLAIN.splitlines():
        paper.left(30, line)
        paper.down(9)
    batch = read(paper)
    bids = batch.tables["bid"].set_index("bidder")
    assert bids["total_corrected"].to_dict() == {"Kestrel Co": 324_120, "Larch Inc": 319_560}
    assert bids["status"].to_dict() == {"Kestrel Co": "irregular", "Larch Inc": "responsive"}
    items = batch.tables["contract_item"]
    assert items["line"].tolist() == ["1", "2", "3", "1"]
    assert items["item_code"].tolist() == ["2.1", "2.2", "2.3", "5.1"]
    assert items["alternate"].tolist() == [False, False, False, True]
    contract = batch.tables["contract"].iloc[0]
    assert (contract["contract_id"], contract["letting_date"]) == ("77-12", dt.date(2031, 3, 5))
    assert "no_bid_on_item" in codes(batch)


@pytest.mark.parametrize("rotation", [90, 180, 270])
def test_a_page_turned_by_the_program_is_read_upright(paper, rotation):
    paper = paper()
    paper.canvas.setPageRotation(rotation)
    if rotation != 180:
        paper.canvas.setPageSize((612, 792))
    paper.canvas.translate(*{90: (612, 0), 180: (792, 612), 270: (0, 792)}[rotation])
    paper.canvas.rotate(rotation)
    draw_wide(paper, ITEMS, OFFERS)
    check(read(paper))


def test_the_owners_rules_hold_for_pdfs_too(paper):
    paper = paper()
    thousandths = [replace(OFFERS[0], prices=("27,250.00", "1.3456", "15,000.00", "3.05")), *OFFERS[1:]]
    draw_wide(paper, ITEMS, thousandths)
    batch = read_file(paper.save(), rules=BidRules(entry_rule=TENTH_OF_A_CENT))
    prices = batch.tables["bid_price"].query("bidder == 'Quince Co.'")
    assert prices["unit_price"].tolist()[1] == Decimal("1.346")
    assert "entry_rule" in codes(batch)

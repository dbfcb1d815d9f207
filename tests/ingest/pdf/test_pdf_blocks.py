"""Page blocks of three bidders, with the reports that stand beside them; every name and number is invented."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from bidlens.errors import BadValue, UnreadableFile
from bidlens.ingest import read_file
from tests.ingest.conftest import codes, conform_all
from tests.ingest.pdf.conftest import ITEMS, OFFERS
from tests.ingest.pdf.drawing import (
    amount,
    draw_blocks,
    draw_low_bid_by_item,
    draw_ranking,
    draw_summary,
    total,
)


def read(paper):
    batch = read_file(paper.save())
    conform_all(batch)
    assert batch.rows_read == batch.rows_kept + batch.rows_set_aside
    return batch


def bids_of(batch):
    frame = batch.tables["bid"]
    return dict(zip(frame["bidder"], frame["total_corrected"], strict=True))


def wanted(offers=OFFERS, items=ITEMS):
    return {offer.bidder: total(items, offer) for offer in offers if offer.order}


def test_blocks_are_joined_by_the_contract_and_the_estimate_is_no_bidder(paper):
    paper = paper()
    draw_blocks(paper, ITEMS, OFFERS)
    batch = read(paper)
    assert (batch.kind, batch.layout, batch.contracts) == ("bid-tab", "pdf", 1)
    assert bids_of(batch) == wanted()
    estimate = batch.tables["estimate_price"]
    assert sum(estimate["extension"]) == total(ITEMS, OFFERS[0])
    contract = batch.tables["contract"].iloc[0]
    assert (contract["contract_id"], contract["letting_date"]) == ("C00042", dt.date(2031, 2, 14))
    assert codes(batch) == []


def test_wrapped_descriptions_units_apart_and_sections(paper):
    paper = paper()
    draw_blocks(paper, ITEMS, OFFERS)
    items = read(paper).tables["contract_item"]
    assert items["description"].tolist() == [" ".join(item.description) for item in ITEMS]
    assert items["pay_unit_as_read"].tolist() == ["EACH", "CY", "SF", "L S"]
    assert items["item_code"].tolist() == [item.code for item in ITEMS]
    assert items["schedule"].tolist() == ["Part 0001 BRIDGE"] * 3 + ["Part 0002 ROADWAY"]
    assert items["quantity"].tolist() == [1, 288, 2150, 1]


def test_every_price_knows_its_page_and_line(paper):
    paper = paper()
    draw_blocks(paper, ITEMS, OFFERS)
    prices = read(paper).tables["bid_price"]
    thorn = prices[prices["bidder"] == "THORN & CO"]
    assert thorn["source_sheet"].unique().tolist() == ["page 2"]
    assert thorn["source_row"].is_monotonic_increasing
    aside = read_file(paper.path).set_aside
    kept = set(zip(prices["source_sheet"], prices["source_row"], strict=True))
    assert kept.isdisjoint(zip(aside["source_sheet"], aside["source_row"], strict=True))


def test_items_that_run_over_pages_stay_one_contract(paper):
    paper = paper()
    items = [replace(item, code=f"{index:03d}-{index:05d}") for index in range(9) for item in ITEMS]
    offers = [replace(offer, prices=offer.prices * 9) for offer in OFFERS]
    draw_blocks(paper, items, offers, per_page=10)
    batch = read(paper)
    assert bids_of(batch) == wanted(offers, items)
    assert len(batch.tables["contract_item"]) == 36


def test_cut_amounts_are_worked_out_anew_with_one_finding(paper):
    paper = paper()
    draw_blocks(paper, ITEMS, OFFERS, cut_from=Decimal(200_000))
    batch = read(paper)
    assert bids_of(batch) == wanted()
    assert codes(batch).count("amount_cut") == 1
    prices = batch.tables["bid_price"]
    cut = prices["extension"] >= 200_000
    assert prices.loc[cut, "extension_as_read"].isna().all()
    assert prices.loc[~cut, "extension_as_read"].notna().all()


def test_the_reports_beside_it_are_checks_and_never_counted(paper):
    paper = paper()
    draw_summary(paper, ITEMS, OFFERS)
    draw_ranking(paper, ITEMS, OFFERS)
    draw_blocks(paper, ITEMS, OFFERS, letting="")
    draw_low_bid_by_item(paper, ITEMS, OFFERS)
    batch = read(paper)
    assert bids_of(batch) == wanted()
    assert len(batch.tables["bid_price"]) == 4 * len(ITEMS)
    assert batch.tables["contract"].iloc[0]["letting_date"] == dt.date(2031, 2, 14)
    reasons = batch.set_aside["reason"].str.contains("used as a check only").groupby(batch.set_aside["source_sheet"])
    assert reasons.all()[["page 1", "page 2", "page 5"]].all()
    assert codes(batch) == []


def test_a_ranking_that_says_another_total_refuses_the_file(paper):
    paper = paper()
    draw_ranking(paper, ITEMS, [*OFFERS[:-1], replace(OFFERS[-1], prices=("1.00000", *OFFERS[-1].prices[1:]))])
    draw_blocks(paper, ITEMS, OFFERS)
    with pytest.raises(UnreadableFile, match="the ranking gives"):
        read_file(paper.save())


def test_a_total_that_its_items_do_not_add_up_to_refuses_the_file(paper):
    paper = paper()
    draw_blocks(paper, ITEMS, OFFERS, shown_totals={"THORN & CO": "$999,999.99"})
    with pytest.raises(UnreadableFile, match=r"THORN & CO: the items add up to \$.*printed total is \$999,999\.99"):
        read_file(paper.save())


def test_an_amount_that_is_not_quantity_times_price_refuses_the_file(paper, monkeypatch):
    paper = paper()
    monkeypatch.setattr(
        "tests.ingest.pdf.drawing.amount", lambda item, price: amount(item, price) + (item.unit == "CY")
    )
    draw_blocks(paper, ITEMS, OFFERS)
    with pytest.raises(UnreadableFile, match="quantity x unit price is not the printed amount"):
        read_file(paper.save())


def test_a_low_bid_report_of_other_prices_is_a_finding(paper):
    paper = paper()
    draw_blocks(paper, ITEMS, OFFERS)
    draw_low_bid_by_item(paper, ITEMS, [OFFERS[0], replace(OFFERS[1], prices=("1.00000", *OFFERS[1].prices[1:]))])
    batch = read(paper)
    assert "low_bid_report_differs" in codes(batch)
    assert bids_of(batch) == wanted()


def test_without_totals_nothing_proves_the_items(paper):
    sheet = paper("bare.pdf")
    draw_blocks(sheet, ITEMS, OFFERS, totals=False)
    with pytest.raises(UnreadableFile, match="no total is printed for Engineer's Estimate"):
        read_file(sheet.save())
    sheet = paper("ranked.pdf")
    draw_blocks(sheet, ITEMS, OFFERS, totals=False)
    draw_ranking(sheet, ITEMS, OFFERS)
    assert bids_of(read(sheet)) == wanted()


def test_a_missing_first_bidder_is_refused_and_a_missing_other_said(paper):
    sheet = paper("first.pdf")
    draw_blocks(sheet, ITEMS, [OFFERS[0], *OFFERS[2:]])
    with pytest.raises(UnreadableFile, match=r"numbered from \(2\) on"):
        read_file(sheet.save())
    sheet = paper("other.pdf")
    draw_blocks(sheet, ITEMS, [*OFFERS[:2], *OFFERS[3:]])
    assert codes(read(sheet)) == ["bidder_missing"]


def test_several_contracts_in_one_file(paper):
    paper = paper()
    draw_blocks(paper, ITEMS, OFFERS, contract="C00042")
    draw_blocks(paper, ITEMS[:3], [replace(offer, prices=offer.prices[:3]) for offer in OFFERS], contract="C00043")
    batch = read(paper)
    assert batch.tables["contract"]["contract_id"].tolist() == ["C00042", "C00043"]
    assert len(batch.tables["bid"]) == 8


def test_the_date_is_taken_from_the_name_where_no_page_has_it(paper):
    sheet = paper("2031-05-06.pdf")
    draw_blocks(sheet, ITEMS, OFFERS, letting="")
    assert read(sheet).tables["contract"].iloc[0]["letting_date"] == dt.date(2031, 5, 6)
    sheet = paper("tab.pdf")
    draw_blocks(sheet, ITEMS, OFFERS, letting="")
    with pytest.raises(BadValue, match="no letting date"):
        read_file(sheet.save())


def test_a_tabulation_that_lost_its_last_pages_is_refused(paper):
    paper = paper()
    items = [replace(item, code=f"{index:03d}-{index:05d}") for index in range(9) for item in ITEMS]
    offers = [replace(offer, prices=offer.prices * 9) for offer in OFFERS[:3]]
    draw_blocks(paper, items, offers, per_page=10, stop_after=3)
    with pytest.raises(UnreadableFile, match="counts 4 pages, and page 4 of them"):
        read_file(paper.save())

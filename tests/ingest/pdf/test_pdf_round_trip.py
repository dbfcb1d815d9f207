"""Made-up tabulations drawn to PDF, in blocks and in one table, and read back: the same rows, and money to the cent."""

from __future__ import annotations

import tempfile
from decimal import Decimal
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bidlens.ingest import read_file
from tests.ingest.conftest import conform_all
from tests.ingest.pdf.drawing import ESTIMATE, Item, Offer, Paper, amount, draw_blocks, draw_ranking, draw_wide, total

NAMES = [("Heron Bridge Co.",), ("Wren & Sons,", "Inc."), ("Robin", "Constructors"), ("Lark LLC",), ("Alder Paving",)]
WORKS = ["Removal of Pipe 12 Inch", "Concrete Class 2", "Beam (Type 3)", "Guardrail, 31 Inch", "Excavation"]
UNITS = ["LS", "L S", "EACH", "LF", "SF", "SY", "CY", "LB", "TON"]
SETTINGS = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def quantities():
    return st.decimals("0.001", "9999", places=3).map(lambda value: f"{value:,}")


def prices(places):
    return st.decimals("0.01", "99999", places=places).map(lambda value: f"{value:,}")


@st.composite
def tabulations(draw, places, most_offers):
    """(items, offers with the estimate first); codes differ, descriptions may be wrapped, sections may change."""
    count = draw(st.integers(1, 7))
    items = []
    for at in range(count):
        work = draw(st.sampled_from(WORKS))
        lines = (work, "(as shown)") if draw(st.booleans()) else (work,)
        section = f"Part 000{1 + at // 4} {'BRIDGE' if at < 4 else 'ROAD'}"
        items.append(Item(f"{601 + at}-0000{at}", lines, draw(st.sampled_from(UNITS)), draw(quantities()), section))
    names = draw(st.lists(st.sampled_from(NAMES), min_size=1, max_size=most_offers, unique=True))
    offers = [
        Offer(name, tuple(draw(st.lists(prices(places), min_size=count, max_size=count))), at, f"{at}7A")
        for at, name in enumerate([tuple(ESTIMATE), *names])
    ]
    return items, offers


def check(batch, items, offers):
    conform_all(batch)
    assert batch.rows_read == batch.rows_kept + batch.rows_set_aside
    found = batch.tables["contract_item"]
    assert found["description"].tolist() == [" ".join(item.description) for item in items]
    assert found["quantity"].tolist() == [Decimal(item.quantity.replace(",", "")) for item in items]
    assert found["pay_unit_as_read"].tolist() == [item.unit for item in items]
    bids = batch.tables["bid"].set_index("bidder")["total_corrected"].to_dict()
    assert bids == {offer.bidder: total(items, offer) for offer in offers[1:]}
    priced = batch.tables["bid_price"]
    for offer in offers[1:]:
        own = priced[priced["bidder"] == offer.bidder]
        assert own["unit_price"].tolist() == [Decimal(price.replace(",", "")) for price in offer.prices]
        assert own["extension"].tolist() == [
            amount(item, price) for item, price in zip(items, offer.prices, strict=True)
        ]
    assert batch.tables["estimate_price"]["unit_price"].tolist() == [
        Decimal(price.replace(",", "")) for price in offers[0].prices
    ]


@SETTINGS
@given(tabulations(5, 5), st.integers(2, 6), st.sampled_from([None, Decimal(100_000)]), st.booleans())
def test_blocks_come_back(tabulation, per_page, cut_from, ranked):
    items, offers = tabulation
    with tempfile.TemporaryDirectory() as folder:
        paper = Paper(Path(folder) / "tab.pdf")
        if ranked:
            draw_ranking(paper, items, offers)
        draw_blocks(paper, items, offers, per_page=per_page, cut_from=cut_from)
        batch = read_file(paper.save())
    check(batch, items, offers)
    assert batch.tables["contract_item"]["item_code"].tolist() == [item.code for item in items]
    assert batch.tables["contract_item"]["schedule"].tolist() == [item.section for item in items]


@SETTINGS
@given(tabulations(2, 3), st.integers(3, 6), st.booleans(), st.booleans(), st.booleans())
def test_a_ruled_table_comes_back(tabulation, per_page, repeat_head, middle, loose_sign):
    items, offers = tabulation
    with tempfile.TemporaryDirectory() as folder:
        paper = Paper(Path(folder) / "tab.pdf")
        draw_wide(
            paper, items, offers, per_page=per_page, repeat_head=repeat_head, middle=middle, loose_sign=loose_sign
        )
        batch = read_file(paper.save())
    check(batch, items, offers)

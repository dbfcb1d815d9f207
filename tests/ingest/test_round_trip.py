"""Made-up tabulations, written long and wide by the test and read back: the same rows, and money to the cent."""

from __future__ import annotations

import csv
import tempfile
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bidlens.ingest import read_file
from tests.ingest.conftest import LONG_HEAD, conform_all

BIDDERS = ["Heron Bridge Co.", "Wren & Sons, Inc.", "Robin Constructors", "Lark LLC", "Alder Paving", "Basalt Group"]
UNITS = ["LS", "EA", "LF", "SF", "SY", "CY", "LB", "TON"]
PRICES = st.decimals("0.01", "99999", places=2)


@st.composite
def tabulations(draw):
    """(items, bidders, prices): items as (line, description, unit, quantity), prices[bidder][item]."""
    bidders = draw(st.lists(st.sampled_from(BIDDERS), min_size=1, max_size=5, unique=True))
    count = draw(st.integers(1, 8))
    quantities = draw(st.lists(st.decimals("0.001", "99999", places=3), min_size=count, max_size=count))
    units = draw(st.lists(st.sampled_from(UNITS), min_size=count, max_size=count))
    items = [(f"{at:04d}", f"Work of kind {at}", units[at], quantities[at]) for at in range(count)]
    prices = [draw(st.lists(PRICES, min_size=count, max_size=count)) for _ in bidders]
    return items, bidders, prices


def cents(value: Decimal) -> Decimal:
    return value.quantize(Decimal("0.01"), ROUND_HALF_UP)


def read_rows(rows, name):
    """Write rows as CSV, read them, and count the rows independently."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        with path.open("w", newline="", encoding="utf-8") as stream:
            csv.writer(stream).writerows(rows)
        batch = read_file(path)
    conform_all(batch)
    assert batch.rows_read == sum(any(str(cell).strip() for cell in row) for row in rows)
    assert batch.rows_read == batch.rows_kept + batch.rows_set_aside
    places = batch.set_aside["source_row"].tolist()
    assert len(set(places)) == len(places)
    assert not set(places) & set(batch.tables["bid_price"]["source_row"])
    return batch


def check(batch, items, bidders, prices):
    found = batch.tables["contract_item"]
    assert list(zip(found["line"], found["description"], found["pay_unit"], found["quantity"], strict=True)) == items
    totals = batch.tables["bid"].set_index("bidder")["total_corrected"].to_dict()
    wanted = {
        bidder: sum(cents(item[3] * price) for item, price in zip(items, own, strict=True))
        for bidder, own in zip(bidders, prices, strict=True)
    }
    assert totals == wanted
    got = {(row.bidder, row.line): row.unit_price for row in batch.tables["bid_price"].itertuples()}
    assert got == {
        (bidder, item[0]): price
        for bidder, own in zip(bidders, prices, strict=True)
        for item, price in zip(items, own, strict=True)
    }
    low = batch.tables["bid"].query("rank_corrected == 1")["bidder"]
    assert set(low) == {bidder for bidder, total in wanted.items() if total == min(wanted.values())}


SETTINGS = settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@SETTINGS
@given(tabulations(), st.booleans())
def test_a_long_tabulation_comes_back(tabulation, as_money_text):
    items, bidders, prices = tabulation
    rows = [LONG_HEAD]
    for at, (line, description, unit, quantity) in enumerate(items):
        for place, (bidder, own) in enumerate(zip(bidders, prices, strict=True), start=1):
            price, amount = own[at], cents(quantity * own[at])
            shown = (f"${price:,}", f"${amount:,}") if as_money_text else (price, amount)
            rows.append(["91-001", line, "1", description, unit, f"{quantity:,}", bidder, *shown, place])
    check(read_rows(rows, "2031-04-08.csv"), items, bidders, prices)


@SETTINGS
@given(tabulations())
def test_a_wide_tabulation_comes_back(tabulation):
    items, bidders, prices = tabulation
    over = [cell for bidder in bidders for cell in (bidder, "")]
    rows = [
        ["Contract 91-001", "", "", "", *over],
        ["Bids opened April 8, 2031"],
        ["Item No.", "Description", "Unit", "Quantity", *["Unit Price", "Amount"] * len(bidders)],
        *(
            [*item, *(cell for own in prices for cell in (own[at], cents(item[3] * own[at])))]
            for at, item in enumerate(items)
        ),
        ["", "Total bid", "", "", *(cell for own in prices for cell in ("", sum(own)))],
    ]
    batch = read_rows(rows, "tab.csv")
    assert batch.tables["contract"]["contract_id"].tolist() == ["91-001"]
    check(batch, items, bidders, prices)


@SETTINGS
@given(tabulations(), st.randoms(use_true_random=False))
def test_the_order_of_rows_and_bidders_changes_no_total(tabulation, dice):
    items, bidders, prices = tabulation
    rows = [
        ["91-001", item[0], "1", item[1], item[2], item[3], bidder, own[at], "", ""]
        for at, item in enumerate(items)
        for bidder, own in zip(bidders, prices, strict=True)
    ]
    straight = read_rows([LONG_HEAD, *rows], "2031-04-08.csv").tables["bid"].set_index("bidder")
    dice.shuffle(rows)
    shuffled = read_rows([LONG_HEAD, *rows], "2031-04-08.csv").tables["bid"].set_index("bidder")
    for column in ("total_corrected", "rank_corrected", "total_as_read"):
        assert straight[column].to_dict() == shuffled[column].to_dict()

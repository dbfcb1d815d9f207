"""Prices typed by hand: the bid follows, what was read stays, and everything can be taken back. Firms are invented."""

from __future__ import annotations

from decimal import Decimal

import pandas as pd
import pytest

from bidlens.batch import Batch
from bidlens.errors import BadValue, NotOnRecord
from bidlens.findings import Finding
from bidlens.store import Store, accept, ask, correct_price, reopen, save_batch, take_back_price, try_price, undo_batch
from tests.store.conftest import LETTING, NOON, bid_tab, contents

WREN = "Wren Contracting"


def with_blank(why: str = "unit price left blank", **more: str) -> Batch:
    """C-1, where Wren left the price of the deck (200 SY) blank and would be low with 19.00."""
    batch = bid_tab("C-1", bid_status={WREN: "irregular"}, **more)
    prices, bids = batch.tables["bid_price"], batch.tables["bid"]
    blank = (prices["bidder"] == WREN) & (prices["line"] == "2")
    money = ["unit_price", "extension", "extension_as_read"]
    prices[money] = prices[money].astype(object)
    prices.loc[blank, money] = None
    bids[["total_corrected", "status_from"]] = bids[["total_corrected", "status_from"]].astype(object)
    bids.loc[bids["bidder"] == WREN, ["total_corrected", "status_from"]] = [None, why]
    text = f"contract C-1: {WREN} left 1 unit price blank; the bid is irregular and not ranked"
    batch.findings.append(Finding("blank_unit_price", "stop", text, contract_id="C-1"))
    return batch


def key(line: str = "2", bidder: str = WREN) -> tuple:
    return ("C-1", LETTING, "", line, bidder)


def bids(store: Store) -> dict[str, tuple]:
    frame = ask(store, "bidders_of_contract", contract_id="C-1", letting_date=LETTING)
    rows = frame[["bidder", "status", "total_corrected", "rank_corrected"]].values.tolist()
    return {bidder: (status, total, rank) for bidder, status, total, rank in rows}


@pytest.fixture
def blank(store: Store) -> Store:
    save_batch(store, with_blank(), NOON)
    return store


def test_a_typed_price_makes_the_bid_whole_ranked_and_marked(blank: Store) -> None:
    # by hand: Wren 10 x 95 + 200 x 19 = 4,750, under Harrier's 5,100
    assert ask(blank, "blank_prices")[["line", "bidder"]].values.tolist() == [["2", WREN]]
    done = correct_price(blank, *key(), "19.00", "bid as handed in, page 3", decided_at=NOON)
    assert (done.status, done.total, done.rank, done.still_blank) == ("responsive", Decimal("4750.00"), 1, 0)
    assert (done.low_before, done.low_after) == ("Harrier Bridge", WREN)
    assert bids(blank) == {
        WREN: ("responsive", 4750.0, 1),
        "Harrier Bridge": ("responsive", 5100.0, 2),
        "Kestrel & Sons": ("responsive", 5900.0, 3),
    }
    rows = ask(blank, "low_bid_items")
    assert rows["extension"].tolist() == [950.0, 3800.0]
    assert rows["by_hand"].fillna("").tolist() == ["", "bid as handed in, page 3"]
    [kept] = ask(blank, "corrections").to_dict("records")
    assert (kept["value_as_read"], kept["value"], kept["source_row"], kept["in_use"]) == ("", 19.0, 7, True)
    found = ask(blank, "findings").set_index("code")["accepted"]
    assert found["blank_unit_price"] == "the prices were typed by hand"
    assert ask(blank, "counts")[["findings", "open_findings"]].values.tolist() == [[2, 1]]


def test_what_is_as_read_stays_as_read(blank: Store) -> None:
    before = contents(blank)["bid"]
    correct_price(blank, *key(), "19.00", "page 3", decided_at=NOON)
    with blank.open() as cursor:
        as_read = "SELECT bidder, total_as_read, rank_as_read FROM bid ORDER BY bidder"
        after = cursor.execute(as_read).fetchall()
    assert after == sorted((row[2], row[4], row[6]) for row in before)


def test_taken_back_the_record_is_what_it_was(blank: Store) -> None:
    before = contents(blank)
    correct_price(blank, *key(), "19.00", "page 3", decided_at=NOON)
    correct_price(blank, *key(), "21.00", "page 3, read again", decided_at=NOON)
    assert ask(blank, "corrections")["value"].tolist() == [21.0]
    done = take_back_price(blank, *key())
    assert (done.status, done.total, done.rank, done.still_blank) == ("irregular", None, None, 1)
    assert contents(blank) == before
    with pytest.raises(NotOnRecord, match="was typed by hand"):
        take_back_price(blank, *key())


def test_a_typed_price_outlives_undo_and_comes_back_with_the_same_file_alone(blank: Store) -> None:
    correct_price(blank, *key(), "19.00", "page 3", decided_at=NOON)
    corrected = contents(blank)
    undo_batch(blank, 1)
    assert ask(blank, "corrections")["in_use"].tolist() == [False]
    save_batch(blank, with_blank(), NOON)
    assert contents(blank) == corrected
    undo_batch(blank, 1)
    save_batch(blank, with_blank(sha256="f" * 64), NOON)
    assert bids(blank)[WREN][0] == "irregular"
    assert take_back_price(blank, *key()).status == "irregular"


def test_a_bid_irregular_for_another_reason_stays_so(store: Store) -> None:
    save_batch(store, with_blank("as the file says"), NOON)
    done = correct_price(store, *key(), "19.00", "page 3", decided_at=NOON)
    assert (done.status, done.total, done.rank) == ("irregular", Decimal("4750.00"), None)
    assert done.low_before == done.low_after == "Harrier Bridge"


@pytest.mark.parametrize("value", ["", "soon", "-1", "nan", "inf", "1e12", "1.0000001"])
def test_what_is_no_price_is_refused(blank: Store, value: str) -> None:
    before = contents(blank)
    with pytest.raises(BadValue, match=r"no price|no unit price"):
        correct_price(blank, *key(), value, "page 3", decided_at=NOON)
    assert contents(blank) == before


def test_a_price_that_was_read_is_not_overwritten_and_unknown_rows_are_told(blank: Store) -> None:
    before = contents(blank)
    with pytest.raises(BadValue, match=r"tab.csv, row 6: a unit price of 95 was read here"):
        correct_price(blank, *key("1"), "1.00", "page 3", decided_at=NOON)
    with pytest.raises(NotOnRecord, match="Siskin has no price on record here"):
        correct_price(blank, *key(bidder="Siskin"), "1.00", "page 3", decided_at=NOON)
    with pytest.raises(BadValue, match="reason is empty"):
        correct_price(blank, *key(), "1.00", " ", decided_at=NOON)
    assert contents(blank) == before


def test_money_is_exact_to_the_cent_and_dollar_signs_are_read(blank: Store) -> None:
    # 200 x 1,234.56789 = 246,913.578, half up 246,913.58; with 950 in all 247,863.58
    assert correct_price(blank, *key(), "$1,234.56789", "page 3", decided_at=NOON).total == Decimal("247863.58")


def test_a_finding_accepted_is_not_open_survives_undo_and_can_be_reopened(blank: Store) -> None:
    finding = ask(blank, "findings").set_index("code").loc["extension_differs"]
    accept(blank, 1, "tab.csv", "", 0, "extension_differs", finding["text"], "a cent", decided_at=NOON)
    assert ask(blank, "findings").set_index("code")["accepted"]["extension_differs"] == "a cent"
    assert ask(blank, "counts")["open_findings"].tolist() == [1]
    undo_batch(blank, 1)
    save_batch(blank, with_blank(), NOON)
    assert ask(blank, "counts")["open_findings"].tolist() == [1]
    [kept] = ask(blank, "acceptances").to_dict("records")
    reopen(blank, kept["sha256"], "", 0, "extension_differs", kept["text"])
    assert ask(blank, "counts")["open_findings"].tolist() == [2]
    with pytest.raises(NotOnRecord):
        reopen(blank, kept["sha256"], "", 0, "extension_differs", kept["text"])


def test_accepting_needs_a_reason_and_an_import(blank: Store) -> None:
    with pytest.raises(BadValue, match="reason is empty"):
        accept(blank, 1, "tab.csv", "", 0, "tie", "x", "", decided_at=NOON)
    with pytest.raises(NotOnRecord, match="no import 9"):
        accept(blank, 9, "tab.csv", "", 0, "tie", "x", "why", decided_at=NOON)


def test_a_row_is_shown_with_the_rows_above_and_below(blank: Store) -> None:
    near = ask(blank, "rows_around", batch_id=1, source_sheet="", source_row=7)
    assert near["source_row"].tolist() == [6, 7]
    assert WREN in near["text"].iloc[1]
    assert "no price" in near["text"].iloc[1]
    above = ask(blank, "rows_around", batch_id=1, source_sheet="", source_row=4)
    assert above["source_row"].tolist() == [3, 4, 5]
    assert isinstance(near, pd.DataFrame)


def test_a_price_can_be_tried_and_the_record_stays_as_it_is(blank: Store) -> None:
    before, stamp = contents(blank), blank.stamp()
    tried = try_price(blank, *key(), "19.00")
    assert (contents(blank), blank.stamp()) == (before, stamp)
    assert tried == correct_price(blank, *key(), "19.00", "bid as handed in", decided_at=NOON)
    assert tried.extension == Decimal("3800.00")  # by hand: 200 x 19
    with pytest.raises(BadValue, match="is no price"):
        try_price(blank, *key(), "nineteen")
    with pytest.raises(BadValue, match="what was read is not overwritten"):
        try_price(blank, *key("1"), "1")

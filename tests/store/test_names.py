"""Confirmed spellings: shown and counted as one bidder, with the rows as read left alone. Firms are invented."""

from __future__ import annotations

import datetime as dt

import pytest

from bidlens.errors import BadValue, NotOnRecord
from bidlens.store import Store, ask, confirm_alias, forget_alias, save_batch, undo_batch
from tests.store.conftest import NOON, bid_tab, contents

ONE, OTHER = "Kestrel & Sons", "KESTREL AND SONS"
LATER = dt.date(2025, 4, 1)


@pytest.fixture
def two_spellings(store: Store) -> Store:
    """C-1 with Kestrel second of three; C-2 with the same firm in capitals, low."""
    save_batch(store, bid_tab("C-1"), NOON)
    bids = {OTHER: ("80.00", "20.00"), "Wren Contracting": ("95.00", "21.00")}
    save_batch(store, bid_tab("C-2", sha256="b" * 64, name="later.csv", letting_date=LATER, bids=bids), NOON)
    return store


def bids_of(store: Store) -> dict[str, int]:
    return ask(store, "bidders").set_index("bidder")["bids"].to_dict()


def test_a_confirmed_spelling_is_counted_and_shown_as_the_bidder_and_rows_stay_as_read(two_spellings: Store) -> None:
    before = contents(two_spellings)
    assert bids_of(two_spellings) == {"Wren Contracting": 2, "Harrier Bridge": 1, OTHER: 1, ONE: 1}
    assert confirm_alias(two_spellings, OTHER, ONE, "same address", decided_at=NOON) == []
    assert bids_of(two_spellings) == {ONE: 2, "Wren Contracting": 2, "Harrier Bridge": 1}
    assert ask(two_spellings, "lettings")["low_bidder"].tolist() == ["Harrier Bridge", ONE]
    assert set(ask(two_spellings, "low_bid_items").query("contract_id == 'C-2'")["low_bidder"]) == {ONE}
    bids = ask(two_spellings, "bidders_of_contract", contract_id="C-2", letting_date=LATER)
    assert bids[["bidder", "bidder_as_read"]].values.tolist()[0] == [ONE, OTHER]
    after = contents(two_spellings)
    assert {name: rows for name, rows in after.items() if name != "bidder_alias"} == {
        name: rows for name, rows in before.items() if name != "bidder_alias"
    }


def test_confirming_twice_is_one_decision_and_forgetting_leaves_no_trace(two_spellings: Store) -> None:
    before = contents(two_spellings)
    confirm_alias(two_spellings, OTHER, ONE, "first", decided_at=NOON)
    confirm_alias(two_spellings, OTHER, ONE, "second", decided_at=NOON)
    assert ask(two_spellings, "bidder_aliases")[["spelling", "bidder", "contracts", "reason"]].values.tolist() == [
        [OTHER, ONE, 1, "second"]
    ]
    assert forget_alias(two_spellings, OTHER) == ONE
    assert contents(two_spellings) == before


def test_two_bids_of_one_letting_are_never_put_together(two_spellings: Store) -> None:
    [finding] = confirm_alias(two_spellings, OTHER, "Wren Contracting", "one owner", decided_at=NOON)
    assert (finding.code, finding.contract_id) == ("bidders_kept_apart", "C-2")
    assert OTHER in bids_of(two_spellings)
    assert ask(two_spellings, "lettings")["low_bidder"].tolist() == ["Harrier Bridge", OTHER]
    assert ask(two_spellings, "bidders_kept_apart")["contract_id"].tolist() == ["C-2"]


def test_a_decision_outlives_the_import_it_was_made_on(two_spellings: Store) -> None:
    confirm_alias(two_spellings, OTHER, ONE, "same address", decided_at=NOON)
    undo_batch(two_spellings, 2)
    assert ask(two_spellings, "bidder_aliases")["contracts"].tolist() == [0]
    bids = {OTHER: ("80.00", "20.00")}
    save_batch(two_spellings, bid_tab("C-3", sha256="c" * 64, letting_date=LATER, bids=bids), NOON)
    assert bids_of(two_spellings)[ONE] == 2


def test_a_chain_of_spellings_ends_at_one_bidder_and_a_circle_is_refused(two_spellings: Store) -> None:
    confirm_alias(two_spellings, OTHER, ONE, "same", decided_at=NOON)
    confirm_alias(two_spellings, ONE, "Harrier Bridge", "bought", decided_at=NOON)
    assert ask(two_spellings, "lettings")["low_bidder"].tolist() == ["Harrier Bridge", "Harrier Bridge"]
    with pytest.raises(BadValue, match="would stand for itself"):
        confirm_alias(two_spellings, "Harrier Bridge", OTHER, "circle", decided_at=NOON)
    with pytest.raises(BadValue, match="would stand for itself"):
        confirm_alias(two_spellings, ONE, ONE, "itself", decided_at=NOON)


def test_unknown_names_and_empty_reasons_change_nothing(two_spellings: Store) -> None:
    before = contents(two_spellings)
    with pytest.raises(NotOnRecord, match="no bid of “Kestrel & Son” is on record\nNear it: “Kestrel & Sons”"):
        confirm_alias(two_spellings, "Kestrel & Son", ONE, "why", decided_at=NOON)
    with pytest.raises(NotOnRecord, match="no bid of “x'; DROP TABLE bid; --”"):
        confirm_alias(two_spellings, ONE, "x'; DROP TABLE bid; --", "why", decided_at=NOON)
    with pytest.raises(BadValue, match="reason is empty"):
        confirm_alias(two_spellings, OTHER, ONE, "  ", decided_at=NOON)
    with pytest.raises(NotOnRecord, match="nothing was confirmed on the spelling “Kestrel & Sons”"):
        forget_alias(two_spellings, ONE)
    assert contents(two_spellings) == before

"""Structures linked to contracts by hand: how a link counts, what it refuses, how it is taken back. All invented."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pandas as pd
import pytest

from bidlens.batch import Batch, no_rows_set_aside
from bidlens.errors import BadValue, NotOnRecord
from bidlens.store import (
    NewBridge,
    Store,
    ask,
    link_structure,
    save_batch,
    take_back_link,
    undo_batch,
    unlink_structure,
)
from tests.store.conftest import LETTING, NOON, bid_tab, contents, frames

LATER = dt.date(2025, 4, 1)
NEW = NewBridge("rolled steel beam", 64.0, 30.0, 62.0, 1)
OLD_ONE, NEW_ONE, NO_YEAR = "K-1", "K-2", "K-3"


def listed(structure_id: str, contract_id: str = "", year_built: int | None = None, **more: Any) -> dict[str, Any]:
    return {
        "structure_id": structure_id, "contract_id": contract_id, "schedule": "", "superstructure": "timber",
        "deck_area_sf": 500.0, "length_ft": 25.0, "width_ft": 20.0, "area_from": "length x width", "spans": 1,
        "span_ft": 24.0, "year_built": year_built, "source_file": "list.csv", "source_sheet": None, **more,
    }  # fmt: skip


def a_list(rows: list[dict[str, Any]]) -> Batch:
    numbered = [{**row, "source_row": number + 2} for number, row in enumerate(rows)]
    tables = frames({"structure": numbered})
    return Batch("list.csv", "b" * 64, "structures", "list", len(rows) + 1, len(rows), tables, no_rows_set_aside())


@pytest.fixture
def filled(store: Store) -> Store:
    """Contracts C-1 and C-2, and an inventory: a bridge of 1957, one of 2025, one of no known year, and K-9 of C-2."""
    save_batch(store, bid_tab("C-1", "C-2"), NOON)
    rows = [listed(OLD_ONE, year_built=1957), listed(NEW_ONE, year_built=2025), listed(NO_YEAR), listed("K-9", "C-2")]
    save_batch(store, a_list(rows), NOON)
    return store


def linked(store: Store) -> dict[tuple[str, str], dict[str, Any]]:
    rows = ask(store, "structures_with_contract").astype("object").to_dict("records")
    known = [{str(name): None if pd.isna(value) else value for name, value in row.items()} for row in rows]
    return {(row["structure_id"], row["contract_id"]): row for row in known}


def link(store: Store, structure_id: str, bridge: NewBridge, contract_id: str = "C-1", *schedules: str) -> None:
    link_structure(store, contract_id, None, structure_id, schedules, bridge, "plans, sheet 2", decided_at=NOON)


def test_a_bridge_built_after_the_letting_lends_its_size(filled: Store) -> None:
    link(filled, NEW_ONE, NewBridge())
    row = linked(filled)[NEW_ONE, "C-1"]
    assert (row["linked_by"], row["link_reason"], row["geometry_from"]) == ("hand", "plans, sheet 2", "structure list")
    assert (row["deck_area_sf"], row["span_ft"], row["superstructure"]) == (500.0, 24.0, "timber")
    assert row["letting_date"] == pd.Timestamp(LETTING)
    assert ask(filled, "counts")["priced_structures"].tolist() == [2]


def test_the_bridge_that_was_replaced_does_not_price_the_new_one(filled: Store) -> None:
    before = contents(filled)
    with pytest.raises(BadValue, match="has the bridge of 1957") as stopped:
        link(filled, OLD_ONE, NewBridge(length_ft=64.0))
    assert "type and out-to-out width" in str(stopped.value)
    assert contents(filled) == before
    link(filled, OLD_ONE, NEW)
    row = linked(filled)[OLD_ONE, "C-1"]
    assert row["geometry_from"] == "hand"
    assert (row["superstructure"], row["deck_area_sf"], row["span_ft"]) == ("rolled steel beam", 1920.0, 62.0)
    assert row["year_built"] is None


def test_a_bridge_of_no_known_year_is_marked_and_what_is_said_by_hand_goes_before_it(filled: Store) -> None:
    link(filled, NO_YEAR, NewBridge())
    assert linked(filled)[NO_YEAR, "C-1"]["geometry_from"] == "structure list, year not known"
    link(filled, NO_YEAR, NewBridge(length_ft=50.0))
    row = linked(filled)[NO_YEAR, "C-1"]
    assert row["geometry_from"] == "hand and structure list, year not known"
    assert (row["deck_area_sf"], row["width_ft"]) == (1000.0, 20.0)


def test_a_bridge_on_no_list_needs_type_length_and_width(filled: Store) -> None:
    with pytest.raises(NotOnRecord, match="no structure “K-77”"):
        link(filled, "K-77", NewBridge("timber"))
    link(filled, "K-77", NEW)
    assert linked(filled)["K-77", "C-1"]["deck_area_sf"] == 1920.0


def test_a_link_by_hand_takes_the_place_of_the_files_and_taking_it_back_brings_that_back(filled: Store) -> None:
    before = contents(filled), linked(filled)
    link(filled, "K-9", NewBridge(width_ft=22.0), "C-2")
    row = linked(filled)["K-9", "C-2"]
    assert (row["linked_by"], row["width_ft"], row["deck_area_sf"]) == ("hand", 22.0, 550.0)
    assert take_back_link(filled, "C-2", None, "K-9")
    assert (contents(filled), linked(filled)) == before


def test_a_link_of_a_file_is_unlinked_with_a_reason_and_comes_back(filled: Store) -> None:
    before = contents(filled), linked(filled)
    unlink_structure(filled, "C-2", None, "K-9", "deck repair only", decided_at=NOON)
    assert ("K-9", "C-2") not in linked(filled)
    everywhere = ask(filled, "structures").set_index("structure_id")
    assert everywhere.loc["K-9", "contract_id"] == ""
    [said] = ask(filled, "structure_links").to_dict("records")
    assert (said["linked"], said["reason"], said["in_use"]) == (False, "deck repair only", True)
    with pytest.raises(NotOnRecord, match="no link between contract C-2 and structure"):
        unlink_structure(filled, "C-2", None, "K-9", "again", decided_at=NOON)
    assert not take_back_link(filled, "C-2", None, "K-9")
    assert (contents(filled), linked(filled)) == before
    with pytest.raises(NotOnRecord, match="nothing was said by hand"):
        take_back_link(filled, "C-2", None, "K-9")


def test_a_link_outlives_its_files_and_waits_for_them(filled: Store) -> None:
    link(filled, OLD_ONE, NEW)
    before = linked(filled)
    undo_batch(filled, 1)
    undo_batch(filled, 2)
    assert ask(filled, "structure_links")["in_use"].tolist() == [False]
    save_batch(filled, bid_tab("C-1", "C-2"), NOON)
    rows = [listed(OLD_ONE, year_built=1957), listed(NEW_ONE, year_built=2025), listed(NO_YEAR), listed("K-9", "C-2")]
    save_batch(filled, a_list(rows), NOON)
    assert linked(filled) == before


def test_a_column_of_the_bid_tab_that_names_one_structure_is_a_link(store: Store) -> None:
    tab = bid_tab("C-1")
    named = tab.tables["contract"].assign(structures_named=NEW_ONE)
    tab.tables["contract"] = named
    save_batch(store, tab, NOON)
    save_batch(store, a_list([listed(NEW_ONE, year_built=2025)]), NOON)
    row = linked(store)[NEW_ONE, "C-1"]
    assert (row["linked_by"], row["geometry_from"]) == ("bid tab", "structure list")
    unlink_structure(store, "C-1", None, NEW_ONE, "the road beside it", decided_at=NOON)
    assert linked(store) == {}


@pytest.mark.parametrize(
    ("contract_id", "schedule", "reason", "bridge", "message"),
    [
        ("C-7", "", "why", NEW, "no contract “C-7”"),
        ("C-1", "B", "why", NEW, "no schedule of contract C-1 “B”"),
        ("C-1", "", "  ", NEW, "the reason is empty"),
        ("C-1", "", "why", NewBridge("timber", -3.0, 20.0), "a length of -3.0 cannot be"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_changes(
    filled: Store, contract_id: str, schedule: str, reason: str, bridge: NewBridge, message: str
) -> None:
    before = contents(filled)
    schedules = [schedule] if schedule else []
    with pytest.raises((BadValue, NotOnRecord), match=message):
        link_structure(filled, contract_id, None, OLD_ONE, schedules, bridge, reason, decided_at=NOON)
    with pytest.raises(NotOnRecord, match="was not let on 01 Apr 2025"):
        link_structure(filled, "C-1", LATER, OLD_ONE, [], NEW, "why", decided_at=NOON)
    assert contents(filled) == before


def test_contracts_with_bridge_work_and_no_structure_are_listed_with_their_dollars(filled: Store) -> None:
    without = ask(filled, "contracts_without_structure", categories=["beams"])
    assert without[["contract_id", "bridge_usd", "bridge_lines"]].values.tolist() == [["C-1", 1000.0, 1]]
    assert ask(filled, "contracts_without_structure", categories=["removal"]).empty
    link(filled, OLD_ONE, NEW)
    assert ask(filled, "contracts_without_structure", categories=["beams"]).empty

"""A second file with what is on record already: the first stands, nothing is counted twice, nothing is lost."""

from __future__ import annotations

import datetime as dt

import pytest

from bidlens.batch import Batch
from bidlens.store import Store, ask, save_batch, undo_batch
from tests.store.conftest import LETTING, NOON, bid_tab, contents, cost_index, proposal_letter, structure_list

DEARER = {"Harrier Bridge": ("700.00", "20.50"), "Siskin Works": ("900.00", "25.00")}


def test_the_first_file_of_a_contract_stands_and_the_second_is_set_aside(store: Store) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    first = contents(store)
    saved = save_batch(store, bid_tab("C-1", "C-2", sha256="e" * 64, name="second.csv", bids=DEARER), NOON)
    assert (saved.status, saved.batch_id, saved.contracts) == ("imported", 2, 1)
    assert (saved.rows_read, saved.rows_kept, saved.rows_set_aside) == (9, 5, 4)
    [finding] = [found for found in saved.findings if found.code == "contract_on_record"]
    assert (finding.severity, finding.contract_id, str(finding.place)) == ("check", "C-1", "second.csv, row 2")
    assert "C-1 let 12 Mar 2024 is on record from “tab.csv” (import 1)" in finding.text
    assert "take back this import and import 1" in finding.do
    lettings = ask(store, "lettings").set_index("contract_id")
    assert lettings["low_total"].to_dict() == {"C-1": 5100.0, "C-2": 11100.0}
    after = contents(store)
    assert [row for row in after["bid_price"] if row[0] == "C-1"] == first["bid_price"]


def test_each_row_of_the_second_file_is_kept_as_text_with_its_reason(store: Store) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    save_batch(store, bid_tab("C-1", sha256="e" * 64, name="second.csv", bids=DEARER), NOON)
    aside = ask(store, "set_aside")
    assert aside["source_row"].tolist() == [2, 3, 4, 5]
    assert set(aside["reason"]) == {"contract C-1 let 12 Mar 2024 is on record from “tab.csv” (import 1)"}
    assert "Siskin Works" in aside["text"].iloc[2]
    assert "900.00" in aside["text"].iloc[2]
    history = ask(store, "imports")
    assert (history["rows_set_aside"] == [4, 0]).all()
    assert (history["rows_read"] == history["rows_kept"] + history["rows_set_aside"]).all()


def test_bidders_met_only_in_rows_set_aside_are_not_on_record(store: Store) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    save_batch(store, bid_tab("C-1", sha256="e" * 64, bids=DEARER), NOON)
    assert "Siskin Works" not in {row[0] for row in contents(store)["bidder"]}


def test_rows_that_serve_a_new_contract_too_are_kept(store: Store) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    batch = bid_tab("C-1", "C-2", sha256="e" * 64, name="wide.csv")
    for name in ("bid", "bid_price", "contract_item", "estimate_price"):  # a layout with both contracts in each row
        batch.tables[name] = batch.tables[name].assign(source_row=2)
    saved = save_batch(store, batch, NOON)
    assert ask(store, "set_aside")["source_row"].tolist() == []
    assert saved.rows_kept == saved.rows_read


def test_a_row_set_aside_by_the_reader_is_not_set_aside_twice(store: Store) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    batch = bid_tab("C-1", sha256="e" * 64, name="second.csv")
    batch.set_aside = batch.set_aside.assign()
    batch.set_aside.loc[0] = ["second.csv", None, 3, "no price", "C-1,2,"]
    saved = save_batch(store, batch, NOON)
    assert saved.rows_set_aside == 6
    assert ask(store, "set_aside")["source_row"].tolist() == [2, 3, 4, 5, 6, 7]


def test_a_contract_let_again_on_another_day_is_another_letting(store: Store) -> None:
    save_batch(store, bid_tab("C-1", status="rejected"), NOON)
    later = LETTING + dt.timedelta(days=60)
    saved = save_batch(store, bid_tab("C-1", sha256="e" * 64, letting_date=later), NOON)
    assert (saved.status, saved.contracts, saved.rows_set_aside) == ("imported", 1, 0)
    lettings = ask(store, "lettings")
    assert lettings["status"].tolist() == ["rejected", "awarded"]
    assert ask(store, "low_bid_items")["letting_date"].dt.date.unique().tolist() == [later]


@pytest.mark.parametrize(
    ("first", "second", "code", "table", "aside"),
    [
        (structure_list("K-1", "K-2"), structure_list("K-1", "K-2", sha256="e" * 64, name="s2.csv"),
         "structure_on_record", "structure", 2),
        (proposal_letter(), proposal_letter(sha256="e" * 64, name="copy.toml"), "proposal_on_record", "proposal", 1),
        (cost_index(), cost_index(sha256="e" * 64, name="i2.csv"), "index_on_record", "index_value", 3),
        (bid_tab("C-1"), bid_tab("C-1", sha256="e" * 64), "contract_on_record", "bid_price", 6),
    ],
)  # fmt: skip
def test_a_file_with_nothing_new_is_on_the_history_and_adds_no_data(
    store: Store, first: Batch, second: Batch, code: str, table: str, aside: int
) -> None:
    save_batch(store, first, NOON)
    before = contents(store)
    saved = save_batch(store, second, NOON)
    assert (saved.status, saved.batch_id, saved.contracts, saved.rows_set_aside) == ("nothing new", 2, 0, aside)
    assert [found.code for found in saved.findings if found.code == code] == [code]
    after = contents(store)
    assert after[table] == before[table]
    assert len(after["set_aside"]) == aside
    undo_batch(store, 2)
    assert contents(store) == before


def test_only_new_structures_and_releases_come_in(store: Store) -> None:
    save_batch(store, structure_list("K-1", "K-2", "K-3"), NOON)
    saved = save_batch(store, structure_list("K-2", "K-3", "K-4", sha256="e" * 64, name="s2.csv"), NOON)
    assert (saved.status, saved.contracts, saved.rows_set_aside) == ("imported", 1, 2)
    assert "2 structures on record from “structures.csv” (import 1): K-2, K-3" in saved.findings[0].text
    paid = save_batch(store, structure_list("K-2", sha256="f" * 64, contract="C-1"), NOON)
    assert paid.contracts == 1  # the inventory's row and the contract's row are two
    save_batch(store, cost_index(), NOON)
    assert save_batch(store, cost_index(sha256="8" * 64, last="2024Q4"), NOON).contracts == 3


def test_an_index_whose_rows_hold_several_quarters_is_set_aside_in_one_piece(store: Store) -> None:
    save_batch(store, cost_index(), NOON)
    wide = cost_index(sha256="e" * 64, name="wide.csv")
    wide.rows_read = 2  # headings, and one row for the year
    saved = save_batch(store, wide, NOON)
    assert (saved.rows_kept, saved.rows_set_aside) == (1, 1)
    assert "2024Q1 | 100.0 ; Alder" in ask(store, "set_aside")["text"].iloc[0]


def test_the_second_file_takes_the_place_of_the_first_after_both_are_taken_back(store: Store) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    second = bid_tab("C-1", sha256="e" * 64, name="second.csv", bids=DEARER)
    save_batch(store, second, NOON)
    undo_batch(store, 2)
    undo_batch(store, 1)
    assert save_batch(store, second, NOON).status == "imported"
    assert ask(store, "lettings")["source_file"].tolist() == ["second.csv"]

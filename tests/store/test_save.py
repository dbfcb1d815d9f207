"""Storing a batch: exact, once, whole or not at all."""

from __future__ import annotations

import datetime as dt
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bidlens.batch import SET_ASIDE_COLUMNS
from bidlens.errors import BadValue, BidlensError, NotOnRecord, Place
from bidlens.findings import Finding
from bidlens.store import Store, ask, save, save_batch
from bidlens.tables import BY_NAME
from tests.store.conftest import LETTING, NOON, bid_tab, contents, cost_index, proposal_letter, structure_list

Rows = Callable[..., list[tuple[Any, ...]]]


def test_a_bid_tab_comes_in_whole_with_its_history_and_findings(store: Store, rows_of: Rows) -> None:
    saved = save_batch(store, bid_tab("C-1", "C-2"), NOON)
    assert (saved.batch_id, saved.status, saved.contracts) == (1, "imported", 2)
    assert (saved.rows_read, saved.rows_kept, saved.rows_set_aside) == (13, 13, 0)
    assert [finding.code for finding in saved.findings] == ["extension_differs"]
    assert rows_of("SELECT * FROM import_batch") == [
        (1, "a" * 64, "tab.csv", "bid-tab", "long", dt.datetime(2026, 2, 10, 12, 0), 13, 13, 0, 2)  # noqa: DTZ001
    ]
    counted = {name: len(rows) for name, rows in contents(store).items() if rows}
    assert counted == {
        "import_batch": 1, "contract": 2, "contract_item": 4, "bid": 6, "bid_price": 12, "estimate_price": 4,
        "bidder": 3, "finding": 1, "setting": 1,
    }  # fmt: skip


def test_what_is_saved_is_what_is_stored_for_every_kind_of_file(store: Store) -> None:
    batches = [bid_tab("C-1"), structure_list("K-1", "K-2"), proposal_letter(), cost_index()]
    for batch in batches:
        save_batch(store, batch, NOON)
    stored = contents(store)
    for number, batch in enumerate(batches, start=1):
        for name, frame in batch.tables.items():
            expected = BY_NAME[name].conform(frame.assign(batch_id=number)).to_pylist()
            assert sorted(map(repr, stored[name])) == sorted(repr(tuple(row.values())) for row in expected), name


def test_money_and_prices_round_trip_to_the_last_digit(store: Store, rows_of: Rows) -> None:
    batch = bid_tab("C-1", bids={"Harrier": ("0.10", "0.20"), "Wren": ("9999999999999.12345", "12345.67890")})
    prices = batch.tables["bid_price"].drop(columns=["extension", "extension_as_read"])
    extensions = ["1.00", "40.00", "9007199254740993.07", None]  # past what a float64 can tell apart
    batch.tables["bid_price"] = prices.assign(extension=extensions)
    save_batch(store, batch, NOON)
    assert rows_of("SELECT unit_price, extension FROM bid_price ORDER BY bidder, line") == [
        (Decimal("0.10000"), Decimal("1.00")),
        (Decimal("0.20000"), Decimal("40.00")),
        (Decimal("9999999999999.12345"), Decimal("9007199254740993.07")),
        (Decimal("12345.67890"), None),
    ]


def test_the_same_bytes_come_in_once_even_under_another_name(store: Store) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    before = contents(store)
    again = save_batch(store, bid_tab("C-1", name="copy of tab.csv"), NOON + dt.timedelta(days=1))
    assert (again.status, again.batch_id, again.contracts, again.rows_read) == ("already imported", 1, 1, 7)
    assert "10 Feb 2026 12:00 UTC as import 1, under the name “tab.csv”" in again.findings[0].text
    assert contents(store) == before


def test_a_time_with_a_zone_is_stored_in_utc(store: Store, rows_of: Rows) -> None:
    eastern = dt.timezone(dt.timedelta(hours=-5))
    save_batch(store, bid_tab("C-1"), dt.datetime(2026, 2, 10, 9, 30, tzinfo=eastern))
    assert rows_of("SELECT strftime(imported_at, '%H:%M') FROM import_batch") == [("14:30",)]


def test_rows_set_aside_and_findings_without_a_row_number_are_all_kept(store: Store) -> None:
    batch = bid_tab("C-1")
    batch.set_aside = pd.DataFrame(
        [("tab.csv", "p. 1", None, "a footnote", "* see note"), ("tab.csv", "p. 1", None, "a footnote", "** other")],
        columns=list(SET_ASIDE_COLUMNS),
    )
    batch.rows_read += 2
    doubt = Finding("total_differs", "note", "the total differs", place=Place("tab.csv", "p. 1"))
    batch.findings = [
        doubt,
        doubt,
        Finding("total_differs", "note", "the total differs", place=Place("tab.csv", "p. 2")),
    ]
    saved = save_batch(store, batch, NOON)
    assert (saved.rows_read, saved.rows_kept, saved.rows_set_aside) == (9, 7, 2)
    assert ask(store, "set_aside")["text"].tolist() == ["* see note", "** other"]
    assert ask(store, "findings")["source_sheet"].tolist() == ["p. 1", "p. 2"]  # the same words about one place once


@pytest.mark.parametrize(
    ("table", "kept", "said"),
    [
        ("contract_item", [0], "4 rows of bid_price have no contract_item|3 rows of bid_price have no contract_item"),
        ("bid", [0, 1], "2 rows of bid_price have no bid, as C-1 2024-03-12 Wren Contracting"),
        ("contract", [], "3 rows of bid have no contract"),
    ],
)
def test_rows_without_their_parent_are_refused(store: Store, table: str, kept: list[int], said: str) -> None:
    before = contents(store)
    batch = bid_tab("C-1")
    batch.tables[table] = batch.tables[table].iloc[kept]
    with pytest.raises(BadValue, match=said):
        save_batch(store, batch, NOON)
    assert contents(store) == before


def test_a_scope_without_proposal_and_a_value_without_series_are_refused(store: Store) -> None:
    for batch, parent in ((proposal_letter(), "proposal"), (cost_index(), "index_series")):
        del batch.tables[parent]
        with pytest.raises(BadValue, match=f"3 rows of .* have no {parent}"):
            save_batch(store, batch, NOON)


def test_tables_that_files_do_not_fill_and_rows_that_do_not_fit_are_refused(store: Store) -> None:
    batch = bid_tab("C-1")
    batch.tables["setting"] = pd.DataFrame({"name": ["schema_version"], "value": ["7"]})
    with pytest.raises(BadValue, match="files do not fill the table setting"):
        save_batch(store, batch, NOON)
    batch = bid_tab("C-1")
    batch.tables["contract_item"] = batch.tables["contract_item"].drop(columns="work_category")
    with pytest.raises(BadValue, match="work_category: 2 rows without a value"):
        save_batch(store, batch, NOON)


def test_a_row_that_breaks_a_check_of_the_last_table_leaves_the_record_as_it_was(store: Store) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    before = contents(store)
    batch = bid_tab("C-2", sha256="e" * 64)
    batch.tables["structure"] = structure_list("K-1").tables["structure"].assign(deck_area_sf=-1.0)
    with pytest.raises(BadValue, match="does not fit the cost record"):
        save_batch(store, batch, NOON)
    assert contents(store) == before


def test_more_rows_set_aside_than_read_are_refused(store: Store) -> None:
    batch = bid_tab("C-1")
    batch.rows_read = -1
    before = contents(store)
    with pytest.raises(BadValue, match="0 rows were set aside, but only -1 were read"):
        save_batch(store, batch, NOON)
    assert contents(store) == before


@pytest.mark.parametrize("kind", [RuntimeError, KeyboardInterrupt])
def test_any_failure_midway_leaves_the_record_as_it_was(
    store: Store, monkeypatch: pytest.MonkeyPatch, kind: type[BaseException]
) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    before = contents(store)
    given_names: list[str] = []

    def failing(name: str, **identifiers: str) -> str:
        given_names.append(name)
        if given_names.count("saving/insert_rows") == 3:
            raise kind("pulled the plug")
        return statement(name, **identifiers)

    statement = save.statement
    monkeypatch.setattr(save, "statement", failing)
    with pytest.raises(kind):
        save_batch(store, bid_tab("C-2", sha256="e" * 64), NOON)
    monkeypatch.undo()
    assert contents(store) == before


KILLED = """
import os, signal, sys
from bidlens import store
from bidlens.store import save
from tests.store.conftest import NOON, bid_tab
statement, seen = save.statement, []
def pull_the_plug(name, **identifiers):
    seen.append(name)
    if seen.count("saving/insert_rows") == 4:
        os.kill(os.getpid(), signal.SIGKILL)
    return statement(name, **identifiers)
save.statement = pull_the_plug
store.save_batch(store.Store(sys.argv[1]), bid_tab("C-2", sha256="e" * 64), NOON)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL")
def test_a_process_killed_in_the_middle_of_an_import_leaves_the_record_as_it_was(store: Store) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    before = contents(store)
    root = Path(__file__).parents[2]
    ended = subprocess.run([sys.executable, "-c", KILLED, str(store.path)], cwd=root, check=False, capture_output=True)
    assert ended.returncode == -9, ended.stderr
    assert contents(store) == before
    assert save_batch(store, bid_tab("C-2", sha256="e" * 64), NOON).status == "imported"


def test_saving_into_a_record_that_does_not_exist_says_so_and_makes_nothing(tmp_path: Path) -> None:
    with pytest.raises(NotOnRecord):
        save_batch(Store(tmp_path / "none.duckdb"), bid_tab("C-1"), NOON)
    assert list(tmp_path.iterdir()) == []


HOSTILE = [
    "'; DROP TABLE bid; --", 'Robert"); DELETE FROM contract;', "$contract_id", "{table}", "?", "100 %", "back\\slash",
    "\U0001f309 bridge", "a\tb\nc\r\nd", "NULL", "nan", " lead and trail ", "x" * 30_000, "ß İ ﬁ", "=1+1",
]  # fmt: skip


def test_hostile_text_is_data_everywhere(store: Store) -> None:
    batch = bid_tab(*HOSTILE, bids=dict.fromkeys(HOSTILE, ("1.00", "2.00")), name="'; DROP TABLE bid; --.csv")
    item = batch.tables["contract_item"]
    batch.tables["contract_item"] = item.assign(description=[HOSTILE[n % len(HOSTILE)] for n in range(len(item))])
    batch.findings = [Finding("odd_text", "note", text, do=text, contract_id=text) for text in HOSTILE]
    save_batch(store, batch, NOON)
    assert sorted(ask(store, "lettings")["contract_id"]) == sorted(HOSTILE)
    assert sorted(ask(store, "findings")["text"]) == sorted(HOSTILE)
    for text in HOSTILE:
        bids = ask(store, "bidders_of_contract", contract_id=text, letting_date=LETTING)
        assert sorted(bids["bidder"]) == sorted(HOSTILE)
        assert len(ask(store, "contract_rows", contract_id=text, letting_date=LETTING)) == 2


@settings(max_examples=10, deadline=None)
@given(names=st.lists(st.text(min_size=1, max_size=40), min_size=1, max_size=4, unique=True))
def test_any_text_is_stored_as_it_is_or_refused_whole(empty_record: Path, names: list[str]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        store = Store(shutil.copy(empty_record, folder))
        try:
            save_batch(store, bid_tab("C-1", bids=dict.fromkeys(names, ("1.00", "2.00"))), NOON)
        except BidlensError:
            names = []
        bids = ask(store, "bidders_of_contract", contract_id="C-1", letting_date=LETTING)
        assert sorted(bids["bidder"]) == sorted(names)

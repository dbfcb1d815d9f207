"""Making a record and bringing an earlier one up to date."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from bidlens.errors import StoreError
from bidlens.schema import Column
from bidlens.store import Store, ask, bring_up_to_date, connection, create_or_upgrade, migrate, save_batch
from bidlens.tables import BY_NAME, SCHEMA_VERSION, TABLES
from tests.store.conftest import NOON, bid_tab, contents


def at_version(monkeypatch: pytest.MonkeyPatch, version: int) -> None:
    for module in (connection, migrate):
        monkeypatch.setattr(module, "SCHEMA_VERSION", version)


def test_a_new_record_has_every_table_column_and_comment(rows_of: Callable[..., list[tuple[Any, ...]]]) -> None:
    found = rows_of("SELECT table_name, column_name, comment FROM duckdb_columns() WHERE NOT internal")
    expected = {
        (table.name, column.name, f"{column.meaning} [{column.unit}]" if column.unit else column.meaning)
        for table in TABLES
        for column in table.columns
    }
    assert set(found) == expected
    assert dict(rows_of("SELECT table_name, comment FROM duckdb_tables()")) == {t.name: t.grain for t in TABLES}
    assert rows_of("SELECT * FROM setting") == [("schema_version", str(SCHEMA_VERSION))]


def test_making_it_twice_changes_nothing_and_needs_no_writing(store: Store) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    before, stamp = contents(store), store.stamp()
    with store.open():  # a reader is at work: a writer would have to wait
        create_or_upgrade(store)
    assert contents(store) == before
    assert store.stamp() == stamp


def test_a_record_of_a_newer_version_is_refused(store: Store) -> None:
    with store.open(write=True) as cursor:
        cursor.execute("UPDATE setting SET value = '99' WHERE name = 'schema_version'")
    for refuse in (
        create_or_upgrade,
        lambda store: ask(store, "counts"),
        lambda s: save_batch(s, bid_tab("C-1"), NOON),
    ):
        with pytest.raises(StoreError, match=r"newer bidlens .*version 99"):
            refuse(store)


def test_an_earlier_record_gains_tables_and_columns_and_keeps_its_rows(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    with store.open(write=True) as cursor:
        cursor.execute("DROP TABLE program_bridge")
        cursor.execute("ALTER TABLE contract DROP COLUMN agency")
    at_version(monkeypatch, SCHEMA_VERSION + 1)
    with pytest.raises(StoreError, match="earlier bidlens") as caught:
        ask(store, "counts")
    assert "opening the record" in caught.value.do
    assert bring_up_to_date(store)
    assert not bring_up_to_date(store)
    lettings = ask(store, "lettings")
    assert lettings["contract_id"].tolist() == ["C-1"]
    assert lettings["agency"].isna().all()
    with store.open() as cursor:
        assert cursor.execute("SELECT count(*) FROM program_bridge").fetchall() == [(0,)]
        assert cursor.execute("SELECT value FROM setting").fetchall() == [(str(SCHEMA_VERSION + 1),)]


def test_an_earlier_record_that_lacks_a_required_column_is_refused_and_left_alone(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = contents(store)
    at_version(monkeypatch, SCHEMA_VERSION + 1)
    contract = BY_NAME["contract"]
    wider = replace(contract, columns=(*contract.columns, Column("county", "VARCHAR", "County.", required=True)))
    monkeypatch.setattr(migrate, "TABLES", (wider, BY_NAME["setting"]))
    with pytest.raises(StoreError, match="table contract lacks county"):
        create_or_upgrade(store)
    monkeypatch.undo()
    assert contents(store) == before


def test_opening_what_is_not_there_or_not_a_record_tells_nothing_and_makes_nothing(tmp_path: Path) -> None:
    missing = Store(tmp_path / "none.duckdb")
    assert not bring_up_to_date(missing)
    assert not missing.path.exists()
    other = tmp_path / "other.duckdb"
    other.write_text("not a database")
    assert not bring_up_to_date(Store(other))
    assert other.read_text() == "not a database"


def test_a_record_is_made_beside_an_interrupted_making(tmp_path: Path) -> None:
    store = Store(tmp_path / "half.duckdb")
    with store.open(write=True, create=True):
        pass  # the file is made, and then the work is broken off: no tables
    create_or_upgrade(store)
    assert ask(store, "counts")["files"].tolist() == [0]

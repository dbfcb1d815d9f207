"""Mappings are kept under a name, one for each kind and row of headings, and removed by name."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from bidlens import store
from bidlens.errors import BadValue, NotOnRecord

DAY = dt.datetime(2031, 4, 8, 12, 0)  # noqa: DTZ001 - the record keeps UTC without a zone


@pytest.fixture
def record(tmp_path: Path) -> store.Store:
    made = store.Store(tmp_path / "record.duckdb")
    store.create_or_upgrade(made)
    return made


def names(record: store.Store) -> list[str]:
    return store.ask(record, "mappings")["name"].tolist()


def test_a_mapping_of_the_same_name_or_for_the_same_headings_is_replaced(record: store.Store) -> None:
    store.keep_mapping(record, "one", "bid-tab", "long", "a | b", "old", decided_at=DAY)
    store.keep_mapping(record, "one", "bid-tab", "long", "a | c", "new", decided_at=DAY + dt.timedelta(1))
    assert store.ask(record, "mappings")["toml"].tolist() == ["new"]
    store.keep_mapping(record, "two", "bid-tab", "", "a | c", "newest", decided_at=DAY + dt.timedelta(2))
    assert names(record) == ["two"]
    store.keep_mapping(record, "list", "structures", "", "a | c", "other kind", decided_at=DAY + dt.timedelta(3))
    assert names(record) == ["list", "two"]


def test_a_mapping_is_removed_by_its_name_and_a_wrong_name_lists_those_there_are(record: store.Store) -> None:
    store.keep_mapping(record, "one'; DROP TABLE bid", "bid-tab", "", "a | b", "x", decided_at=DAY)
    with pytest.raises(NotOnRecord, match="DROP TABLE bid"):
        store.forget_mapping(record, "two")
    store.forget_mapping(record, "one'; DROP TABLE bid")
    assert names(record) == []
    with pytest.raises(NotOnRecord, match="none"):
        store.forget_mapping(record, "two")


def test_a_mapping_needs_a_name(record: store.Store) -> None:
    with pytest.raises(BadValue, match="no name"):
        store.keep_mapping(record, " ", "bid-tab", "", "a | b", "x", decided_at=DAY)

"""Imported files are kept with their rows, byte for byte, and go with them."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

import pytest

from bidlens.errors import NotOnRecord, StoreError
from bidlens.store import Store, original, originals, pack, save_batch, undo_batch
from tests.store.conftest import NOON, bid_tab, contents

CONTENT = b"Contract,Line\r\nC-1,\xe9\x00=1+1\n" * 50


@pytest.fixture
def kept(store: Store, tmp_path: Path) -> Store:
    """A record with one import whose file was kept."""
    file = tmp_path / "tab.csv"
    file.write_bytes(CONTENT)
    batch = replace(bid_tab("C-1"), sha256=hashlib.sha256(CONTENT).hexdigest())
    save_batch(store, batch, NOON, original=pack(file))
    return store


def test_a_file_comes_back_byte_for_byte(kept: Store) -> None:
    assert original(kept, 1).content == CONTENT


def test_it_goes_when_its_import_is_taken_back(kept: Store) -> None:
    assert undo_batch(kept, 1)["kept_file"] == 1
    assert contents(kept)["kept_file"] == []


def test_an_import_without_its_file_says_so(store: Store) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    with pytest.raises(NotOnRecord, match="was not kept"):
        original(store, 1)


def test_a_file_that_changed_between_reading_and_keeping_is_not_shown_as_read(kept: Store) -> None:
    with kept.open(write=True) as cursor:
        cursor.execute("UPDATE import_batch SET sha256 = repeat('0', 64)")
    with pytest.raises(StoreError, match="not the one that was read"):
        original(kept, 1)


def test_empty_and_very_large_files_are_not_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "tab.csv"
    file.write_bytes(b"")
    assert pack(file) is None
    file.write_bytes(CONTENT)
    monkeypatch.setattr(originals, "MOST_PACKED_BYTES", 10)
    assert pack(file) is None

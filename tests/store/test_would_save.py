"""What storing a batch would do, said beforehand: the same answer, and nothing is done."""

from __future__ import annotations

from pathlib import Path

import pytest

from bidlens.errors import BadValue
from bidlens.store import AGAIN, Store, save_batch, would_save
from tests.store.conftest import NOON, bid_tab, contents, structure_list


@pytest.mark.parametrize("again", AGAIN)
@pytest.mark.parametrize("second", ["the same contracts", "one of them", "another contract", "structures"])
def test_the_answer_is_that_of_storing_and_the_record_stays_as_it_is(store: Store, again: str, second: str) -> None:
    save_batch(store, bid_tab("C-1", "C-2"), NOON)
    save_batch(store, structure_list("K-1"), NOON)
    batch = {
        "the same contracts": bid_tab("C-1", "C-2", name="later.csv", sha256="b" * 64),
        "one of them": bid_tab("C-2", "C-3", name="later.csv", sha256="b" * 64),
        "another contract": bid_tab("C-9", name="later.csv", sha256="b" * 64),
        "structures": structure_list("K-1", "K-2", name="later list.csv", sha256="c" * 64),
    }[second]
    before = contents(store)
    said = would_save(store, batch, again)
    assert contents(store) == before
    done = save_batch(store, batch, NOON, again)
    for name in ("status", "contracts", "findings", "rows_read", "rows_kept", "rows_set_aside"):
        assert getattr(said, name) == getattr(done, name), name


def test_the_same_bytes_and_a_record_that_is_not_there_yet(store: Store, tmp_path: Path) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    assert would_save(store, bid_tab("C-1", name="copy.csv")).status == "already imported"
    nowhere = Store(tmp_path / "none.duckdb")
    assert would_save(nowhere, bid_tab("C-1", "C-2")).contracts == 2
    assert not nowhere.path.exists()


def test_a_choice_there_is_not_is_refused(store: Store) -> None:
    with pytest.raises(BadValue, match="there is no choice “newest”"):
        would_save(store, bid_tab("C-1"), "newest")

"""Taking an import back brings the record to what it was."""

from __future__ import annotations

from pathlib import Path

import pyarrow.parquet as pq
import pytest

from bidlens.batch import Batch
from bidlens.errors import NotOnRecord
from bidlens.store import Store, export_tables, save_batch, undo_batch
from tests.store.conftest import NOON, bid_tab, contents, cost_index, proposal_letter, structure_list


def exported(store: Store, folder: Path) -> dict[str, list[dict[str, object]]]:
    return {path.stem: pq.read_table(path).to_pylist() for path in export_tables(store, folder)}


@pytest.mark.parametrize(
    "batch",
    [
        bid_tab("C-7", "C-8", sha256="f" * 64),
        structure_list("K-9", sha256="f" * 64),
        proposal_letter(sha256="f" * 64, proposal_id="Wren K-9"),
        cost_index(sha256="f" * 64, last="2024Q4"),
    ],
    ids=lambda batch: batch.kind,
)
def test_an_import_taken_back_leaves_the_exported_content_as_it_was(
    filled: Store, tmp_path: Path, batch: Batch
) -> None:
    before = exported(filled, tmp_path / "before")
    saved = save_batch(filled, batch, NOON)
    removed = undo_batch(filled, saved.batch_id)
    assert exported(filled, tmp_path / "after") == before
    added = {name: len(frame) for name, frame in batch.tables.items() if len(frame)}
    added |= {"import_batch": 1} | ({"finding": len(batch.findings)} if batch.findings else {})
    assert removed == added


def test_a_file_taken_back_can_be_imported_again(store: Store) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    before = contents(store)
    undo_batch(store, 1)
    assert save_batch(store, bid_tab("C-1"), NOON).status == "imported"
    assert contents(store) == before


def test_an_unknown_import_names_those_on_record(store: Store) -> None:
    with pytest.raises(NotOnRecord, match="there is no import 4\nNo file has been imported yet"):
        undo_batch(store, 4)
    save_batch(store, bid_tab("C-1"), NOON)
    save_batch(store, structure_list("K-1"), NOON)
    before = contents(store)
    with pytest.raises(NotOnRecord, match=r"Imports on record: 1 \(tab.csv\), 2 \(structures.csv\)"):
        undo_batch(store, 4)
    assert contents(store) == before

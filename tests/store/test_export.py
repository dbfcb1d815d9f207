"""Everything leaves as plain files that other programs read. Read back here with pyarrow, pandas and Python's csv."""

from __future__ import annotations

import csv
import os
from decimal import Decimal
from pathlib import Path

import pandas as pd
import pyarrow.parquet as pq
import pytest

from bidlens.errors import BadValue, NotOnRecord, StoreError
from bidlens.store import Store, export, export_tables, save_batch
from bidlens.tables import BY_NAME
from tests.store.conftest import NOON, bid_tab, contents

#: The columns that programs outside read, by file.
RELIED_ON = {
    "contract": "contract_id letting_date agency description",
    "bid": "contract_id letting_date bidder status total_as_read total_corrected rank_as_read rank_corrected",
    "bid_price": "contract_id letting_date schedule line item_code description pay_unit quantity bidder unit_price "
    "extension extension_as_read work_category source_file source_sheet source_row",
    "estimate_price": "contract_id letting_date schedule line item_code description pay_unit quantity unit_price "
    "extension extension_as_read work_category source_file source_sheet source_row",
    "structure": "structure_id contract_id letting_date schedule superstructure deck_area_sf length_ft width_ft spans "
    "span_ft skew_deg",
    "set_aside": "source_file source_sheet source_row reason text",
    "finding": "source_file source_sheet source_row code severity text",
}
FORMULAS = ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "\rx", "plain", "a=b", "'quoted", 'say "so"', "two\nlines", "ö, ü"]


@pytest.mark.parametrize("as_csv", [False, True])
def test_one_file_per_table_with_the_columns_others_rely_on(filled: Store, tmp_path: Path, as_csv: bool) -> None:
    files = export_tables(filled, tmp_path / "out", csv=as_csv)
    assert [file.name for file in files] == [f"{t.name}.{'csv' if as_csv else 'parquet'}" for t in export.EXPORTED]
    assert sorted((tmp_path / "out").iterdir()) == sorted(files)
    for file in files:
        frame = pd.read_csv(file) if as_csv else pd.read_parquet(file)
        assert set(BY_NAME[file.stem].column_names) <= set(frame.columns)
        assert set(RELIED_ON.get(file.stem, "").split()) <= set(frame.columns)
        assert len(frame) == len(contents(filled)[file.stem])


def test_parquet_holds_exactly_what_is_stored(filled: Store, tmp_path: Path) -> None:
    for file in export_tables(filled, tmp_path):
        columns = BY_NAME[file.stem].column_names
        rows = [tuple(row.values()) for row in pq.read_table(file, columns=columns).select(columns).to_pylist()]
        assert sorted(rows, key=repr) == sorted(contents(filled)[file.stem], key=repr)


def test_prices_carry_the_item_they_price(filled: Store, tmp_path: Path) -> None:
    export_tables(filled, tmp_path)
    price = pq.read_table(tmp_path / "bid_price.parquet").to_pylist()[0]
    assert (price["item_code"], price["pay_unit"], price["quantity"]) == ("0501", "EA", Decimal("10.0000"))
    assert (price["work_category"], price["bidder"]) == ("beams", "Harrier Bridge")
    assert price["extension"] == Decimal("1000.00")
    assert "bidder" not in pq.read_schema(tmp_path / "estimate_price.parquet").names


def test_csv_is_utf8_and_no_text_is_taken_for_a_formula(store: Store, tmp_path: Path) -> None:
    save_batch(store, bid_tab("C-1", bids=dict.fromkeys(FORMULAS, ("-1.00", "2.00"))), NOON)
    export_tables(store, tmp_path, csv=True)
    with (tmp_path / "bid_price.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    expected = {f"'{text}" if text[0] in "=+-@\t\r" else text for text in FORMULAS}
    assert {row["bidder"] for row in rows} == expected
    assert {row["unit_price"] for row in rows} == {"-1.00000", "2.00000"}  # a negative price is a number


def test_files_of_the_same_names_are_replaced_and_others_are_left(filled: Store, tmp_path: Path) -> None:
    (tmp_path / "bid.csv").write_text("old")
    (tmp_path / "mine.txt").write_text("mine")
    export_tables(filled, tmp_path, csv=True)
    export_tables(filled, tmp_path, csv=True)
    assert (tmp_path / "mine.txt").read_text() == "mine"
    assert (tmp_path / "bid.csv").read_text().startswith('"contract_id"')
    assert len(list(tmp_path.glob("*.csv"))) == len(export.EXPORTED)
    assert not list(tmp_path.glob("*.unfinished"))


def test_a_folder_that_is_a_file_is_refused(filled: Store, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")
    for folder in (tmp_path / "file", tmp_path / "file" / "below"):
        with pytest.raises(BadValue, match=r"not a folder|cannot be written"):
            export_tables(filled, folder)
    assert (tmp_path / "file").read_text() == "mine"


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_that_may_not_be_written_is_refused(filled: Store, tmp_path: Path) -> None:
    tmp_path.chmod(0o555)
    with pytest.raises(BadValue, match="cannot be written"):
        export_tables(filled, tmp_path)


def test_a_failure_midway_keeps_the_old_file_whole(
    filled: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "import_batch.csv").write_text("old")

    def full_disk(batch: object) -> object:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(export, "_safe_for_spreadsheets", full_disk)
    with pytest.raises(StoreError, match="No space left on device"):
        export_tables(filled, tmp_path, csv=True)
    assert [(file.name, file.read_text()) for file in tmp_path.glob("*.csv*")] == [("import_batch.csv", "old")]


def test_nothing_is_exported_from_a_record_that_does_not_exist(tmp_path: Path) -> None:
    with pytest.raises(NotOnRecord):
        export_tables(Store(tmp_path / "none.duckdb"), tmp_path / "out")
    assert list(tmp_path.iterdir()) == []

"""Large text tables are read by column; what comes out is what the reader that goes line by line gives."""

from __future__ import annotations

import pandas as pd
import pytest

from bidlens.errors import BadValue, UnreadableFile
from bidlens.ingest import grid, guard, read_file
from bidlens.ingest.big_text import ColumnRows
from tests.ingest.conftest import HERON, LONG_HEAD, WREN, item


@pytest.fixture
def by_column(monkeypatch):
    """Take the way of large files for any file."""
    monkeypatch.setattr(grid, "WORTH_IT_FROM_BYTES", 0)


def rows(count: int = 40) -> list[list[object]]:
    many = [LONG_HEAD]
    for at in range(count):
        for place, (who, price) in enumerate(((HERON, "$1,234.50"), (WREN, "1300")), 1):
            many.append(item(f"{at:04d}", f'Beam {at} inch\n"galvanized"', "Ft", "10.5", who, price, "", place))
    return many


def same(one, other) -> None:
    assert one.rows_read == other.rows_read
    assert one.findings == other.findings
    pd.testing.assert_frame_equal(one.set_aside, other.set_aside)
    for name, frame in one.tables.items():
        pd.testing.assert_frame_equal(frame, other.tables[name])


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_both_ways_give_the_same_rows(write_csv, monkeypatch, delimiter):
    told = [*rows(), LONG_HEAD, ["", "", "", "Total", "", "", "", "", "5", ""], *rows()[1:3]]
    told[-1][1] = "9999"
    path = write_csv("2031-04-08.csv", told, delimiter=delimiter)
    line_by_line = read_file(path)
    monkeypatch.setattr(grid, "WORTH_IT_FROM_BYTES", 0)
    assert isinstance(grid.read_grids(path)[0].rows, ColumnRows)
    same(line_by_line, read_file(path))


def test_rows_of_columns_behave_as_rows(write_csv, by_column):
    path = write_csv("a.csv", [["a", "b"], ["1", "x"], ["2", ""]], encoding="utf-8-sig")
    held = grid.read_grids(path)[0].rows
    assert (len(held), held[0], held[-1], list(held[1:])) == (3, ["a", "b"], ["2", ""], [["1", "x"], ["2", ""]])


@pytest.mark.parametrize("encoding", ["cp1252", "utf-16"])
def test_other_encodings_and_uneven_lines_are_read_line_by_line(write_csv, by_column, encoding):
    told = [["Letting of 2031-04-08"], *rows(3)]
    told[2][3] = "Béton"
    batch = read_file(write_csv("2031-04-08.csv", told, encoding=encoding))
    assert batch.tables["contract_item"]["description"].iloc[0] == "Béton"


def test_an_unreadable_price_is_named_with_its_row(write_csv, by_column):
    told = rows()
    told[7][7] = "1.2.50"
    with pytest.raises(BadValue, match=r"row 8, column “Unit Price”.*“1\.2\.50”"):
        read_file(write_csv("2031-04-08.csv", told))
    told[7][7] = "1.234,50"
    with pytest.raises(BadValue, match="decimal point"):
        read_file(write_csv("2031-04-09.csv", told))


def test_a_plain_text_table_may_be_larger_than_one_that_must_be_read_line_by_line(write_csv, monkeypatch, by_column):
    monkeypatch.setattr(guard, "MAX_FILE_BYTES", 500)
    assert read_file(write_csv("2031-04-08.csv", rows())).contracts == 1
    with pytest.raises(UnreadableFile, match="lines differ in their number of cells"):
        read_file(write_csv("2031-04-09.csv", [["one cell"], *rows()]))

"""A row of a file shown as it stands there, of every medium that is read."""

from __future__ import annotations

from pathlib import Path

import pytest
import xlsxwriter

from bidlens.errors import NotOnRecord
from bidlens.ingest.as_read import rows_as_read


def roles(path: Path, sheet: str, row: int, kind: str | None = "bid-tab") -> dict[int, tuple[str, tuple[str, ...]]]:
    found = rows_as_read(path, path.name, sheet, row, kind)
    return {one.number: (one.role, one.cells) for one in found.rows}


def test_a_row_of_a_csv_has_its_headings_and_its_neighbours(tmp_path: Path) -> None:
    path = tmp_path / "letting_2031-04-08.csv"
    head = "Contract,Line,Description,Quantity,Unit,Bidder,Unit Price,,"
    rows = [f"C-1,{n},=1+{n},10,CY,Harrier,{n}.50,," for n in range(1, 6)]
    path.write_text("\n".join([head, *rows]), encoding="utf-8")
    found = roles(path, "", 4)
    assert list(found) == [1, 3, 4, 5]
    assert found[1][0] == "headings"
    assert found[4] == ("asked", ("C-1", "3", "=1+3", "10", "CY", "Harrier", "3.50"))
    assert rows_as_read(path, path.name, "", 4, "bid-tab").letters == tuple("ABCDEFG")


def test_a_row_of_a_wide_sheet_has_the_names_of_the_bidders_above(tmp_path: Path) -> None:
    path = tmp_path / "tab.xlsx"
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet("Tabulation of C-9")
    lines = [
        ["Contract C-9", "", "Letting date 2031-04-08"],
        ["", "", "", "", "Harrier", "", "Ouzel", ""],
        ["Line", "Description", "Quantity", "Unit", "Unit Price", "Amount", "Unit Price", "Amount"],
        [1, "Concrete", 10, "CY", 600, 6000, 610, 6100],
        [2, "Bearings", 4, "EA", 150.25, 601, 140, 560],
        [3, "Railing", 80, "LF", 95, 7600, 99, 7920],
    ]
    for number, cells in enumerate(lines):
        sheet.write_row(number, 0, cells)
    book.close()
    found = roles(path, "Tabulation of C-9", 6)
    assert [found[number][0] for number in (2, 3, 5, 6)] == ["headings", "headings", "beside", "asked"]
    assert "Harrier" in found[2][1]
    assert found[6][1][:4] == ("3", "Railing", "80", "LF")


def test_a_letter_in_toml_is_shown_by_its_lines(tmp_path: Path) -> None:
    path = tmp_path / "letter.toml"
    path.write_text('supplier = "Harrier"\ndate = 2031-02-10\nprice_usd = 1\n', encoding="utf-8")
    assert roles(path, "", 2, None)[2] == ("asked", ("date = 2031-02-10",))


@pytest.mark.parametrize(("sheet", "row"), [("", 99), ("no such sheet", 1), ("", 0)])
def test_a_row_that_is_not_there_is_said_to_be_missing(tmp_path: Path, sheet: str, row: int) -> None:
    path = tmp_path / "list.csv"
    path.write_text("Contract,Line\nC-1,1\n", encoding="utf-8")
    with pytest.raises(NotOnRecord, match="no such row"):
        rows_as_read(path, path.name, sheet, row)

"""Small invented bid tabs, written to a temporary folder by the tests that read them."""

from __future__ import annotations

import csv
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest
import xlsxwriter

from bidlens.batch import Batch
from bidlens.tables import BY_NAME

Rows = Sequence[Sequence[Any]]

LONG_HEAD = ["Contract", "Line", "Section", "Description", "Unit", "Quantity", "Bidder", "Unit Price", "Amount", "Rank"]
HERON, WREN, ESTIMATE = "Heron Bridge Co.", "Wren & Sons, Inc.", "Engineer's Estimate"


@pytest.fixture
def write_csv(tmp_path: Path) -> Callable[..., Path]:
    """Write rows as a CSV file in the temporary folder."""

    def write(name: str, rows: Rows, encoding: str = "utf-8", delimiter: str = ",") -> Path:
        path = tmp_path / name
        with path.open("w", newline="", encoding=encoding) as stream:
            csv.writer(stream, delimiter=delimiter).writerows(rows)
        return path

    return write


@pytest.fixture
def write_xlsx(tmp_path: Path) -> Callable[..., Path]:
    """Write sheets (name -> rows) as a workbook; `merged`: sheet -> (first row, column, last row, column)."""

    def write(
        name: str,
        sheets: dict[str, Rows],
        hidden: Sequence[str] = (),
        merged: dict[str, list[tuple[int, int, int, int]]] | None = None,
    ) -> Path:
        path = tmp_path / name
        with xlsxwriter.Workbook(str(path), {"default_date_format": "yyyy-mm-dd"}) as book:
            for title, rows in sheets.items():
                sheet = book.add_worksheet(title)
                blocks = (merged or {}).get(title, [])
                for row, cells in enumerate(rows):
                    for column, cell in enumerate(cells):
                        if cell != "":
                            sheet.write(row, column, cell)
                for block in blocks:
                    sheet.merge_range(*block, rows[block[0]][block[1]])
                if title in hidden:
                    sheet.hide()
        return path

    return write


def item(
    line: str, description: str, unit: str, quantity: Any, bidder: str, price: Any, amount: Any, rank: Any
) -> list[Any]:
    """One row of a long bid tab of contract 91-001."""
    return ["91-001", line, "1", description, unit, quantity, bidder, price, amount, rank]


@pytest.fixture
def long_rows() -> list[list[Any]]:
    """Two items, the estimate and two bidders; Wren is low with 2,950.00 against 3,000.00."""
    return [
        LONG_HEAD,
        item("0010", "Mobilization", "LSUM", "1.000", ESTIMATE, "$900.00", "$900.00", 0),
        item("0010", "Mobilization", "LSUM", "1.000", WREN, "$950.00", "$950.00", 1),
        item("0010", "Mobilization", "LSUM", "1.000", HERON, "$1,000.00", "$1,000.00", 2),
        item("0020", "Beam, 21 inch", "Ft", "10.000", ESTIMATE, "$210.00", "$2,100.00", 0),
        item("0020", "Beam, 21 inch", "Ft", "10.000", WREN, "$200.00", "$2,000.00", 1),
        item("0020", "Beam, 21 inch", "Ft", "10.000", HERON, "$200.00", "$2,000.00", 2),
    ]


def conform_all(batch: Batch) -> None:
    """Every frame of a batch fits the stored table of its name."""
    for name, frame in batch.tables.items():
        extra = {"work_category": "other", "category_rule": "test"} if name == "contract_item" else {}
        BY_NAME[name].conform(frame.assign(batch_id=1, **extra))


def codes(batch: Batch) -> list[str]:
    """The findings' codes, in order."""
    return [finding.code for finding in batch.findings]

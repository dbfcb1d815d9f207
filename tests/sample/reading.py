"""The sample county's bid tabs read by plain csv and openpyxl, without bidlens: a second pair of eyes on the files."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import openpyxl

SAMPLE = Path(__file__).parents[2] / "sample_bids"
ESTIMATE = "Engineer's Estimate"
CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class PriceRow:
    """One price of one bidder as the file has it; `firm` in small letters without punctuation."""

    contract_id: str
    schedule: str
    code: str
    description: str
    quantity: Decimal
    firm: str
    status: str
    price: Decimal | None
    printed: Decimal | None

    @property
    def extension(self) -> Decimal:
        """Quantity times unit price; where the unit price is blank, the amount as printed, or nothing."""
        if self.price is None:
            return self.printed or Decimal(0)
        return (self.quantity * self.price).quantize(CENT, ROUND_HALF_UP)


def plain_name(firm: str) -> str:
    """One spelling for all files: the spellings differ only in case, punctuation, "and" and "company"."""
    words = re.sub(r"[.,]", "", firm.lower()).replace("&", "and").replace("company", "co").split()
    return " ".join(words)


def read(path: Path) -> list[PriceRow]:
    """Every bidder's prices in one file; the estimate, totals, headings and wrapped tails are left out."""
    if path.suffix == ".xlsx":
        sheet = openpyxl.load_workbook(path, read_only=False).active
        assert sheet is not None
        grid = [list(row) for row in sheet.iter_rows(values_only=True)]
        return list(_long_book(grid) if grid[0][0] == "Letting Date" else _wide(grid))
    data = path.read_bytes()
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252")
    rows = list(csv.reader(io.StringIO(text), delimiter=";" if ";" in text.partition("\n")[0] else ","))
    readers = {"Contract": _early_csv if rows[0][1] == "Schedule" else _ansi, "Contract No.": _money}
    return list(readers[rows[0][0]](rows[1:]))


def _money_of(text: object) -> Decimal | None:
    plain = str("" if text is None else text).replace("$", "").replace(",", "")
    return Decimal(plain) if plain else None


def _early_csv(rows: list[list[str]]) -> Iterator[PriceRow]:
    for contract, schedule, _, code, text, quantity, _, firm, _, status, price, amount in rows:
        if contract and firm != ESTIMATE:
            yield PriceRow(
                contract, schedule, code, text, Decimal(quantity), plain_name(firm), status, _money_of(price),
                _money_of(amount),
            )  # fmt: skip


def _money(rows: list[list[str]]) -> Iterator[PriceRow]:
    for contract, _, schedule, _, code, text, _, quantity, _, firm, status, price, amount in rows:
        if firm != ESTIMATE:
            yield PriceRow(
                contract, schedule, code, text, Decimal(quantity.replace(",", "")), plain_name(firm), status,
                _money_of(price), _money_of(amount),
            )  # fmt: skip


def _ansi(rows: list[list[str]]) -> Iterator[PriceRow]:
    for contract, schedule, line, code, text, _, quantity, firm, _, price, amount in rows:
        if line and firm != ESTIMATE:
            yield PriceRow(
                contract, schedule, code, text, Decimal(quantity), plain_name(firm), "Responsive", _money_of(price),
                _money_of(amount),
            )  # fmt: skip


def _long_book(grid: list[list[object]]) -> Iterator[PriceRow]:
    for row in grid[1:]:
        _, contract, _, section, code, text, quantity, _, firm, _, status, _, price, amount, _ = row
        yield PriceRow(
            str(contract), str(section), str(code), str(text), Decimal(str(quantity)), plain_name(str(firm)),
            str(status), _money_of(price), _money_of(amount),
        )  # fmt: skip


def _wide(grid: list[list[object]]) -> Iterator[PriceRow]:
    contract = str(grid[2][0]).removeprefix("Contract ")
    for first in range(5, len(grid[0]), 2):
        name = str(grid[0][first]).replace("\n", " ")
        if name == ESTIMATE:
            continue
        for row in grid[6:]:
            if row[0]:
                yield PriceRow(
                    contract, "1", str(row[1]), str(row[2]).replace("\n", " "), Decimal(str(row[3])),
                    plain_name(name), "Responsive", _money_of(row[first]), _money_of(row[first + 1]),
                )  # fmt: skip

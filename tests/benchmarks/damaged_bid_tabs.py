"""Invented bid tabs of every medium, made at random and damaged: what `fuzz_bid_tabs` feeds the reader.

The same dice give the same file. About half of the files are damaged in their bytes, the others in a few cells.
"""

from __future__ import annotations

import io
import random
import tempfile
import zipfile
from collections.abc import Callable
from functools import cache
from pathlib import Path

import xlsxwriter
import xlwt

from tests.ingest.pdf import damage

FIRMS = ("Heron Bridge Co.", "Wren & Sons, Inc.", "Robin Constructors", "Engineer's Estimate")
ODD = ("", "N/B", "-", "1.2.50", "1.234,50", "(12.00)", "-$5", "9" * 30, "\u00a0", "=1/0", "Total", "0", "1e5",
       "“quoted”", "2031-02-30", "x" * 3000, "\ufeff", "Schedule B", "nan", "inf")  # fmt: skip


def long_table(dice: random.Random) -> list[list[str]]:
    """An invented tab, a row per item and bidder."""
    head = [
        "Contract",
        "Letting Date",
        "Line",
        "Section",
        "Description",
        "Unit",
        "Quantity",
        "Bidder",
        "Unit Price",
        "Amount",
    ]
    rows = [head]
    for line in range(dice.randint(1, 8)):
        quantity = dice.randint(1, 900)
        for firm in FIRMS[: dice.randint(1, 4)]:
            price = dice.randint(1, 90_000) / 100
            rows.append(["91-001", "04/08/2031", f"{line:04d}", "1", f"Work {line}", "LF", str(quantity), firm,
                         f"${price:,.2f}", f"{quantity * price:.2f}"])  # fmt: skip
    return rows


def wide_table(dice: random.Random) -> list[list[str]]:
    """An invented tab, bidders side by side."""
    firms = FIRMS[: dice.randint(1, 4)]
    rows = [["Contract 91-001", "", "", "", *(cell for firm in firms for cell in (firm, ""))], ["Letting 04/08/2031"]]
    rows.append(["Item No.", "Description", "Unit", "Quantity", *["Unit Price", "Amount"] * len(firms)])
    for line in range(dice.randint(1, 8)):
        prices = [str(dice.randint(1, 90_000) / 100) for _ in firms]
        rows.append([str(line), f"Work {line}", "LF", "10", *(cell for price in prices for cell in (price, ""))])
    return rows


def summary_table(dice: random.Random) -> list[list[str]]:
    """An invented summary of contracts."""
    rows = [["Letting 04/08/2031"], ["No.", "Contract", "Bids", "Low bidder", "Estimate", "Corrected bid"]]
    for at in range(dice.randint(1, 6)):
        rows.append([str(at), f"C{at:05d}", "2", FIRMS[at % 3], f"${dice.randint(1, 9_000_000):,}.00", "1,200.00"])
    return [*rows, ["all bids rejected: C00000"]]


def table_by_hand(dice: random.Random) -> list[list[str]]:
    """An invented tab as somebody types it: a column or a table for each bidder, an average, a tax, lump sums."""
    firms = [*FIRMS[: dice.randint(1, 4)], *dice.choice(((), ("Average",), ("Low Bid",)))]
    units = [dice.choice(("LS", "LF")) for _ in range(dice.randint(1, 6))]
    items = [(f"Work {at}", unit, 1 if unit == "LS" else dice.randint(1, 900)) for at, unit in enumerate(units)]
    prices = {firm: [dice.randint(1, 90_000) / 100 for _ in items] for firm in firms}
    sums = {firm: sum(one[2] * price for one, price in zip(items, prices[firm], strict=True)) for firm in firms}
    rows = [["Alder Creek Bridge, Contract No. 91-001"], ["Bids opened April 8, 2031"]]
    head = ["Item", "Description", "Unit", "Quantity"]

    def facts(at: int) -> list[str]:
        work, unit, quantity = items[at]
        return [str(at), work, unit, dice.choice(("", "Lump Sum", "1")) if unit == "LS" else str(quantity)]

    if dice.random() < 0.5:
        rows.append([*head, *firms])
        rows += [[*facts(at), *(f"{prices[firm][at]:,.2f}" for firm in firms)] for at in range(len(items))]
        rows.append(["", "Total", "", "", *(f"{sums[firm]:,.2f}" for firm in firms)])
    else:
        for firm in firms:
            rows += [[f"Bidder: {firm}"], [*head, "Unit Price"]]
            rows += [[*facts(at), str(prices[firm][at])] for at in range(len(items))]
    return [*rows, ["", "Sales tax 8.9 %", "", "", "89.00"]]


def report_text(dice: random.Random) -> str:
    """An invented printed report."""
    lines = [" letting 04/08/2031    contract 00X42      county OLDHAM        estimate: 500,000.00"]
    lines.append(
        f" {'no.':5}{'bidder':32}{'total as read':>18}{'sum of extensions':>22}{'recalculated':>20}  low  blanks"
    )
    for number, firm in enumerate(FIRMS[: dice.randint(1, 4)]):
        amounts = [f"{dice.randint(1, 90_000_000) / 100:,.2f}" for _ in range(3)]
        lines += [f" {number:04d} {firm}", " " * 38 + f"{amounts[0]:>18}{amounts[1]:>22}{amounts[2]:>20}"]
    return "\n".join(lines)


def damaged_cells(rows: list[list[str]], dice: random.Random) -> list[list[str]]:
    """A few cells and rows made odd, dropped, doubled, moved."""
    rows = [list(row) for row in rows]
    for _ in range(dice.randint(0, 4)):
        at = dice.randrange(len(rows))
        row = rows[at]
        what = dice.randrange(7)
        if what <= 2 and row:
            row[dice.randrange(len(row))] = dice.choice(ODD)
        elif what == 3:
            rows.insert(at, list(dice.choice(rows)))
        elif what == 4 and len(rows) > 1:
            del rows[at]
        elif what == 5:
            row.insert(dice.randint(0, len(row)), dice.choice(ODD))
        elif row:
            del row[dice.randrange(len(row))]
    return rows


def damaged_bytes(raw: bytes, dice: random.Random) -> bytes:
    """A few bytes changed, or the end cut off; half of the files are left whole."""
    if dice.random() < 0.5:
        return raw
    changed = bytearray(raw)
    for _ in range(dice.randint(1, 6)):
        changed[dice.randrange(len(changed))] = dice.randrange(256)
    return bytes(changed[: dice.randint(1, len(changed))] if dice.random() < 0.2 else changed)


TABLES = (long_table, wide_table, summary_table, table_by_hand)


def damaged_table(dice: random.Random) -> list[list[str]]:
    """A table of any shape, a few of its cells damaged."""
    return damaged_cells(dice.choice(TABLES)(dice), dice)


def csv_file(dice: random.Random) -> bytes:
    rows = damaged_table(dice)
    delimiter = dice.choice(",;\t")
    quoted = (
        delimiter.join('"' + cell.replace('"', '""') + '"' if delimiter in cell else cell for cell in row)
        for row in rows
    )
    return damaged_bytes("\n".join(quoted).encode(), dice)


def xlsx_file(dice: random.Random) -> bytes:
    held = io.BytesIO()
    with xlsxwriter.Workbook(held, {"in_memory": True, "strings_to_numbers": dice.random() < 0.5}) as book:
        for number in range(dice.randint(1, 2)):
            sheet = book.add_worksheet(f"Tab {number}")
            for at, row in enumerate(damaged_table(dice)):
                for column, cell in enumerate(row):
                    sheet.write(at, column, "" if cell.startswith("=") else cell[:1000])
    if dice.random() < 0.5:
        return damaged_bytes(held.getvalue(), dice)
    changed = io.BytesIO()
    with zipfile.ZipFile(held) as old, zipfile.ZipFile(changed, "w") as new:
        for part in old.infolist():
            content = old.read(part)
            new.writestr(part.filename, damaged_bytes(content, dice) if "sheet" in part.filename else content)
    return changed.getvalue()


def txt_file(dice: random.Random) -> bytes:
    lines = [list(line) for line in report_text(dice).split("\n")]
    return damaged_bytes("\n".join("".join(row) for row in damaged_cells(lines, dice)).encode(), dice)


def xls_file(dice: random.Random) -> bytes:
    """A workbook of the old format, BIFF8 in a compound file."""
    book = xlwt.Workbook()
    as_numbers = dice.random() < 0.5
    for number in range(dice.randint(1, 2)):
        sheet = book.add_sheet(f"Tab {number}")
        for at, row in enumerate(damaged_table(dice)):
            for column, cell in enumerate(row[:250]):
                plain = as_numbers and cell.replace(".", "", 1).isdigit()
                sheet.write(at, column, float(cell) if plain else cell[:1000])
    held = io.BytesIO()
    book.save(held)
    return damaged_bytes(held.getvalue(), dice)


@cache
def _whole_pdf() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        return damage.sample(Path(folder)).read_bytes()


def pdf_file(dice: random.Random) -> bytes:
    """The invented PDF with damage of some kind; whether what is read of it is right is tried by `damage` itself."""
    return damage.damaged(_whole_pdf(), dice.randrange(10**9))


MEDIA: dict[str, Callable[[random.Random], bytes]] = {
    "csv": csv_file,
    "pdf": pdf_file,
    "txt": txt_file,
    "xls": xls_file,
    "xlsx": xlsx_file,
}

"""Bid tabs as workbooks: the long one with contract facts on each row, and the wide one with bidders side by side."""

from __future__ import annotations

import datetime as dt
import io
from decimal import Decimal

import xlsxwriter

from _make.bid_tabs import _ranked
from _make.bids import Amounts, Letting
from _make.county import COUNTY
from _make.firms import ESTIMATE, spelled
from _make.low_bid import Line
from _make.money import ZERO, extension
from _make.plan import Contract

LONG_HEAD = (
    "Letting Date", "Contract", "Work", "Section", "Pay Item", "Item Text", "Quantity", "Unit", "Bidder", "Place",
    "Bid Status", "Award", "Unit Bid", "Amount Bid", "Bid Total",
)  # fmt: skip
WIDE_LEFT = ("Line", "Pay Item", "Description", "Bid Quantity", "Unit")


def long_workbook(lettings: list[Letting]) -> bytes:
    """One row per item and bidder with true dates and numbers, no line numbers and no estimate."""
    rows: list[list[object]] = []
    for letting in lettings:
        contract = letting.contract
        for rank, bid in _ranked(letting.bids):
            for line, price, printed in zip(letting.lines, bid.prices, bid.printed, strict=True):
                rows.append([
                    contract.letting_date, contract.contract_id, contract.title, int(line.schedule), line.item.code,
                    line.item.description("book"), float(line.quantity), line.item.unit_in("book"),
                    spelled(bid.firm, "book"), rank, bid.status, contract.award, _number(price), _number(printed),
                    float(bid.total_as_read),
                ])  # fmt: skip
    out, book = _new_book("Bids received", lettings[0].contract)
    sheet = book.add_worksheet("Bids")
    date_format, bold = book.add_format({"num_format": "yyyy-mm-dd"}), book.add_format({"bold": True})
    sheet.write_row(0, 0, LONG_HEAD, bold)
    for place, row in enumerate(rows, start=1):
        sheet.write_datetime(place, 0, dt.datetime.combine(row[0], dt.time()), date_format)  # type: ignore[arg-type]
        sheet.write_row(place, 1, row[1:])
    sheet.set_column(0, len(LONG_HEAD) - 1, 14)
    book.close()
    return out.getvalue()


def wide_workbook(letting: Letting) -> bytes:
    """One contract: facts at the top left, each bidder's name merged over its two columns, the estimate last."""
    contract = letting.contract
    out, book = _new_book("Bid comparison", contract)
    sheet = book.add_worksheet("Comparison")
    wrap = book.add_format({"text_wrap": True, "valign": "top", "border": 1})
    day, bold = book.add_format({"num_format": "yyyy-mm-dd", "align": "left"}), book.add_format({"bold": True})
    money = book.add_format({"num_format": "#,##0.00"})
    facts = (f"{COUNTY} road department", contract.title, f"Contract {contract.contract_id}")
    for row, fact in enumerate(facts):
        sheet.merge_range(row, 0, row, 4, fact, bold)
    sheet.merge_range(3, 0, 3, 4, None, day)
    sheet.write_datetime(3, 0, dt.datetime.combine(contract.letting_date, dt.time()), day)
    sheet.write_row(5, 0, WIDE_LEFT, bold)
    columns: list[tuple[str, Amounts, Amounts]] = [
        (spelled(bid.firm, "wide").replace(" ", "\n", 1), bid.prices, bid.printed) for bid in letting.bids
    ]
    columns.append((ESTIMATE, letting.estimate, _extensions(letting.lines, letting.estimate)))
    for place, (name, _, _) in enumerate(columns):
        first = 5 + 2 * place
        sheet.merge_range(0, first, 4, first + 1, name, wrap)
        sheet.write_row(5, first, ("Unit Price", "Amount"), bold)
    _write_wide_rows(sheet, letting, columns, bold, money)
    sheet.set_column(0, 1, 9)
    sheet.set_column(2, 2, 44)
    sheet.set_column(3, 4 + 2 * len(columns), 13)
    book.close()
    return out.getvalue()


def _write_wide_rows(
    sheet: xlsxwriter.worksheet.Worksheet,
    letting: Letting,
    columns: list[tuple[str, Amounts, Amounts]],
    bold: xlsxwriter.format.Format,
    money: xlsxwriter.format.Format,
) -> None:
    """Items under a heading for each part of the work, subtotals, and the total; no line number on either."""
    row = 6
    for heading, part in _wide_parts(letting):
        sheet.write(row, 2, heading, bold)
        for line, place in part:
            row += 1
            text = line.item.description("wide").replace(", ", ",\n", 1)
            left = (f"{line.number:04d}", line.item.code, text, float(line.quantity), line.item.unit_in("wide"))
            sheet.write_row(row, 0, left)
            for column, (_, prices, printed) in enumerate(columns):
                sheet.write(row, 5 + 2 * column, _number(prices[place]), money)
                sheet.write(row, 6 + 2 * column, _number(printed[place]), money)
        row += 1
        _write_total(
            sheet,
            row,
            f"Subtotal, {heading.partition(':')[0].lower()}",
            columns,
            [place for _, place in part],
            bold,
            money,
        )
        row += 1
    _write_total(sheet, row, "Total bid", columns, list(range(len(letting.lines))), bold, money)


def _write_total(
    sheet: xlsxwriter.worksheet.Worksheet,
    row: int,
    text: str,
    columns: list[tuple[str, Amounts, Amounts]],
    places: list[int],
    bold: xlsxwriter.format.Format,
    money: xlsxwriter.format.Format,
) -> None:
    sheet.write(row, 2, text, bold)
    for column, (_, _, printed) in enumerate(columns):
        total = sum((printed[place] or ZERO for place in places), ZERO)
        sheet.write(row, 6 + 2 * column, float(total), money)


def _wide_parts(letting: Letting) -> list[tuple[str, list[tuple[Line, int]]]]:
    pairs = [(line, place) for place, line in enumerate(letting.lines)]
    bridge = [pair for pair in pairs if pair[0].item.code[0] not in "GR"]
    return [
        ("Section A: bridge", bridge),
        ("Section B: road and general", [pair for pair in pairs if pair not in bridge]),
    ]


def _extensions(lines: tuple[Line, ...], prices: Amounts) -> Amounts:
    pairs = zip(lines, prices, strict=True)
    return tuple(None if price is None else extension(line.quantity, price) for line, price in pairs)


def _number(amount: Decimal | None) -> float | None:
    return None if amount is None else float(amount)


def _new_book(title: str, contract: Contract) -> tuple[io.BytesIO, xlsxwriter.Workbook]:
    """A workbook in memory whose only date is the letting's, so that its bytes do not depend on the day it is made."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    created = dt.datetime.combine(contract.letting_date, dt.time(12))
    book.set_properties({"title": title, "author": COUNTY, "created": created})
    return out, book

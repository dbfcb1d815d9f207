"""Bid tabs with one row per item and bidder, with or without the engineer's estimate among the bidders."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import partial
from itertools import chain
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from bidlens.errors import BadValue
from bidlens.ingest import above, cells, lump_sum, totals
from bidlens.ingest.big_text import ColumnRows
from bidlens.ingest.cells import RowPlaces
from bidlens.ingest.coded import Coded, CodedText
from bidlens.ingest.grid import Cell, Grid
from bidlens.ingest.headers import Header, contains, words_of
from bidlens.ingest.layout import TAX, WORKED_OUT, Layout, cell_words
from bidlens.ingest.priced import PricedRows, join, set_aside
from bidlens.ingest.rules import AS_READ, TENTH_OF_A_CENT, BidRules, by_tenth_of_a_cent
from bidlens.side_by_side import side_by_side

_ZEROS = frozenset({"", "0", "0.0", "0.00", "$0.00"})
_SAME_NAME = (
    "line", "item_code", "description", "bid_status", "contract_status", "agency", "work", "structure",
)  # fmt: skip
_NUMERIC = ("quantity", "unit_price", "amount", "order", "bid_total")


@dataclass(slots=True, eq=False)
class _Sheet:
    """The columns of one sheet below its headings, n rows each; a field without a column is absent."""

    grid: Grid
    header: Header
    columns: dict[str, Coded]
    rows: np.ndarray  # index in the grid, from 0

    def filled(self, field: str) -> np.ndarray:
        """True where the field holds more than blanks; a 0 in a column of text is a blank."""
        column = self.columns.get(field)
        if column is None:
            return np.zeros(len(self.rows), dtype=bool)
        return ~(column.is_blank() if field in _NUMERIC else _is_zero(column))

    def places(self, field: str) -> RowPlaces:
        return RowPlaces(self.grid.file, self.grid.sheet, self.rows + 1, self.header.name_of(field))

    def where(self, keep: np.ndarray) -> _Sheet:
        if keep.all():
            return self
        columns = {field: column.where(keep) for field, column in self.columns.items()}
        return _Sheet(self.grid, self.header, columns, self.rows[keep])

    def categories(self, field: str, default: str = "") -> pd.Categorical:
        if field in self.columns:
            return cells.categories(self.columns[field])
        return cells.constant(default, len(self.rows))

    def numbers(self, field: str, scale: int, kind: str, blanks: frozenset[str] = frozenset()) -> pa.Array:
        if field not in self.columns:
            return pa.nulls(len(self.rows), pa.decimal128(18, scale))
        return cells.numbers(self.columns[field], scale, self.places(field), kind, blanks=blanks)


def _is_text(column: Coded, wanted: str) -> np.ndarray:
    """True where a cell is a certain text."""
    if isinstance(column, CodedText):
        return column.is_one_of(frozenset({wanted}))
    return column.matches(lambda cell: cells.text(cell) == wanted)


def _is_zero(column: Coded) -> np.ndarray:
    """True where a cell is blank or a plain nought."""
    if isinstance(column, CodedText):
        return column.is_one_of(_ZEROS)
    return column.matches(lambda cell: cells.text(cell) in _ZEROS)


def read(grid: Grid, layout: Layout, header: Header, rules: BidRules = AS_READ) -> tuple[PricedRows, pd.DataFrame]:
    """The priced rows of one sheet, and its rows set aside with the reason of each.

    Raises BadValue at a cell that cannot be read, at a row with a price and no quantity or bidder, and where no letting
    date is given.
    """
    sheet = _columns(grid, header)
    taken_as_one = _lump_sums(sheet)
    item, reasons = _tell_rows_apart(sheet)
    tails = [index for index, reason in reasons.items() if reason == _TAIL]
    items = sheet.where(item)
    if not len(items.rows):
        raise BadValue("no row below the headings is a priced item", where=grid.place(header.row), do="Check the file.")
    aside = {index: "above the headings" for index in range(header.row) if any(map(cells.text, grid.rows[index]))}
    aside |= reasons
    frame = _frame(items, layout)
    if rules.entry_rule == TENTH_OF_A_CENT:
        entered = items.numbers("unit_price", 3, "a unit price", cells.NO_BID)
        frame = frame.assign(entered_price=totals.column(by_tenth_of_a_cent(entered)))
    frame = _with_estimate_column(frame.assign(tail=_tails(frame, sheet, tails)), items)
    order = sorted(aside)
    findings = lump_sum.note(taken_as_one, grid.place())
    return PricedRows(frame, "line" in items.columns, len(items.rows) + 1, findings=findings), set_aside(
        grid, order, [aside[index] for index in order]
    )


def _lump_sums(sheet: _Sheet) -> int:
    """Give priced lump sum items without a quantity in figures the quantity 1; how many rows there were."""
    quantity = sheet.columns["quantity"]
    missing = lump_sum.no_quantity(quantity, sheet.columns.get("unit"))
    if missing.any():
        missing &= sheet.filled("bidder") & (sheet.filled("unit_price") | sheet.filled("amount"))
        missing &= sheet.filled("description") | sheet.filled("item_code")
        sheet.columns["quantity"] = quantity.filled_in(missing, lump_sum.ONE)
    return int(missing.sum())


def _columns(grid: Grid, header: Header) -> _Sheet:
    chosen = {field: columns[0] for field, columns in header.columns.items()}
    spare = header.columns.get("amount", ())[1:]
    if "bid_total" not in chosen and spare:  # an extension and a plain “Total”: the second is the contract's
        stated = [column for column in spare if contains(words_of(header.names[column]), ("total.",))]
        chosen |= {"bid_total": stated[0]} if stated else {}
    rows = np.arange(header.row + 1, len(grid.rows))
    if isinstance(grid.rows, ColumnRows):
        below = {field: partial(grid.rows.below, header.row, at) for field, at in chosen.items()}
        return _Sheet(grid, header, side_by_side(len(rows), below), rows)
    cells_below = grid.rows[header.row + 1 :]
    width = len(header.names)
    if set(map(len, cells_below)) - {width}:
        cells_below = [even_row(row, width, grid, header.row + 1 + index) for index, row in enumerate(cells_below)]
    table = np.fromiter(chain.from_iterable(cells_below), dtype=object, count=len(cells_below) * width)
    table = table.reshape(-1, width)
    return _Sheet(grid, header, {field: cells.coded(table[:, at]) for field, at in chosen.items()}, rows)


def square(grid: Grid, header: Header) -> None:
    """Make the rows of a text file as wide as its headings. Raises BadValue where one has cells beyond them."""
    width = len(header.names)
    if set(map(len, grid.rows)) - {width}:
        grid.rows = [
            even_row(row, width, grid, index) if index > header.row else list(row) + [""] * (width - len(row))
            for index, row in enumerate(grid.rows)
        ]


def even_row(row: list[Cell], width: int, grid: Grid, index: int) -> list[Cell]:
    """A row of a text file as wide as the headings. More cells than headings: some text was split, so refuse."""
    if any(cells.text(cell) for cell in row[width:]):
        raise BadValue(
            f"the row has {len(row)} cells, the headings have {width}",
            where=grid.place(index),
            do="A delimiter inside a text must stand in quotation marks. Export the file again, or correct the row.",
        )
    return row[:width] + [""] * (width - len(row))


# --- which rows are items -----------------------------------------------------------------------------------------

_TAIL = "continuation of the description above"


def _tell_rows_apart(sheet: _Sheet) -> tuple[np.ndarray, dict[int, str]]:
    """True where a row is a priced item, and for every other row that is not blank: grid index -> reason."""
    named = sheet.filled("description") | sheet.filled("item_code")
    heading = sheet.header.name_of("quantity")
    headings_again = _is_text(sheet.columns["quantity"], heading)
    worked_out = sheet.columns["bidder"].matches(lambda cell: cell_words().is_worked_out(cells.text(cell)))
    item = named & sheet.filled("bidder") & sheet.filled("quantity") & ~headings_again & ~worked_out
    if "contract" in sheet.columns:
        item &= sheet.filled("contract")
    reasons: dict[int, str] = {}
    for position in np.flatnonzero(~item):
        index = int(sheet.rows[position])
        row = sheet.grid.rows[index]
        if any(map(cells.text, row)):
            after_item = bool(position > 0 and item[position - 1])
            reasons[index] = _reason(sheet, index, row, after_item)
    return item, reasons


def _reason(sheet: _Sheet, index: int, row: list[Cell], after_item: bool) -> str:
    told = {
        field: cells.text(row[columns[0]]) for field, columns in sheet.header.columns.items() if columns[0] < len(row)
    }
    says = {field for field, text in told.items() if text not in _ZEROS}
    words = " ".join(cells.text(cell) for cell in row if isinstance(cell, str) and cells.text(cell))
    if tuple(map(cells.text, row)) == sheet.header.names:
        return "the headings once more"
    if cell_words().says("total_row", words) and "quantity" not in says:
        return "a total, not an item"
    if cell_words().is_worked_out(told.get("bidder", "")):
        return WORKED_OUT
    if "quantity" not in says and cell_words().says("tax_row", told.get("description", "")):
        return TAX
    if says & {"unit_price", "amount"} and says & {"quantity", "bidder"}:
        missing: list[str] = [
            field for field in ("contract", "bidder", "quantity") if field in told and not told[field]
        ]
        missing = missing or ["item code", "description"]
        raise BadValue(
            f"the row has a price but no {' and no '.join(missing)}",
            where=sheet.grid.place(index),
            do="Fill in the cell, or clear the row, and import again; nothing was imported from this file.",
        )
    if says == {"description"}:
        return _TAIL if after_item else "text that stands alone, without quantity, bidder and price"
    if says == {"bidder"}:
        return "continuation of the bidder's name above" if after_item else "a bidder's name that stands alone"
    if cell_words().says("section_row", words):
        return "a section heading, not an item"
    return "not an item: " + (" and ".join(sorted(_blank_fields(told))) or "its cells") + " blank"


def _blank_fields(told: dict[str, str]) -> set[str]:
    return {field for field in ("contract", "bidder", "quantity") if field in told and told[field] in _ZEROS}


# --- the rows as typed columns ------------------------------------------------------------------------------------


def _frame(sheet: _Sheet, layout: Layout) -> pd.DataFrame:
    count = len(sheet.rows)
    columns: dict[str, Any] = side_by_side(
        count,
        {
            "order": lambda: _orders(sheet),
            "bidder": lambda: sheet.categories("bidder"),
            "unit_price": lambda: sheet.numbers("unit_price", 5, "a unit price", cells.NO_BID),
            "extension_as_read": lambda: sheet.numbers("amount", 2, "an amount", cells.NO_BID),
            "contract_id": lambda: _contracts(sheet, layout),
            "letting_date": lambda: _letting_dates(sheet, layout),
            "schedule": lambda: sheet.categories("schedule", layout.default_schedule),
            "pay_unit": lambda: sheet.categories("unit"),
            **{name: partial(sheet.categories, name) for name in _SAME_NAME},
            "quantity": lambda: _quantities(sheet),
            "bid_total": lambda: sheet.numbers("bid_total", 2, "a total"),
        },
    )
    return pd.DataFrame(
        {name: totals.column(values) if isinstance(values, pa.Array) else values for name, values in columns.items()}
        | {
            "is_estimate": _is_estimate(columns["bidder"], columns["order"]),
            "no_bid": _no_bid(sheet, "unit_price", columns["unit_price"])
            | _no_bid(sheet, "amount", columns["extension_as_read"]),
            "source_sheet": cells.constant(sheet.grid.sheet, count),
            "source_row": sheet.rows + 1,
        }
    )


def _orders(sheet: _Sheet) -> np.ndarray:
    """The bidders' places; NaN where there is none or it is no plain number. A help and a check, so never a refusal."""
    if "order" not in sheet.columns:
        return np.full(len(sheet.rows), np.nan)
    shown = cells.categories(sheet.columns["order"])
    places = [float(text) if text.isdigit() else np.nan for text in shown.categories]
    return np.array(places)[shown.codes]


def _no_bid(sheet: _Sheet, field: str, values: pa.Array) -> np.ndarray:
    """True where a cell holds no number and is not blank: what was accepted there are the words for no bid."""
    nothing = pc.is_null(values).to_numpy(zero_copy_only=False)
    return nothing & sheet.filled(field) if nothing.any() else nothing


def _is_estimate(bidder: pd.Categorical, orders: np.ndarray) -> np.ndarray:
    """The estimate is the bidder of order 0, or the one whose name says so where no order is given."""
    by_name = np.array([cell_words().is_estimate(name) for name in bidder.categories])[bidder.codes]
    return (orders == 0) | (by_name & ~(orders > 0)) | by_name


def _quantities(sheet: _Sheet) -> pa.Array:
    quantities = sheet.numbers("quantity", 4, "a quantity")
    negative = np.flatnonzero(quantities.cast(pa.float64()).to_numpy(zero_copy_only=False) < 0)
    if len(negative):
        first = int(negative[0])
        raise BadValue(
            f"the quantity is negative ({quantities[first].as_py().normalize():f})",
            where=sheet.places("quantity")[first],
            do="Correct the quantity and import again; nothing was imported from this file.",
        )
    return quantities


def _contracts(sheet: _Sheet, layout: Layout) -> pd.Categorical:
    if "contract" in sheet.columns:
        return sheet.categories("contract")
    return sheet.categories("contract", above.contract(sheet.grid, sheet.header.row, layout))


def _letting_dates(sheet: _Sheet, layout: Layout) -> pa.Array:
    if "letting_date" in sheet.columns:
        found = cells.dates(sheet.columns["letting_date"], sheet.places("letting_date"))
        if not found.null_count:
            return found
        blank = int(np.flatnonzero(sheet.columns["letting_date"].is_blank())[0])
        raise BadValue(
            "the letting date is blank", where=sheet.places("letting_date")[blank], do="Fill it in and import again."
        )
    day: dt.date = above.letting_date(sheet.grid, sheet.header.row, layout)
    return pa.array(np.full(len(sheet.rows), np.datetime64(day, "D")), type=pa.date32())


def _with_estimate_column(frame: pd.DataFrame, sheet: _Sheet) -> pd.DataFrame:
    """The estimate as rows of its own, where it stands in a column beside the bidders' prices.

    It repeats on the row of every bidder of a contract; it is taken from those of the first.
    """
    if "estimate_price" not in sheet.columns or frame["is_estimate"].any():
        return frame
    contract = frame["contract_id"].cat.codes
    of_first = (frame["bidder"].cat.codes == frame["bidder"].cat.codes.groupby(contract).transform("first")).to_numpy()
    prices = sheet.numbers("estimate_price", 5, "a unit price", cells.NO_BID)
    estimate = frame[of_first].assign(
        bidder=cells.constant(sheet.header.name_of("estimate_price"), int(of_first.sum())),
        unit_price=totals.column(prices.filter(pa.array(of_first))),
        extension_as_read=totals.column(pa.nulls(int(of_first.sum()), pa.decimal128(18, 2))),
        is_estimate=True,
        order=np.nan,
        no_bid=False,
    )
    return join([estimate, frame])


def _tails(frame: pd.DataFrame, sheet: _Sheet, tails: list[int]) -> pd.Categorical:
    """The wrapped rest of a description, at the item right above it."""
    if not tails:
        return cells.constant("", len(frame))
    found = np.full(len(frame), "", dtype=object)
    column = sheet.header.columns["description"][0]
    above_tail = np.searchsorted(frame["source_row"].to_numpy(), tails)  # source_row of the item == index of the tail
    found[above_tail] = [cells.text(sheet.grid.rows[index][column]) for index in tails]
    return cells.categories(found.tolist())

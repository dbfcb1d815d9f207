"""A bid tab with one column for each bidder, headed by nothing but the name: unit prices, where the totals prove it.

Such a column could as well hold the amounts. It is taken for unit prices only where quantity times price, summed over
the items, gives the total that the sheet prints below; else somebody has to say what it holds.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from bidlens.ingest import cells, lump_sum
from bidlens.ingest.grid import Cell, Grid
from bidlens.ingest.headers import Header

_LOOKED_AT = 5_000  # rows below the headings
_MOST_LEFT_OUT = 0.5  # share of the bidders whose own arithmetic may differ from the printed total
_CENTS_A_ROW = 0.01  # by which a total of rounded extensions may differ for each


def prices_under_names(grid: Grid, header: Header, says_total: Callable[[str], bool]) -> Header:
    """The header with the columns right of the quantities as unit prices; the header itself where that is not proven.

    says_total : whether a text names a total. Needs two columns at least: a single one is no tabulation.
    """
    quantity = header.columns["quantity"][0]
    items, numbers, total = _items_and_total(grid, header, says_total)
    taken = {at for field in _OF_ITEMS for at in header.columns.get(field, ())}
    columns = [
        at
        for at in range(quantity + 1, len(header.names))
        if at not in taken and header.names[at] and any(cells.plain_number(row[at]) is not None for row in items)
    ]
    stated = {at: value for at in columns if total and (value := cells.plain_number(total[at])) is not None}
    proven = [at for at, value in stated.items() if _adds_up(items, numbers, at, value)]
    if len(columns) < _FEWEST_BIDDERS or not proven or len(proven) < len(stated) * _MOST_LEFT_OUT:
        return header
    others = {
        field: kept
        for field, at in header.columns.items()
        if (kept := tuple(column for column in at if column not in columns))
    }
    return replace(header, columns={**others, "unit_price": tuple(columns)}, under_names=True)


_FEWEST_BIDDERS = 2
_OF_ITEMS = ("line", "item_code", "description", "unit", "quantity", "schedule")


def _items_and_total(
    grid: Grid, header: Header, says_total: Callable[[str], bool]
) -> tuple[list[list[Cell]], list[float], list[Cell]]:
    """The priced rows down to the first total, their quantities, and the row of that total; empty without one."""
    quantity, description, unit = (header.column(field) for field in ("quantity", "description", "unit"))
    items: list[list[Cell]] = []
    numbers: list[float] = []
    for row in grid.rows[header.row + 1 : header.row + 1 + _LOOKED_AT]:
        if len(row) < len(header.names) or quantity is None or description is None:
            continue
        number = cells.plain_number(row[quantity])
        if lump_sum.is_one(cells.text(row[quantity]), "" if unit is None else cells.text(row[unit])):
            number = 1.0
        if number is None and says_total(" ".join(cells.text(cell) for cell in row if isinstance(cell, str))):
            return items, numbers, row
        if number is not None and cells.text(row[description]):
            items.append(row)
            numbers.append(number)
    return items, numbers, []


def _adds_up(items: list[list[Cell]], numbers: list[float], price: int, total: float) -> bool:
    """Quantity times price over the items is the printed total, each extension rounded to the cent."""
    prices = [cells.plain_number(row[price]) for row in items]
    summed = sum(number * each for number, each in zip(numbers, prices, strict=True) if each is not None)
    return abs(summed - total) <= _CENTS_A_ROW * (len(items) + 1)

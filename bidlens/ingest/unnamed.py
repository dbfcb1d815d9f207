"""A column that holds data below a blank heading: which field it must be, where the data leaves no doubt.

Exports lose a heading now and then. A column is taken for a missing field only on evidence in its cells: a unit price
because quantity times it gives the amount, a bidder because the estimate is named in it, a description because it is
long and different from line to line.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from bidlens.ingest import cells
from bidlens.ingest.grid import Cell, Grid
from bidlens.ingest.headers import Header, words_of

LOOKED_AT = 200  # rows below the headings
MOST = 0.9  # share of them that must agree

Column = Sequence[Cell]


def name_unnamed(grid: Grid, header: Header, is_estimate: Callable[[str], bool]) -> Header:
    """The header with fields added for columns without a heading; the header itself where none is plain."""
    below = [row for row in grid.rows[header.row + 1 : header.row + 1 + LOOKED_AT] if len(row) >= len(header.names)]
    if not below:
        return header
    found = dict(header.columns)
    for place, name in enumerate(header.names):
        column = [row[place] for row in below]
        if name or _share(bool(cells.text(cell)) for cell in column) < MOST:
            continue
        field = _field(column, {known: [row[at[0]] for row in below] for known, at in found.items()}, is_estimate)
        if field:
            found[field] = (place,)
    return replace(header, columns=found)


def item_as_description(grid: Grid, header: Header) -> Header:
    """The header with a column headed “Item” as the description, where what stands in it is words and no code."""
    below = [row for row in grid.rows[header.row + 1 : header.row + 1 + LOOKED_AT] if len(row) >= len(header.names)]
    for place in header.columns["item_code"]:
        shown = [text for row in below if (text := cells.text(row[place]))]
        if words_of(header.names[place])[-1:] in (("item",), ("items",)) and _share(map(_is_words, shown)) > 0.5:
            codes = tuple(other for other in header.columns["item_code"] if other != place)
            found = {**header.columns, "description": (place,), "item_code": codes}
            return replace(header, columns={field: columns for field, columns in found.items() if columns})
    return header


def _is_words(text: str) -> bool:
    """Words, and not a code: more letters than digits."""
    return sum(map(str.isalpha, text)) > max(2, sum(map(str.isdigit, text)))


def _field(column: Column, known: dict[str, Column], is_estimate: Callable[[str], bool]) -> str | None:
    if {"quantity", "amount"} <= known.keys() and "unit_price" not in known:
        return "unit_price" if _multiplies(known["quantity"], column, known["amount"]) else None
    if {"unit_price", "amount"} <= known.keys() and "quantity" not in known:
        return "quantity" if _multiplies(column, known["unit_price"], known["amount"]) else None
    if _share(cells_are_numbers(column)) > 1 - MOST:
        return None
    shown = [cells.text(cell) for cell in column]
    if "bidder" not in known:
        return "bidder" if any(map(is_estimate, shown)) else None
    if not {"description", "item_code"} & known.keys():
        return "description" if sum(map(len, shown)) / len(shown) > 8 and len(set(shown)) > 1 else None
    return None


def cells_are_numbers(column: Column) -> list[bool]:
    """For each cell, whether it holds a number."""
    return [cells.plain_number(cell) is not None for cell in column]


def _multiplies(quantity: Column, price: Column, amount: Column) -> bool:
    """Quantity times price gives the amount, to a cent, in most rows where all three are numbers."""
    rows = [tuple(map(cells.plain_number, row)) for row in zip(quantity, price, amount, strict=True)]
    whole = [row for row in rows if None not in row]
    agree = _share(abs(q * p - a) <= 0.011 for q, p, a in whole)  # type: ignore[operator]
    return len(whole) > len(rows) / 2 and agree >= MOST


def _share(said: object) -> float:
    answers = list(said)  # type: ignore[call-overload]
    return sum(answers) / len(answers) if answers else 0.0

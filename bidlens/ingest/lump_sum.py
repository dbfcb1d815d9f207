"""Lump sum items whose quantity is left blank or written in words: one of each (common practice, no source)."""

from __future__ import annotations

import numpy as np

from bidlens.errors import Place
from bidlens.findings import Finding
from bidlens.ingest import cells
from bidlens.ingest.coded import Coded, CodedText
from bidlens.ingest.grid import Grid
from bidlens.ingest.headers import Header
from bidlens.units import UNIT_BY_NAME, canonical_unit

ONE = "1"
_LUMP = UNIT_BY_NAME["LS"]
#: The spellings of a lump sum as a quantity, in the cases people write them.
_WORDS = frozenset(
    case(text)
    for name in (_LUMP.name, _LUMP.title, *_LUMP.aliases)
    for text in (name, f"{ONE} {name}", ".".join(name) + "." if len(name) == 2 else name)
    for case in (str.lower, str.upper, str.title)
)


def is_lump_sum(unit: str) -> bool:
    """Whether a pay unit is the lump sum, in any spelling."""
    return canonical_unit(unit) == _LUMP.name


def is_one(quantity: str, unit: str) -> bool:
    """Whether a quantity is the lump sum's words, or blank beside the unit LS; both as text."""
    lump = is_lump_sum(unit)
    return (not quantity and lump) or (quantity in _WORDS and (lump or not unit))


def no_quantity(quantity: Coded, unit: Coded | None) -> np.ndarray:
    """As `is_one`, for whole columns; n bool."""
    words = _is_one_of(quantity)
    if unit is None:
        return words
    lump = unit.matches(lambda cell: is_lump_sum(cells.text(cell)))
    return (quantity.is_blank() & lump) | (words & (lump | unit.is_blank()))


def _is_one_of(quantity: Coded) -> np.ndarray:
    if isinstance(quantity, CodedText):
        return quantity.is_one_of(_WORDS)
    return quantity.matches(lambda cell: cells.text(cell) in _WORDS)


def fill_in(grid: Grid, header: Header) -> int:
    """Give the lump sum items of a sheet with bidders side by side the quantity 1; how many there were."""
    quantity, unit, description = (header.column(field) for field in ("quantity", "unit", "description"))
    money = [at for field in ("unit_price", "amount", "estimate_price") for at in header.columns.get(field, ())]
    if quantity is None or description is None:
        return 0
    rows, filled = list(grid.rows), 0
    for index, row in enumerate(rows[header.row + 1 :], start=header.row + 1):
        shown, measured = cells.text(row[quantity]), "" if unit is None else cells.text(row[unit])
        if not is_one(shown, measured) or not cells.text(row[description]):
            continue
        if any(cells.plain_number(row[at]) is not None for at in money):
            rows[index] = [ONE if at == quantity else cell for at, cell in enumerate(row)]
            filled += 1
    grid.rows = rows if filled else grid.rows
    return filled


def note(count: int, place: Place) -> list[Finding]:
    """Says how many quantities were taken as one; nothing for none."""
    if not count:
        return []
    rows = "1 row of a lump sum gives" if count == 1 else f"{count:,} rows of lump sums give"
    text = f"{rows} no quantity in figures; it is taken as 1"
    return [Finding("lump_sum_quantity", "note", text, place=place)]

"""Price agreements: unit prices without quantities. They are no contract, and are refused in plain words."""

from __future__ import annotations

from collections.abc import Sequence

from bidlens.errors import Place, UnreadableFile
from bidlens.ingest import cells
from bidlens.ingest.grid import Grid
from bidlens.ingest.headers import contains, match_headings, words_of
from bidlens.ingest.layout import fields

_NEEDED = frozenset({"unit", "unit_price"})
_FEWEST, _WITHIN, _LOOKED_AT = 3, 60, 200
_MOST = 0.5
_OFFERS = ("supplier", "fabricator", "manufacturer", "proposal")  # headings of a table of suppliers' proposals


def place_of(grids: Sequence[Grid]) -> Place | None:
    """The heading row of a price agreement: item, unit and unit price, and no column that could hold quantities."""
    for grid in grids:
        for index, row in enumerate(grid.rows[:_WITHIN]) if not grid.hidden else ():
            if sum(isinstance(cell, str) and bool(cell) for cell in row) < _FEWEST:
                continue
            found = match_headings(row, fields())
            if not found.keys() >= _NEEDED or not {"description", "item_code"} & found.keys():
                continue
            if any(contains(words_of(cell), (word,)) for cell in row for word in _OFFERS):
                continue
            known = {places[0] for places in found.values()}
            if {"quantity", "amount"}.isdisjoint(found) and not _may_be_quantities(grid, index, known):
                return grid.place(index)
    return None


def refuse(grids: Sequence[Grid]) -> None:
    """Raise UnreadableFile if the file is a price agreement."""
    place = place_of(grids)
    if place is not None:
        raise UnreadableFile(
            "this is a price agreement: it has unit prices and no quantities, so no bid has a total and nothing says "
            "what a bridge cost",
            where=place,
            do="Import the tabulations of the contracts themselves.",
        )


def _may_be_quantities(grid: Grid, heading: int, known: set[int]) -> bool:
    """Some column without a known heading holds numbers in most rows."""
    below = grid.rows[heading + 1 : heading + 1 + _LOOKED_AT]
    others = set(range(max(map(len, below), default=0))) - known
    return any(_share_of_numbers([row[at] for row in below if at < len(row)]) > _MOST for at in others)


def _share_of_numbers(column: list[cells.Cell]) -> float:
    shown = [cell for cell in column if cells.text(cell)]
    return sum(map(_is_number, shown)) / len(shown) if shown else 0.0


def _is_number(cell: cells.Cell) -> bool:
    try:
        return cells.number(cell, 4) is not None
    except ValueError:
        return False

"""Bid tab layouts as data: which columns a layout must have, and where the letting date and contract stand.

The TOML files beside this module hold what we know of files; a new layout of a known shape is a new TOML file.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path

from bidlens.ingest.grid import Cell, Grid
from bidlens.ingest.headers import FieldStems, Header, header_told, load_stems, match_headings, tidy, words_of
from bidlens.ingest.under_names import prices_under_names
from bidlens.ingest.unnamed import item_as_description, name_unnamed

_FOLDER = Path(__file__).parent / "layouts"
#: Why the row of an average or the like is set aside.
WORKED_OUT = "a figure worked out from the bids, not a bid"
#: Why the row of a tax is set aside.
TAX = "a tax on the whole, not an item"
#: Order in which layouts are tried: the one that asks for most first.
_LAYOUTS = ("long_dated", "long", "wide")


@dataclass(frozen=True, slots=True)
class Layout:
    """One way of laying out a bid tab.

    shape : long (a row per item and bidder) or wide (bidders side by side). required : fields its headings must name.
    letting_date_from, contract_from : where to look, in order: column, above (cells above the headings), name (the
    file's name). default_schedule : schedule of a contract that names none.
    """

    name: str
    title: str
    shape: str
    required: tuple[str, ...]
    letting_date_from: tuple[str, ...]
    contract_from: tuple[str, ...]
    default_schedule: str


@dataclass(frozen=True, slots=True)
class CellWords:
    """Patterns for the words inside cells; see layouts/words.toml."""

    patterns: Mapping[str, re.Pattern[str]]
    round_row_counts: frozenset[int]

    def says(self, what: str, text: str) -> bool:
        """Whether a text holds the words of a kind, in any case."""
        return bool(self.patterns[what].search(text.lower()))

    def is_estimate(self, bidder: str) -> bool:
        """Whether a bidder cell names the engineer's estimate."""
        return self.says("estimate_name", " ".join(words_of(bidder)))

    def is_worked_out(self, bidder: str) -> bool:
        """Whether a bidder cell names a figure worked out from the bids, such as their average."""
        return self.says("worked_out_name", " ".join(words_of(bidder)))


@cache
def fields() -> dict[str, FieldStems]:
    """The headings of bid tabs, by field."""
    return load_stems(_FOLDER / "fields.toml")


@cache
def cell_words() -> CellWords:
    """The words inside the cells of bid tabs."""
    told = tomllib.loads((_FOLDER / "words.toml").read_text(encoding="utf-8"))
    counts = frozenset(told.pop("round_row_counts"))
    return CellWords({name: re.compile(pattern, re.IGNORECASE) for name, pattern in told.items()}, counts)


@cache
def layouts() -> tuple[Layout, ...]:
    """Every layout, in the order in which they are tried."""
    return tuple(_load(name) for name in _LAYOUTS)


def _load(name: str) -> Layout:
    told = tomllib.loads((_FOLDER / f"{name}.toml").read_text(encoding="utf-8"))
    return Layout(
        name,
        told["title"],
        told["shape"],
        tuple(told["required"]),
        tuple(told["letting_date_from"]),
        tuple(told["contract_from"]),
        told["default_schedule"],
    )


def fit(grid: Grid, within: int = 60) -> tuple[Layout, Header] | None:
    """The layout whose headings a sheet has, and its heading row; None if it is no bid tab sheet.

    The first row that names the columns of any layout decides; where it names those of several, the first of them.
    What the engineer told of the sheet goes before what its headings say.
    """
    if grid.told and (told := header_told(grid)):
        return next((layout, told) for layout in layouts() if layout.name == grid.told.layout)
    for index, row in enumerate(grid.rows[:within]):
        if _texts(row) >= _FEWEST_HEADINGS and (found := _fitting(grid, index, row, 0)):
            return found
        over = grid.rows[index - 1] if index else []
        if min(_texts(row), _texts(over)) < 2:
            continue
        for two in _two_rows(over, row):
            if found := _fitting(grid, index, two, 1):
                return found
    return None


def _fitting(grid: Grid, index: int, row: Sequence[Cell], over: int) -> tuple[Layout, Header] | None:
    """The layout that a row of headings names the columns of."""
    header = Header(index, match_headings(row, fields()), tuple(tidy(cell) for cell in row), over)
    if len(header.columns) >= _ENOUGH_TO_FILL_IN and "" in header.names:
        header = name_unnamed(grid, header, cell_words().is_estimate)
    if "description" not in header.columns and "item_code" in header.columns and "quantity" in header.columns:
        header = item_as_description(grid, header)
    if {"description", "quantity"} <= header.columns.keys() and not {"unit_price", "amount"} & header.columns.keys():
        header = prices_under_names(grid, header, partial(cell_words().says, "total_row"))
    return next(((layout, header) for layout in layouts() if header.columns.keys() >= set(layout.required)), None)


def _texts(row: Sequence[Cell]) -> int:
    return sum(isinstance(cell, str) and bool(cell) for cell in row)


def _two_rows(over: Sequence[Cell], row: Sequence[Cell]) -> Iterator[list[Cell]]:
    """Headings on two rows as one: blanks filled from the row above; else the words of both, one below the other."""
    width = max(len(over), len(row))
    pairs = list(zip([*over, *[""] * (width - len(over))], [*row, *[""] * (width - len(row))], strict=True))
    yield [below if not isinstance(below, str) or below.strip() else above for above, below in pairs]
    yield [f"{tidy(above)} {tidy(below)}".strip() if isinstance(above, str) else below for above, below in pairs]


_FEWEST_HEADINGS = 3
_ENOUGH_TO_FILL_IN = 5  # headings known for certain before a blank one is filled in

"""Lists kept by hand, one thing a row: the rows under a heading row, and each cell as the length, count or date it is.

Shared by the readers of structure lists, proposals and programs. A cell that cannot be read raises BadValue with its
file, row and column; the reader decides whether that sets the row aside.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeAlias

import pandas as pd

from bidlens import lengths
from bidlens.batch import SET_ASIDE_COLUMNS, no_rows_set_aside
from bidlens.errors import BadValue, Place, UnreadableFile
from bidlens.findings import Finding
from bidlens.ingest import cells
from bidlens.ingest.grid import Cell, Grid, is_blank
from bidlens.ingest.headers import FieldStems, Header, contains, find_header, header_told, load_stems, words_of

#: Alternatives, best first: a heading row names every field of one of them.
Required: TypeAlias = Sequence[tuple[str, ...]]

_LAYOUTS = Path(__file__).parent / "layouts"

#: Headings that say a table holds bid prices, so that it is no hand-kept list.
_BID_TAB_WORDS = (
    ("unit", "pri"),
    ("bid", "pri"),
    ("item",),
    ("line",),
    ("quantit",),
    ("qty",),
    ("bidder",),
    ("extension",),
)

_LENGTH_UNITS: dict[tuple[str, ...], str] = {
    **dict.fromkeys([("ft",), ("feet",), ("foot",)], "ft"),
    **dict.fromkeys([("m",), ("metres",), ("meters",), ("metre",), ("meter",)], "m"),
    **dict.fromkeys([("inches",), ("in",)], "in"),
    ("mm",): "mm",
    ("cm",): "cm",
}
_AREA_UNITS: dict[tuple[str, ...], str] = {
    **dict.fromkeys([("sf",), ("sqft",), ("sq", "ft"), ("ft", "2"), ("square", "feet"), ("square", "foot")], "sf"),
    **dict.fromkeys([("m", "2"), ("sqm",), ("sq", "m"), ("square", "metres"), ("square", "meters")], "m2"),
    **dict.fromkeys([("sy",), ("sq", "yd"), ("square", "yards")], "sy"),
}
_BLANKS = frozenset({"", "-", "--", "—", "–", "n/a", "na", "none", "unknown", "?"})


def stems_of(reader: str) -> dict[str, FieldStems]:
    """The heading words of one reader, from its file in `layouts`."""
    return load_stems(_LAYOUTS / f"{reader}.toml")


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a list, read cell by cell under its headings."""

    grid: Grid
    header: Header
    index: int

    @property
    def place(self) -> Place:
        return self.grid.place(self.index)

    def place_of(self, name: str) -> Place:
        """Where a field's cell stands."""
        return self.grid.place(self.index, self.header.name_of(name))

    def cell(self, name: str) -> Cell | None:
        """The cell of a field; None if there is no such column, or the cell is blank or a dash."""
        column = self.header.column(name)
        cells_here = self.grid.rows[self.index]
        if column is None or column >= len(cells_here):
            return None
        cell = cells_here[column]
        return None if isinstance(cell, str) and cell.strip().lower() in _BLANKS else cell

    def text(self, name: str) -> str:
        return cells.text(self.cell(name))

    def length_ft(self, name: str) -> float | None:
        """A length; a bare number is in the unit of the heading, feet if that names none."""
        cell = self.cell(name)
        unit = length_unit(self.header.name_of(name))
        return None if cell is None else lengths.parse_length_ft(cell, unit, self.place_of(name))

    def area_sf(self, name: str) -> float | None:
        """An area; a bare number is in the unit of the heading, square feet if that names none."""
        cell = self.cell(name)
        unit = unit_in_heading(self.header.name_of(name), _AREA_UNITS) or "sf"
        return None if cell is None else lengths.parse_area_sf(cell, unit, self.place_of(name))

    def date(self, name: str) -> dt.date | None:
        cell = self.cell(name)
        return None if cell is None else cells.date(cell, self.place_of(name))

    def count(self, name: str, what: str) -> int | None:
        cell = self.cell(name)
        return None if cell is None else whole_number(cell, what, self.place_of(name))


def length_unit(heading: str) -> str:
    """The unit of bare numbers under a heading: the one it names, else feet."""
    return unit_in_heading(heading, _LENGTH_UNITS) or "ft"


def unit_in_heading(heading: str, units: Mapping[tuple[str, ...], str]) -> str | None:
    """The unit a heading names, as in `length_ft`, `Deck area (m²)` or `Width, feet`; None if it names none."""
    words = words_of(heading.replace("²", "2"))
    for size in (2, 1):
        for start in range(len(words) - size, -1, -1):
            phrase = words[start : start + size]
            if phrase in units and (phrase != ("in",) or start == len(words) - 1):
                return units[phrase]
    return None


def whole_number(cell: object, what: str, where: Place | str | None) -> int:
    """A count of one or more. Raises BadValue for anything else."""
    shown = cells.text(cell) if isinstance(cell, str | int | float) else str(cell)
    if not re.fullmatch(r"\d{1,6}", shown) or int(shown) < 1:
        raise BadValue(f"{what} is “{shown}”", where=where, do="Give a whole number of one or more.")
    return int(shown)


def degrees(cell: object, where: Place | str | None) -> float:
    """A skew in degrees, from a number or text such as `15°` or `15 deg`. Raises BadValue outside 0 to 90."""
    shown = re.sub(r"\s*(°|deg\.?|degrees?)\s*$", "", str(cell).strip(), flags=re.IGNORECASE)
    if not re.fullmatch(r"-?\d+(\.\d*)?|-?\.\d+", shown) or not 0 <= float(shown) <= 90:
        raise BadValue(f"the skew is “{cell}”", where=where, do="Give degrees from 0 to 90.")
    return float(shown)


@dataclass(slots=True, eq=False)
class ListSheets:
    """The rows of a file's sheets, and what was put aside on the way.

    rows : those under a heading row. headers : each sheet read and its heading row. aside : place, reason and text of
        rows not taken.
    """

    rows: list[Row]
    headers: list[tuple[Grid, Header]]
    findings: list[Finding] = field(default_factory=list)
    aside: list[tuple[Place, str, str]] = field(default_factory=list)
    rows_read: int = 0

    def put_aside(self, row: Row, problem: BadValue) -> None:
        """Keep a row that cannot be taken, with its reason, and say so in a Finding."""
        self.aside.append((row.place, str(problem).splitlines()[0], shown_row(row.grid, row.index)))
        where = problem.where if isinstance(problem.where, Place) else row.place
        self.findings.append(
            Finding("row_set_aside", "stop", f"The row is set aside: {problem.what}.", problem.do, where)
        )

    def set_aside_frame(self) -> pd.DataFrame:
        if not self.aside:
            return no_rows_set_aside()
        rows = [(place.file, place.sheet or "", place.row, reason, text) for place, reason, text in self.aside]
        return pd.DataFrame(rows, columns=list(SET_ASIDE_COLUMNS))


def sheets_of(grids: Sequence[Grid], stems: Mapping[str, FieldStems], required: Required, told: str) -> ListSheets:
    """The rows of every visible sheet that has a heading row; other sheets are named in a Finding.

    told : what the headings must name, as said when no sheet has them. Raises UnreadableFile then.
    """
    found = ListSheets([], [])
    for grid in grids:
        header = header_of(grid, stems, required)
        if header is None:
            found.findings += not_read(grid)
            continue
        found.headers.append((grid, header))
        _take(grid, header, found)
    if not found.headers:
        raise UnreadableFile(f"no row names {told}", where=grids[0].file if grids else None, do=HOW_TO_HEAD)
    return found


HOW_TO_HEAD = "Put one row of column headings above the list, one column for each."


def _take(grid: Grid, header: Header, found: ListSheets) -> None:
    for index, cells_here in enumerate(grid.rows):
        if is_blank(cells_here):
            continue
        found.rows_read += 1
        if index < header.row:
            found.aside.append((grid.place(index), "above the column headings", shown_row(grid, index)))
        elif index > header.row:
            if tuple(map(cells.text, cells_here)) == header.names:
                found.aside.append((grid.place(index), "column headings repeated", shown_row(grid, index)))
            else:
                found.rows.append(Row(grid, header, index))


def not_read(grid: Grid) -> list[Finding]:
    """The Finding that names a sheet which is not read; none for a blank one."""
    if all(is_blank(row) for row in grid.rows):
        return []
    why = "it is hidden" if grid.hidden else "no row in it names the columns"
    text = f"The sheet “{grid.sheet}” is not read: {why}."
    return [
        Finding("sheet_not_read", "check", text, "Show it, or give it column headings, if it belongs.", grid.place())
    ]


def left_beside(grids: Iterable[Grid], read: Grid) -> list[Finding]:
    """The Findings that name the further sheets of a file of which one sheet is read; blank sheets are not named."""
    found = []
    for grid in grids:
        if grid is not read and not all(is_blank(row) for row in grid.rows):
            why = "it is hidden" if grid.hidden else f"of such a file one sheet is read, here “{read.sheet}”"
            text = f"The sheet “{grid.sheet}” is not read: {why}."
            do = "Save it as a file of its own, if it belongs."
            found.append(Finding("sheet_not_read", "check", text, do, grid.place()))
    return found


def shown_row(grid: Grid, index: int) -> str:
    """A row as text, for the set-aside list."""
    return " | ".join(cells.text(cell) for cell in grid.rows[index])


def ignored_columns(header: Header, used: Iterable[str], place: Place, also: Iterable[int] = ()) -> list[Finding]:
    """One note naming the columns that are not used. also : columns used without being a field."""
    taken = {*(header.column(name) for name in used), *also}
    unused = [name for column, name in enumerate(header.names) if name and column not in taken]
    if not unused:
        return []
    shown = ", ".join(f"“{name}”" for name in unused)
    return [Finding("columns_ignored", "note", f"Columns not used: {shown}.", place=place)]


def holds_bid_prices(grids: Sequence[Grid]) -> bool:
    """Some row near the top has the headings of a bid tab, so the file is no hand-kept list."""
    return any(_words_of_bid_tab(row) for grid in grids for row in grid.rows[:60])


def _words_of_bid_tab(row: Sequence[Cell]) -> bool:
    headings = [words_of(cell) for cell in row if isinstance(cell, str) and cell]
    return sum(any(contains(words, phrase) for words in headings) for phrase in _BID_TAB_WORDS) >= 2


def mentions(header: Header, phrases: Iterable[tuple[str, ...]]) -> bool:
    """Some heading holds one of the phrases (word beginnings, side by side)."""
    headings = [words_of(name) for name in header.names]
    return any(contains(words, phrase) for words in headings for phrase in phrases)


def header_of(grid: Grid, stems: Mapping[str, FieldStems], required: Required) -> Header | None:
    """The heading row of a visible sheet: the first that names every field of one of the alternatives."""
    if grid.hidden:
        return None
    if told := header_told(grid):
        return told
    found = (find_header(grid.rows, stems, fields) for fields in required)
    return next((header for header in found if header is not None), None)

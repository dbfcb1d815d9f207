"""A row of a file as it stands there, with its headings and its neighbours: what a number on record is held against."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from bidlens.errors import BidlensError, NotOnRecord, Place
from bidlens.ingest.cells import text
from bidlens.ingest.grid import Cell, Grid, is_blank, read_grids
from bidlens.ingest.recognition import recognition
from bidlens.ingest.told import letter

_AROUND = 1
_NAMES_WITHIN = 8  # rows above the headings


@dataclass(frozen=True, slots=True)
class SourceRow:
    """One row: its number, counted from 1, what it is (headings, beside, asked), and its cells as text."""

    number: int
    role: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RowsAsRead:
    """A row of a file with its headings, where it has any, and the rows above and below.

    letters : a column letter for each cell; one empty letter where the file has lines and no columns.
    """

    source_file: str
    source_sheet: str
    letters: tuple[str, ...]
    rows: tuple[SourceRow, ...]


def rows_as_read(path: Path, name: str, sheet: str, row: int, kind: str | None = None) -> RowsAsRead:
    """The row of a file, read anew. name : the file's own, where the path is a copy. kind : of file, for its headings.

    Raises UnreadableFile as reading the file would, NotOnRecord where it has no such sheet or row.
    """
    ending = Path(name).suffix.lower()
    if ending == ".pdf":
        return _lines(name, sheet, row, _pdf_lines(path, name, sheet))
    if ending == ".toml":
        written = path.read_text(encoding="utf-8", errors="replace").splitlines()
        return _lines(name, sheet, row, dict(enumerate(written, start=1)))
    grids = [grid for grid in read_grids(path, name) if grid.sheet == sheet]
    if not grids or not 1 <= row <= len(grids[0].rows):
        raise _no_such_row(name, sheet, row)
    return _cells(grids[0], row, _header_row(grids[0], kind))


def _pdf_lines(path: Path, name: str, sheet: str) -> dict[int, str]:
    from bidlens.ingest.pdf.pages import read_pages  # starts a process of its own; of PDFs alone

    pages, _ = read_pages(path, name)
    return {line.number: line.text for page in pages if page.sheet == sheet for line in page.lines}


def _lines(name: str, sheet: str, row: int, lines: dict[int, str]) -> RowsAsRead:
    if row not in lines:
        raise _no_such_row(name, sheet, row)
    near = range(row - _AROUND, row + _AROUND + 1)
    rows = [SourceRow(number, _role(number, row, set()), (lines[number],)) for number in near if number in lines]
    return RowsAsRead(name, sheet, ("",), tuple(rows))


def _cells(grid: Grid, row: int, header_row: int | None) -> RowsAsRead:
    """The rows wanted, without the columns that are blank in all of them."""
    heads = _headings(grid, header_row)
    around = {number for number in range(row - _AROUND, row + _AROUND + 1) if 1 <= number <= len(grid.rows)}
    near = sorted(around | heads)
    shown = {number: [_as_text(cell) for cell in grid.rows[number - 1]] for number in near}
    width = max(map(len, shown.values()))
    padded = {number: [*cells, *[""] * (width - len(cells))] for number, cells in shown.items()}
    used = [place for place in range(width) if any(cells[place].strip() for cells in padded.values())]
    rows = [
        SourceRow(number, _role(number, row, heads), tuple(cells[place] for place in used))
        for number, cells in padded.items()
    ]
    letters = tuple(letter(place) for place in used) if _has_columns(grid) else ("",) * len(used)
    return RowsAsRead(grid.file, grid.sheet, letters, tuple(rows))


def _has_columns(grid: Grid) -> bool:
    return any(len(row) > 1 for row in grid.rows[:50])


def _as_text(cell: Cell) -> str:
    return cell if isinstance(cell, str) else text(cell)


def _headings(grid: Grid, header_row: int | None) -> set[int]:
    """The row of the headings, and the nearest above that fills more than one cell: it names the bidders, if any."""
    if not header_row:
        return set()
    above = range(header_row - 1, max(header_row - 1 - _NAMES_WITHIN, 0), -1)
    names = (number for number in above if sum(bool(_as_text(cell).strip()) for cell in grid.rows[number - 1]) > 1)
    return {header_row, next(names, header_row)}


def _role(number: int, asked: int, headings: set[int]) -> str:
    return "asked" if number == asked else "headings" if number in headings else "beside"


def _header_row(grid: Grid, kind: str | None) -> int | None:
    """Where the headings are, as far as they are recognised; a row is shown without them otherwise."""
    try:
        sheets: Sequence = recognition(grid.file, [grid], kind, None).sheets
    except BidlensError:
        return None
    found: int | None = next((sheet.header_row for sheet in sheets), None)
    return found if found and not is_blank(grid.rows[found - 1]) else None


def _no_such_row(name: str, sheet: str, row: int) -> NotOnRecord:
    return NotOnRecord("the file kept has no such row", where=Place(name, sheet or None, row))

"""What was recognised in a file before it comes in: kind, layout, headings, letting date, and how sure that is.

Nothing is read into rows and nothing is stored. The first rows are shown as the headings make them understood, so that
a wrong column is seen at a glance.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from bidlens.errors import BadValue
from bidlens.ingest import above, cells, lists, nbi, opened, quotations, summary
from bidlens.ingest.blocks import bidder_blocks
from bidlens.ingest.cost_index import headings_found
from bidlens.ingest.grid import Cell, Grid, is_blank
from bidlens.ingest.headers import Header, header_told, match_headings, tidy
from bidlens.ingest.layout import Layout, fit, layouts
from bidlens.ingest.mapping import KINDS_TOLD, ColumnMapping
from bidlens.ingest.sheet_read import ColumnRead, Recognition, SheetRead
from bidlens.ingest.told import Used, letter, required_of, stems_of, takes_several

FIRST_ROWS = 3
_WITHIN = 60
_LETTING_DATE = "letting_date"


def recognition(
    file: str, grids: Sequence[Grid], kind: str | None, used: Used | None, header_row: int | None = None
) -> Recognition:
    """What was recognised. kind : of the file, None if it is of none we know: it is then looked at as a bid tab.

    header_row : take this row, counted from 1, for the headings, whatever stands in it.

    Sheets without any headings of the kind are left out, unless no sheet has them: then the likeliest is shown.
    """
    visible = [grid for grid in grids if not grid.hidden and not all(map(is_blank, grid.rows))]
    looked_at = kind or "bid-tab"
    found = [(grid, *known) for grid in visible if (known := _known(grid, looked_at))]
    found = [one for one in found if _has_bidders(*one)] or found  # a list of items alone is not read
    if header_row is not None:
        at_row = [(grid, _at(grid, header_row - 1, looked_at)) for grid in visible if len(grid.rows) >= header_row]
        sheets = [_sheet(grid, looked_at, None, header, _lacking(looked_at, header)) for grid, header in at_row]
    elif found:
        sheets = [_sheet(grid, looked_at, layout, header, ()) for grid, layout, header in found]
    elif looked_at == "bid-tab" and (totals_only := _totals_only(visible)):
        sheets = totals_only
    elif looked_at == "proposals" and quotations.in_lines(visible):
        sheets = [read for grid in visible if (read := quotations.recognised(grid)) is not None]
    else:
        guesses = [(grid, _likeliest(grid, looked_at)) for grid in visible]
        best = max(guesses, key=lambda guess: len(guess[1].columns), default=None)
        sheets = [_sheet(best[0], looked_at, None, best[1], _lacking(looked_at, best[1]))] if best else []
    if kind is None:
        sheets = [replace(sheet, kind="") for sheet in sheets]
    return Recognition(file, kind or "", used.mapping.name if used else "", tuple(sheets))


def mapping_of(sheet: SheetRead, name: str, fields: Mapping[str, str] | None = None, kind: str = "") -> ColumnMapping:
    """The mapping that says outright what was recognised on a sheet: every column, by heading where that is plain.

    fields : column letter -> field, where it is another than was recognised; "" for one that is not used.
    """
    headings = Counter(one.heading.casefold() for one in sheet.columns)
    columns: dict[str, tuple[str, ...]] = {}
    not_used: list[str] = []
    for one in sheet.columns:
        said = one.heading if one.heading and headings[one.heading.casefold()] == 1 else one.letter
        field = (fields or {}).get(one.letter, one.field)
        if field:
            columns[field] = (*columns.get(field, ()), said)
        else:
            not_used.append(said)
    return ColumnMapping(
        name, columns, kind=kind or sheet.kind or "bid-tab", header_row=sheet.header_row, not_used=tuple(not_used)
    )


# --- one sheet ----------------------------------------------------------------------------------------------------


def _known(grid: Grid, kind: str) -> tuple[Layout | None, Header] | None:
    """The headings of a sheet as its reader would find them."""
    if kind == "bid-tab":
        return fit(grid)
    if kind == "cost-index":
        header = headings_found(grid)
    elif kind == "nbi":
        header = nbi.headings_found(grid)
    elif kind == "proposals":
        header = quotations.header_of(grid)
    elif kind in KINDS_TOLD:
        header = lists.header_of(grid, stems_of(kind), required_of(kind))
    else:
        header = None
    return (None, header) if header else None


def _totals_only(visible: Sequence[Grid]) -> list[SheetRead]:
    """The sheets of a file that gives contracts by their totals: a printed report, or summaries of contracts."""
    if opened.is_report(visible):
        return [opened.recognised(visible[0])]
    found = [(grid, header) for grid in visible if (header := summary.header_of(grid)) is not None]
    return [_sheet(grid, "bid-tab", summary.LAYOUT, header, ()) for grid, header in found]


def _has_bidders(grid: Grid, layout: Layout | None, header: Header) -> bool:
    """Whether bidders stand above the columns of a sheet; always, where each row names its bidder."""
    if layout is None or layout.shape != "wide":
        return True
    try:
        return bool(bidder_blocks(grid, header))
    except BadValue:
        return True  # the reader will say what is wrong


def _likeliest(grid: Grid, kind: str) -> Header:
    """The row that looks most like headings: most texts, words known counting double; the first of them."""
    best = Header(-1, {}, ())
    most = 0
    for index, row in enumerate(grid.rows[:_WITHIN]):
        columns = match_headings(row, stems_of(kind))
        weight = 2 * len(columns) + sum(isinstance(cell, str) and bool(cell.strip()) for cell in row)
        if weight > most:
            best, most = Header(index, columns, tuple(tidy(cell) for cell in row)), weight
    return best


def _at(grid: Grid, row: int, kind: str) -> Header:
    return Header(row, match_headings(grid.rows[row], stems_of(kind)), tuple(tidy(cell) for cell in grid.rows[row]))


def _sheet(grid: Grid, kind: str, layout: Layout | None, header: Header, unsure: tuple[str, ...]) -> SheetRead:
    fields = _fields(header, kind, layout)
    below = [row for row in grid.rows[header.row + 1 : header.row + 200] if not is_blank(row)]
    width = max([len(header.names), *(len(row) for row in below)], default=0)
    names = [*header.names, *[""] * (width - len(header.names))]
    columns = tuple(
        ColumnRead(letter(place), name, fields.get(place, ""), _first_values(below, place))
        for place, name in enumerate(names)
        if name or fields.get(place) or _first_values(below, place)
    )
    day, place = _letting(grid, kind, layout, header)
    reasons = [*unsure, *_doubts(grid, kind, header, fields)]
    if kind == "bid-tab" and not day:
        reasons.append("no letting date stands in a column, above the headings or in the file's name")
    title = layout.name if layout else {"cost-index": "index"}.get(kind, "list" if kind != "bid-tab" else "")
    return SheetRead(
        grid.sheet,
        kind,
        title,
        header.row + 1 if header.row >= 0 else None,
        columns,
        day,
        place,
        _first_rows(below, fields),
        tuple(filter(None, reasons)),
    )


def _fields(header: Header, kind: str, layout: Layout | None) -> dict[int, str]:
    """Column -> the field its reader takes it for; a second column of the same field is not used."""
    several = takes_several(kind) if layout is None or layout.shape == "wide" else ()
    return {
        column: name
        for name, columns in header.columns.items()
        for column in (columns if name in several else columns[:1])
    }


def _first_values(below: Sequence[Sequence[Cell]], place: int) -> tuple[str, ...]:
    shown = (cells.text(row[place]) for row in below if place < len(row))
    return tuple(list(dict.fromkeys(text for text in shown if text))[:FIRST_ROWS])


def _first_rows(below: Sequence[Sequence[Cell]], fields: Mapping[int, str]) -> tuple[dict[str, str], ...]:
    """The first rows that fill at least half of the columns used, field by field."""
    found = []
    for row in below:
        told: dict[str, str] = {}
        for place, name in sorted(fields.items()):
            if place < len(row) and (text := cells.text(row[place])):
                told.setdefault(name, text)
        if told and len(told) * 2 >= len(set(fields.values())):
            found.append(told)
        if len(found) == FIRST_ROWS:
            break
    return tuple(found)


def _letting(grid: Grid, kind: str, layout: Layout | None, header: Header) -> tuple[str, str]:
    """The letting date of a bid tab and where it was found; of a column its first value."""
    if kind != "bid-tab":
        return "", "not needed"
    column = header.column(_LETTING_DATE)
    if column is not None:
        values = _first_values(grid.rows[header.row + 1 : header.row + 200], column)
        heading = header.names[column] or letter(column)
        return (values[0], f"column “{heading}”") if values else ("", f"column “{heading}” is blank")
    try:
        found = above.letting_date_found(grid, max(header.row, 0), layout or layouts()[1])
    except BadValue as problem:
        return "", str(problem).splitlines()[0]
    return (found[0].isoformat(), found[1]) if found else ("", "not found")


def _doubts(grid: Grid, kind: str, header: Header, fields: Mapping[int, str]) -> list[str]:
    """What may make the reading wrong although headings were found."""
    if header_told(grid):
        return []
    reasons = []
    for name, columns in header.columns.items():
        alike = [column for column in columns if header.names[column] == header.names[columns[0]] != ""]
        if len(alike) > 1 and any(column not in fields for column in alike):
            where = " and ".join(map(letter, alike))
            heading = header.names[alike[0]]
            reasons.append(f"the heading “{heading}” stands above the columns {where}; the first is {name}")
    filled = [f"{letter(column)} ({fields[column]})" for column in fields if not header.names[column]]
    if filled:
        reasons.append(f"columns without a heading were told by what stands in them: {', '.join(filled)}")
    return reasons


def _lacking(kind: str, header: Header) -> tuple[str, ...]:
    """Why the headings are not enough, by the layout or alternative that lacks fewest; nothing if they are."""
    if not header.names:
        return ("no row looks like headings",)
    wanted = [layout.required for layout in layouts()] if kind == "bid-tab" else required_of(kind)
    lacking = min(([name for name in names if name not in header.columns] for names in wanted), key=len, default=[])
    return (f"no heading of row {header.row + 1} was recognised as {', '.join(lacking)}",) if lacking else ()

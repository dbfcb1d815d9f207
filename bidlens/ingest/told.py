"""A mapping laid upon the sheets of a file: each heading and letter told becomes a column of the sheet.

Readers ask `headers.header_told` before they look for headings themselves.
"""

from __future__ import annotations

import difflib
import importlib
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from bidlens.errors import BadValue
from bidlens.findings import Finding
from bidlens.ingest import lists
from bidlens.ingest.grid import Cell, Grid, is_blank
from bidlens.ingest.headers import FieldStems, Header, header_told, match_headings, tidy
from bidlens.ingest.layout import fields
from bidlens.ingest.mapping import (
    KINDS_TOLD,
    ColumnMapping,
    fewest_missing,
    field_names,
    layout_of,
    parse_mapping,
    with_field_names,
)  # fmt: skip
from bidlens.ingest.proposal_fields import nearest
from bidlens.ingest.said import Told

_SEVERAL = {"bid-tab": ("unit_price", "amount", "estimate_price"), "cost-index": ("value",)}
_LETTERS = re.compile(r"[A-Za-z]{1,3}")
_WITHIN = 60
_FEWEST_HEADINGS = 2


@dataclass(frozen=True, slots=True)
class KeptMapping:
    """A mapping as the record keeps it. headings : fingerprint of the heading row it was made for."""

    name: str
    kind: str
    layout: str
    headings: str
    toml: str


@dataclass(frozen=True, slots=True)
class Used:
    """What a mapping did to a file: the mapping, the fingerprint of its headings, whether it came from the record."""

    mapping: ColumnMapping
    headings: str
    from_record: bool

    def to_keep(self) -> KeptMapping | None:
        """The mapping as it is to be kept; None where it is on record already, or tells no column."""
        if self.from_record or not (self.mapping.columns or self.mapping.not_used):
            return None
        mapping = self.mapping.for_later_files()
        return KeptMapping(mapping.name, mapping.kind, mapping.layout, self.headings, mapping.as_toml())


def heading_fingerprint(row: Iterable[Cell]) -> str:
    """The headings of a row, case and blanks set aside; two files with the same one are laid out alike."""
    return " | ".join(_normal(cell) for cell in row).rstrip(" |")


def letter(column: int) -> str:
    """The letter of a column counted from 0: A, B, ... Z, AA."""
    said = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        said = chr(65 + rest) + said
    return said


def apply(
    grids: list[Grid], mapping: ColumnMapping | None, kept: Sequence[KeptMapping] = (), kind: str | None = None
) -> tuple[list[Grid], Used | None]:
    """The sheets with what was told about them, and the mapping used: the one given, else one kept for these headings.

    kind : what the file was said to be; a kept mapping of another kind is not used.
    Raises BadValue where a mapping given does not fit the file, with the headings there are.
    """
    if mapping is not None:
        if not mapping.columns and not mapping.not_used and mapping.header_row is None:
            said, used = apply(grids, None, kept, kind)
            return [_with_facts(grid, mapping) for grid in said], used
        return _apply(grids, mapping, kind)
    for candidate in kept:
        if kind in (None, candidate.kind) and (row := _row_with(grids, candidate.headings)) is not None:
            known = parse_mapping(candidate.toml, f"mapping “{candidate.name}”")
            told, used = _apply(grids, replace(known, header_row=row + 1), candidate.kind, candidate.headings)
            return told, replace(used, from_record=True)
    return grids, None


def note(used: Used, grids: Sequence[Grid]) -> Finding:
    """The Finding that says which mapping was used, and for which columns."""
    grid = next(grid for grid in grids if grid.told is not None and grid.told.columns)
    header = header_told(grid)
    said = ", ".join(
        f"“{header.names[column] or letter(column)}” is {name}"  # type: ignore[union-attr]
        for name in used.mapping.columns
        for column in header.columns[name]  # type: ignore[union-attr]
    )
    kept = "kept on record" if used.from_record else f"told in {used.mapping.source}"
    do = "If it is not meant for this file, take the import back and remove the mapping (bidlens mappings --forget)."
    return Finding(
        "columns_told",
        "note",
        f"The columns are read by the mapping “{used.mapping.name}”, {kept}: {said}.",
        do if used.from_record else "",
        grid.place(header.row),  # type: ignore[union-attr]
    )


# --- one mapping on all sheets ------------------------------------------------------------------------------------


def _apply(
    grids: list[Grid], mapping: ColumnMapping, kind: str | None, headings: str | None = None
) -> tuple[list[Grid], Used]:
    mapping = _for_kind(mapping, kind)
    visible = [grid for grid in grids if not grid.hidden and (not mapping.sheet or grid.sheet == mapping.sheet)]
    if not visible:
        titles = [grid.sheet for grid in grids if not grid.hidden]
        raise BadValue(
            f"there is no sheet “{mapping.sheet}”",
            where=mapping.source,
            do=f"{nearest(mapping.sheet, titles)}Sheets: {', '.join(titles)}.",
        )
    rows = {id(grid): row for grid in visible if (row := _heading_row(grid, mapping, headings)) is not None}
    if not rows:
        raise _no_such_heading(_likeliest(visible, mapping), mapping)
    told = [_told(grid, rows[id(grid)], mapping) if id(grid) in rows else grid for grid in grids]
    first = next(grid for grid in told if id(grid) not in set(map(id, grids)))
    return told, Used(mapping, heading_fingerprint(first.rows[first.told.row]), from_record=False)  # type: ignore[union-attr]


def _for_kind(mapping: ColumnMapping, kind: str | None) -> ColumnMapping:
    """The mapping for the kind it names, the kind asked for, or the first whose fields it uses."""
    if mapping.kind and kind and mapping.kind != kind:
        raise BadValue(
            f"the mapping is for a {mapping.kind} file, not {kind}",
            where=mapping.source,
            do="Let the kind be recognised (no --kind).",
        )
    wanted = mapping.kind or kind
    if wanted and wanted not in KINDS_TOLD:
        raise BadValue(f"columns of a {wanted} file are not told", where=mapping.source, do="Leave out the mapping.")
    if not wanted:
        fitting = [one for one in KINDS_TOLD if set(mapping.columns) <= {*field_names(one)}]
        wanted = fitting[0] if fitting else "bid-tab"
    return with_field_names(mapping, wanted)


def _heading_row(grid: Grid, mapping: ColumnMapping, headings: str | None) -> int | None:
    """The row (from 0) that has every heading told; None if the sheet has none."""
    if headings is not None:
        return _row_with([grid], headings)
    if mapping.header_row is not None:
        row = mapping.header_row - 1
        return row if row < len(grid.rows) and not is_blank(grid.rows[row]) and not _lost(grid, row, mapping) else None
    if all(_LETTERS.fullmatch(name) for name in _said(mapping)) and not any(
        _by_heading(row, _said(mapping)) for row in grid.rows[:_WITHIN]
    ):
        raise BadValue(
            "the mapping names columns by letter only, so the row of the headings is not known",
            where=mapping.source,
            do="Add header_row = the row of the headings, counted from 1.",
        )
    return next(
        (
            index
            for index, row in enumerate(grid.rows[:_WITHIN])
            if _by_heading(row, _said(mapping)) and not _lost(grid, index, mapping)
        ),
        None,
    )


def _told(grid: Grid, row: int, mapping: ColumnMapping) -> Grid:
    columns: dict[str, tuple[int, ...]] = {}
    taken: dict[int, str] = {}
    for name, said in mapping.columns.items():
        found = [column for one in said for column in _places(grid, row, one)]
        columns[name] = tuple(dict.fromkeys(found))
        if len(columns[name]) > 1 and name not in takes_several(mapping.kind):
            where = " and ".join(letter(column) for column in columns[name])
            raise BadValue(
                f"{name} is told to be the columns {where}", where=mapping.source, do="Say which one, by its letter."
            )
        for column in columns[name]:
            if column in taken:
                shown = tidy(grid.rows[row][column]) if column < len(grid.rows[row]) else ""
                raise BadValue(
                    f"the column “{shown}” ({letter(column)}) is told to be {taken[column]} and {name}",
                    where=mapping.source,
                    do="Each column is one thing: change one of the two lines.",
                )
            taken[column] = name
    out = {*taken, *(column for one in mapping.not_used for column in _places(grid, row, one))}
    columns |= _by_words(grid.rows[row], mapping, out)
    told = Told(row, columns, "", mapping.letting_date, mapping.contract)
    return replace(grid, told=_checked(replace(grid, told=told), mapping))


def _by_words(row: Sequence[Cell], mapping: ColumnMapping, out: set[int]) -> dict[str, tuple[int, ...]]:
    """Columns the mapping does not speak of, named by their own headings."""
    if mapping.kind == "cost-index":
        return {}
    found = {
        name: tuple(column for column in columns if column not in out)
        for name, columns in match_headings(row, stems_of(mapping.kind)).items()
        if name not in mapping.columns
    }
    return {name: columns for name, columns in found.items() if columns}


def _checked(grid: Grid, mapping: ColumnMapping) -> Told:
    """What was told, with its layout. Raises BadValue where a column the kind needs is not told."""
    told = grid.told
    assert told is not None
    header = header_told(grid) or Header(told.row, {}, tuple(map(tidy, grid.rows[told.row])))
    missing = fewest_missing(mapping, mapping.kind, header, required_of(mapping.kind))
    if missing:
        used = {column for columns in header.columns.values() for column in columns}
        free = [f"{letter(column)} “{name}”" for column, name in enumerate(header.names) if name and column not in used]
        raise BadValue(
            f"no column is told to be {' or '.join(missing) if len(missing) < 2 else ', '.join(missing)}",
            where=f"{mapping.source}, for {grid.place(header.row)}",
            do=f"Add {missing[0]} = the heading or letter. Columns not used yet: {', '.join(free) or 'none'}.",
        )
    layout = layout_of(mapping, header) if mapping.kind == "bid-tab" else None
    return replace(told, layout=layout.name if layout else "")


def takes_several(kind: str) -> tuple[str, ...]:
    """The fields that may have several columns: bidders side by side, and the series of an index."""
    return _SEVERAL.get(kind, ())


def stems_of(kind: str) -> Mapping[str, FieldStems]:
    """The heading words of a kind of file."""
    if kind == "bid-tab":
        return fields()
    return {} if kind in ("cost-index", "nbi") else lists.stems_of(kind)


def required_of(kind: str) -> Sequence[tuple[str, ...]]:
    """The columns a kind of file needs, as alternatives; those of a bid tab depend on its layout."""
    if kind in ("bid-tab", "nbi"):
        return ()
    if kind == "cost-index":
        return (("quarter", "value"),)
    return importlib.import_module(f"bidlens.ingest.{kind}").REQUIRED


# --- headings and letters -----------------------------------------------------------------------------------------


def _normal(cell: object) -> str:
    return tidy(cell).casefold()


def _said(mapping: ColumnMapping) -> list[str]:
    return [name for names in (*mapping.columns.values(), mapping.not_used) for name in names]


def _by_heading(row: Sequence[Cell], names: Iterable[str]) -> int:
    """How many of the names are headings of the row."""
    here = {_normal(cell) for cell in row} - {""}
    return sum(_normal(name) in here for name in names)


def _places(grid: Grid, row: int, name: str) -> list[int]:
    """The columns a heading or letter stands for; a heading goes before a letter of the same look."""
    found = [column for column, cell in enumerate(grid.rows[row]) if _normal(cell) == _normal(name)]
    if found or not _LETTERS.fullmatch(name.strip()):
        return found
    column = 0
    for sign in name.strip().upper():
        column = column * 26 + ord(sign) - 64
    width = max((len(cells_here) for cells_here in grid.rows[row : row + 200]), default=0)
    return [column - 1] if column <= width else []


def _lost(grid: Grid, row: int, mapping: ColumnMapping) -> list[str]:
    return [name for name in _said(mapping) if not _places(grid, row, name)]


def _row_with(grids: Iterable[Grid], headings: str) -> int | None:
    for grid in (grid for grid in grids if not grid.hidden):
        for index, row in enumerate(grid.rows[:_WITHIN]):
            texts = sum(isinstance(cell, str) and bool(cell.strip()) for cell in row)
            if texts >= _FEWEST_HEADINGS and heading_fingerprint(row) == headings:
                return index
    return None


def _likeliest(grids: Sequence[Grid], mapping: ColumnMapping) -> tuple[Grid, int]:
    """The sheet and row (from 0) the mapping most likely speaks of."""
    if mapping.header_row is not None:
        long_enough = [grid for grid in grids if len(grid.rows) >= mapping.header_row]
        if not long_enough:
            raise BadValue(
                f"header_row is {mapping.header_row}, but the file has {max(len(grid.rows) for grid in grids)} rows",
                where=mapping.source,
                do="Give the row of the headings, counted from 1.",
            )
        return long_enough[0], mapping.header_row - 1
    places = [(grid, index) for grid in grids for index in range(min(len(grid.rows), _WITHIN))]
    texts = _said(mapping)
    return max(
        places,
        key=lambda place: (
            _by_heading(place[0].rows[place[1]], texts),
            sum(isinstance(cell, str) and bool(cell) for cell in place[0].rows[place[1]]),
        ),
    )


def _no_such_heading(place: tuple[Grid, int], mapping: ColumnMapping) -> BadValue:
    grid, row = place
    headings = [tidy(cell) for cell in grid.rows[row]]
    lost = _lost(grid, row, mapping)
    shown = ", ".join(f"{letter(column)} “{name}”" for column, name in enumerate(headings) if name) or "none"
    if not lost:
        return BadValue("the row of the headings is blank", where=f"{mapping.source}, for {grid.place(row)}",
                        do="Give header_row, counted from 1.")  # fmt: skip
    near = _nearest_heading(lost[0], headings)
    return BadValue(
        f"“{lost[0]}” is neither a heading nor the letter of a column",
        where=f"{mapping.source}, for {grid.place(row)}",
        do=f"{near}Headings of row {row + 1}: {shown}. If they stand in another row, give header_row.",
    )


def _nearest_heading(name: str, headings: Sequence[str]) -> str:
    by_normal = {_normal(heading): heading for heading in headings if heading}
    found = difflib.get_close_matches(_normal(name), by_normal, n=1, cutoff=0.6)
    return f"Did you mean “{by_normal[found[0]]}”? " if found else ""


def _with_facts(grid: Grid, mapping: ColumnMapping) -> Grid:
    """A sheet whose columns were recognised, with the letting date and contract told."""
    known = grid.told or Told(0, {}, "", None, "")
    return replace(
        grid,
        told=replace(
            known,
            letting_date=mapping.letting_date or known.letting_date,
            contract=mapping.contract or known.contract,
        ),
    )

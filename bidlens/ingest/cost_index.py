"""A cost index: quarters or dates beside one or more series of values.

Read are the published NHCCI table (`quarter`, the raw and the adjusted series, then contribution columns, which are not
used), a date beside one or several series as statistical agencies print them, and plain quarter and value. Monthly
values are averaged over complete quarters only. A hole in the middle, a repeat and a value that is not positive are
errors: an index with a wrong quarter gives wrong prices everywhere.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from bidlens import quarters
from bidlens.batch import SET_ASIDE_COLUMNS, Batch, no_rows_set_aside
from bidlens.errors import BadValue, MissingReference, Place, UnreadableFile
from bidlens.findings import Finding
from bidlens.ingest import cells, lists
from bidlens.ingest.grid import Cell, Grid, is_blank, read_grids
from bidlens.ingest.headers import Header, header_told, words_of
from bidlens.reference import CostIndex

KIND = "cost-index"
RAW, ADJUSTED = "NHCCI", "NHCCI SA"

_PERIOD_HEADINGS = {("quarter",), ("date",), ("observation", "date"), ("month",), ("period",), ("year", "quarter")}
_VALUE_HEADINGS = {("value",), ("index",), ("values",), ("index", "value")}
_MISSING = frozenset({"", ".", "na", "n/a", "#n/a", "nan", "-", "null"})
_CONTRIBUTION = ("pct", "change")
_MONTH = re.compile(r"^(\d{4})[-/ ](\d{1,2})$")
_YEAR = re.compile(r"^(\d{4})(?:\.0)?$")
_QUARTER_OF_YEAR = re.compile(r"^(?:q|qtr\.?\s*)?([1-4])(?:st|nd|rd|th)?(?:\s*q(?:uarter|tr)?\.?)?$", re.IGNORECASE)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_PARTS_OF_A_YEAR = {("quarter",), ("qtr",), ("q",), ("month",), ("mo",)}
_HOW_TO_LAY_OUT = "Put the headings quarter and value (or date and value) above the rows; write quarters as 2026Q1."


@dataclass(frozen=True, slots=True)
class _Sheet:
    """The part of a sheet that is an index: heading row, and the rows below as cells of equal meaning.

    The period stands first in headings and rows; period_columns : how many columns of the sheet it was put together of.
    """

    grid: Grid
    header_row: int
    headings: tuple[str, ...]
    rows: tuple[tuple[int, tuple[Cell, ...]], ...]  # row index, cells
    period_columns: int = 1


@dataclass(frozen=True, slots=True)
class _Reading:
    """One value: months since year 0 of its period (a quarter's first month), the number, and its row."""

    month: int
    value: float
    place: Place


def looks_like(grids: Sequence[Grid]) -> bool:
    """The file is an index: a period column first, and under it quarters or dates with numbers beside them."""
    sheet = _find(grids)
    if sheet is None or lists.holds_bid_prices(grids):
        return False
    dated = [row for _, row in sheet.rows if _period(row[0]) is not None]
    return bool(dated) and all(_looks_numeric(cell) for row in dated for cell in row[1:])


def read(grids: Sequence[Grid], sha256: str) -> Batch:
    """Every series of the file as rows of `index_series` and `index_value`; release is its last quarter.

    Raises UnreadableFile without headings or values, BadValue for holes, repeats and values that are not positive.
    """
    sheet = _find(grids)
    if sheet is None:
        raise UnreadableFile("no row names a quarter or date column", where=grids[0].file, do=_HOW_TO_LAY_OUT)
    used, unused = _series_columns(sheet)
    monthly = _is_monthly(sheet)
    findings, series_rows, values = lists.left_beside(grids, sheet.grid), [], []
    for column, name in used.items():
        by_quarter, doubts = _series(sheet, column, name, monthly)
        findings += doubts
        release = max(by_quarter, key=quarters.position)
        series_rows.append((name, release, _adjusted(sheet.headings[column], name), sheet.grid.file))
        values += [(name, release, quarter, value) for quarter, value in by_quarter.items()]
    if unused:
        text = f"{len(unused)} columns of contributions to the change are not used."
        findings.append(Finding("columns_ignored", "note", text, place=sheet.grid.place(sheet.header_row)))
    tables = {
        "index_series": pd.DataFrame(series_rows, columns=["series", "release", "seasonally_adjusted", "source_file"]),
        "index_value": pd.DataFrame(values, columns=["series", "release", "quarter", "value"]),
    }
    set_aside = _set_aside(sheet)
    rows_read = sum(not is_blank(row) for row in sheet.grid.rows)
    layout = "monthly index" if monthly else "quarterly index"
    return Batch(sheet.grid.file, sha256, KIND, layout, rows_read, len(values), tables, set_aside, findings)


def index_from_file(path: str | Path, series: str | None = None, name: str | None = None) -> CostIndex:
    """The cost index a file holds. series : which, where it holds several; the raw NHCCI of an NHCCI table.

    name : shown name if the path is a temporary copy. Raises as `read`, and BadValue for a series not in the file.
    """
    batch = read(read_grids(path, name), "")
    held = list(batch.tables["index_series"]["series"])
    wanted = series or (held[0] if len(held) == 1 or held[0] == RAW else None)
    by_lower = {one.lower(): one for one in held}
    if wanted is None or wanted.lower() not in by_lower:
        said = f"holds no series “{wanted}”" if wanted else f"holds {len(held)} series"
        raise BadValue(f"the file {said}", where=batch.source_file, do=f"Name one of: {', '.join(held)}.")
    return index_of_rows(by_lower[wanted.lower()], batch.tables["index_series"], batch.tables["index_value"])


def index_from_frame(
    frame: pd.DataFrame, name: str = "index", *, seasonally_adjusted: bool | None = None, source: str = ""
) -> CostIndex:
    """A cost index from a frame with columns quarter ("2024Q2") and value, in any order of rows; release is the last.

    Raises BadValue for missing columns or quarters that cannot be read, MissingReference for holes and repeats.
    """
    missing = {"quarter", "value"} - set(frame.columns)
    if missing:
        raise BadValue(f"the index has no column {' or '.join(sorted(missing))}", do="Give columns quarter and value.")
    told = pd.Series(frame["value"].to_numpy(dtype=float), index=[quarters.parse_quarter(q) for q in frame["quarter"]])
    told = told.sort_index()
    if told.empty:
        raise BadValue(f"the index {name} holds no values", do="Give columns quarter and value.")
    return CostIndex(name, told.index[-1], seasonally_adjusted, tuple(told.index), told.to_numpy(), source=source)


def index_of_rows(name: str, series: pd.DataFrame, values: pd.DataFrame, release: str | None = None) -> CostIndex:
    """A series by name from rows of the tables `index_series` and `index_value`.

    release : its latest unless one is named. Raises MissingReference, naming the series on record, for a name or
    release that is not there.
    """
    own = series[series["series"].str.lower() == name.lower()]
    own = own if release is None else own[own["release"] == release]
    if own.empty:
        known = ", ".join(sorted(set(series["series"]))) or "none"
        raise MissingReference(f"there is no cost index “{name}”", do=f"Imported series: {known}. Shipped: nhcci.")
    row = max(own.to_dict("records"), key=lambda one: quarters.position(one["release"]))
    of_it = values[(values["series"] == row["series"]) & (values["release"] == row["release"])]
    adjusted = None if pd.isna(row["seasonally_adjusted"]) else bool(row["seasonally_adjusted"])
    return index_from_frame(of_it, str(row["series"]), seasonally_adjusted=adjusted, source=str(row["source_file"]))


def headings_found(grid: Grid) -> Header | None:
    """The heading row of a sheet as this reader finds it: the period's column, and those of values."""
    sheet = _find([grid])
    if sheet is None or (told := header_told(grid)):
        return told if sheet else None
    used, _ = _series_columns(sheet)
    left = sheet.period_columns
    fields = {"quarter": tuple(range(left)), "value": tuple(column + left - 1 for column in used)}
    return Header(sheet.header_row, fields, tuple(map(cells.text, _parted(grid.rows[sheet.header_row]))))


# --- finding the table --------------------------------------------------------------------------------------------


def _find(grids: Sequence[Grid]) -> _Sheet | None:
    """The first visible sheet with a period heading in its first column and something beside it."""
    for grid in (grid for grid in grids if not grid.hidden):
        if told := header_told(grid):
            return _as_told(grid, told)
        for index, row in enumerate(grid.rows[:60]):
            parted = _parted(row)
            if len(parted) > 2 and words_of(parted[0]) == ("year",) and words_of(parted[1]) in _PARTS_OF_A_YEAR:
                return _by_year_and_part(grid, index, parted)
            if len(parted) > 1 and words_of(parted[0]) in _PERIOD_HEADINGS and not is_blank(list(parted[1:])):
                below = enumerate(grid.rows[index + 1 :], start=index + 1)
                rows = tuple((at, _parted(cells_here)) for at, cells_here in below if not is_blank(cells_here))
                return _Sheet(grid, index, tuple(cells.text(cell) for cell in parted), rows)
    return None


def _by_year_and_part(grid: Grid, header_row: int, parted: Sequence[Cell]) -> _Sheet:
    """A table with the year in one column and the quarter or month in the next, as one with both in the first."""
    of_months = words_of(parted[1])[0].startswith("mo")
    below = [(at, row) for at, row in enumerate(grid.rows) if at > header_row and not is_blank(row)]
    rows = tuple((at, (_joined(row[0], row[1], of_months), *row[2:])) for at, row in below if len(row) > 1)
    headings = (f"{cells.text(parted[0])} {cells.text(parted[1])}", *map(cells.text, parted[2:]))
    return _Sheet(grid, header_row, headings, rows, 2)


def _joined(year: Cell, part: Cell, of_months: bool) -> str:
    """2031 and 2 as 2031Q2, or as 2031-02; empty where either is none."""
    shown = cells.text(part).lower()
    match = _YEAR.match(cells.text(year))
    if not of_months:
        quarter = _QUARTER_OF_YEAR.match(shown)
        return f"{match[1]}Q{quarter[1]}" if match and quarter else ""
    number = int(shown) if shown.isdigit() else _MONTHS.index(shown[:3]) + 1 if shown[:3] in _MONTHS else 0
    return f"{match[1]}-{number:02d}" if match and number else ""


def _as_told(grid: Grid, told: Header) -> _Sheet:
    """The columns told, the period first, as the rest of this room expects them."""
    order = (told.columns["quarter"][0], *told.columns["value"])
    names = tuple(told.names[column] or f"column {column + 1}" for column in order)
    below = enumerate(grid.rows[told.row + 1 :], start=told.row + 1)
    rows = [
        (at, tuple(here[column] if column < len(here) else "" for column in order))
        for at, here in below
        if not is_blank(here)
    ]
    return _Sheet(grid, told.row, names, tuple(rows))


def _parted(row: Sequence[Cell]) -> tuple[Cell, ...]:
    """The cells of a row; a text page's single cell is parted at its blanks."""
    if len(row) == 1 and isinstance(row[0], str):
        pieces = row[0].split()
        return tuple(pieces) if len(pieces) == 2 else (row[0],)
    return tuple(row)


def _looks_numeric(cell: Cell) -> bool:
    if isinstance(cell, str) and cell.strip().lower() in _MISSING:
        return True
    try:
        return cells.number(cell, 9) is not None
    except ValueError:
        return False


def _series_columns(sheet: _Sheet) -> tuple[dict[int, str], list[str]]:
    """Column -> series name, and the headings of contribution columns."""
    used: dict[int, str] = {}
    unused = []
    for column, heading in enumerate(sheet.headings[1:], start=1):
        words = words_of(heading)
        if not words:
            continue
        if all(part in words for part in _CONTRIBUTION):
            unused.append(heading)
        else:
            used[column] = _series_name(heading, words, sheet.grid.file)
    repeated = {name for name in used.values() if list(used.values()).count(name) > 1}
    if repeated:
        raise BadValue(
            f"two columns are the series {', '.join(sorted(repeated))}",
            where=sheet.grid.place(sheet.header_row),
            do="Give each series its own heading.",
        )
    if not used:
        raise UnreadableFile("no column holds index values", where=sheet.grid.file, do=_HOW_TO_LAY_OUT)
    return used, unused


def _series_name(heading: str, words: tuple[str, ...], file: str) -> str:
    if words[0] == "nhcci":
        return RAW if len(words) == 1 else ADJUSTED if "adjusted" in words or "sa" in words else heading
    return Path(file).stem if words in _VALUE_HEADINGS else heading


def _adjusted(heading: str, name: str) -> bool | None:
    """Whether a series is seasonally adjusted, where its heading says so."""
    if name in (RAW, ADJUSTED):
        return name == ADJUSTED
    words = words_of(heading)
    if "adjusted" not in words and not {"sa", "nsa"} & set(words):
        return None
    return "not" not in words and "unadjusted" not in words and "nsa" not in words


def _set_aside(sheet: _Sheet) -> pd.DataFrame:
    grid = sheet.grid
    above = [(at, "above the column headings") for at in range(sheet.header_row) if not is_blank(grid.rows[at])]
    undated = [(at, "no quarter or date in the first column") for at, row in sheet.rows if _period(row[0]) is None]
    if not above and not undated:
        return no_rows_set_aside()
    rows = [(grid.file, grid.sheet, at + 1, why, lists.shown_row(grid, at)) for at, why in above + undated]
    return pd.DataFrame(rows, columns=list(SET_ASIDE_COLUMNS))


# --- periods and values -------------------------------------------------------------------------------------------


def _period(cell: Cell) -> tuple[int, bool] | None:
    """Months since year 0 of a quarter or date, and whether it is written as a quarter; None if it is neither."""
    shown = cells.text(cell)
    try:
        quarter = quarters.parse_quarter(shown)
        return quarters.position(quarter) * 3, True
    except BadValue:
        pass
    if match := _MONTH.match(shown):
        year, month = int(match[1]), int(match[2])
        return (year * 12 + month - 1, False) if 1 <= month <= 12 else None
    try:
        day = cells.date(cell)
    except BadValue:
        return _old_day(shown)
    return None if day is None else (day.year * 12 + day.month - 1, False)


def _old_day(shown: str) -> tuple[int, bool] | None:
    """A day before the reach of letting dates: indexes may begin in 1913."""
    match = re.match(r"^(1[89]\d{2})-(\d{2})-\d{2}$", shown)
    return (int(match[1]) * 12 + int(match[2]) - 1, False) if match and 1 <= int(match[2]) <= 12 else None


def _is_monthly(sheet: _Sheet) -> bool:
    """Dates that do not all lie whole quarters apart are months."""
    periods = [found for _, row in sheet.rows if (found := _period(row[0]))]
    if any(as_quarter for _, as_quarter in periods):
        return False
    months = sorted({month for month, _ in periods})
    return len(months) < 2 or any((later - months[0]) % 3 for later in months)


def _readings(sheet: _Sheet, column: int) -> list[_Reading]:
    """The values of one column in order of time. Raises BadValue for unreadable or repeated ones."""
    found: dict[int, _Reading] = {}
    for at, row in sheet.rows:
        period = _period(row[0])
        cell = row[column] if column < len(row) else ""
        if period is None or (isinstance(cell, str) and cell.strip().lower() in _MISSING):
            continue
        reading = _Reading(period[0], *_value(cell, sheet.grid.place(at, sheet.headings[column])))
        if reading.month in found:
            first = found[reading.month].place.row
            raise BadValue(
                f"{cells.text(row[0])} stands in row {first} and again in row {at + 1}",
                where=reading.place,
                do="Keep one of the rows.",
            )
        found[reading.month] = reading
    return [found[month] for month in sorted(found)]


def _value(cell: Cell, place: Place) -> tuple[float, Place]:
    do = "Correct the cell; a missing value is left empty or written as a full stop."
    try:
        read = cells.number(cell, 9)
    except ValueError as error:
        raise BadValue(f"cannot read “{cell}” as an index value", where=place, do=do) from error
    if read is None or read <= 0:
        raise BadValue(f"the index value is “{cell}”; an index is above zero", where=place, do=do)
    return float(read), place


def _series(sheet: _Sheet, column: int, name: str, monthly: bool) -> tuple[dict[str, float], list[Finding]]:
    """Quarter -> value of one series, without a hole, and what was left out at its ends."""
    readings = _readings(sheet, column)
    by_month = {reading.month: reading.value for reading in readings}
    held: dict[str, list[float]] = {}
    for month, value in by_month.items():
        held.setdefault(_quarter(month), []).append(value)
    whole = {quarter: float(np.mean(values)) for quarter, values in held.items() if not monthly or len(values) == 3}
    if not whole:
        raise BadValue(f"the series {name} holds no complete quarter", where=sheet.grid.file, do=_HOW_TO_LAY_OUT)
    first, last = min(whole, key=quarters.position), max(whole, key=quarters.position)
    _refuse_holes(name, whole, by_month if monthly else {}, first, last, sheet.grid.file)
    ends = [quarter for quarter in held if quarter not in whole]
    return whole, [_left_out(name, quarter, len(held[quarter]), sheet.grid.file) for quarter in ends]


def _refuse_holes(
    name: str, whole: Mapping[str, float], by_month: Mapping[int, float], first: str, last: str, file: str
) -> None:
    span = range(quarters.position(last) - quarters.position(first) + 1)
    holes = [quarter for by in span if (quarter := quarters.step(first, by)) not in whole]
    if not holes:
        return
    start = quarters.position(holes[0]) * 3
    months = [f"{month // 12}-{month % 12 + 1:02d}" for month in range(start, start + 3) if month not in by_month]
    without = f" (months without a value: {', '.join(months)})" if by_month else ""
    more = f" and {len(holes) - 1} more" if len(holes) > 1 else ""
    raise BadValue(
        f"the series {name} has no value for {quarters.shown(holes[0])}{without}{more}, between "
        f"{quarters.shown(first)} and {quarters.shown(last)}",
        where=file,
        do="Fill in what is missing from the publisher's table; bidlens does not guess between quarters.",
    )


def _left_out(name: str, quarter: str, months: int, file: str) -> Finding:
    return Finding(
        "incomplete_quarter",
        "note",
        f"{quarters.shown(quarter)} of {name} has {months} of 3 months; it is left out.",
        "Import the series again when the quarter is complete.",
        Place(file),
    )


def _quarter(month: int) -> str:
    return f"{month // 12}Q{month % 12 // 3 + 1}"

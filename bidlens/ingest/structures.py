"""A structure list: which bridge, what type, how large, and the contract that paid for it.

CSV or workbook, one bridge a row, columns named in trade words in any order. Units stand in the heading (`length_ft`,
`Width (m)`) or in the cell (`26'-8"`). A row with geometry that cannot be right is set aside and the others come in;
the same bridge twice under one contract stops the file, since either row could be meant.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pandas as pd

from bidlens.batch import Batch
from bidlens.errors import BadValue, Place
from bidlens.findings import Finding
from bidlens.ingest import lists, nbi
from bidlens.ingest.grid import Grid
from bidlens.ingest.headers import Header
from bidlens.lengths import NotAboveZero
from bidlens.superstructure import read_type, type_of_nbi
from bidlens.tables import STRUCTURE
from bidlens.wording import count

KIND = "structures"

#: A stated deck area further than this from length x width is worth a look.
AREA_TOLERANCE_RATIO = 0.02

REQUIRED: lists.Required = (
    ("structure_id", "superstructure"),
    ("contract_id", "superstructure"),
    ("structure_id", "length", "width"),
    ("contract_id", "deck_area"),
    ("structure_id", "deck_area"),
)
_GEOMETRY = ("deck_area", "length", "width", "span")
_OTHER_LISTS = (("priority",), ("planned",), ("supplier",), ("price",))
_COLUMNS = [name for name in STRUCTURE.column_names if name != "batch_id"]


def looks_like(grids: Sequence[Grid]) -> bool:
    """The file is a structure list: bridges or contracts with type or geometry, and no prices or priority."""
    if lists.holds_bid_prices(grids) or nbi.looks_like(grids):
        return False
    stems = lists.stems_of("structures")
    headers = [header for grid in grids if (header := lists.header_of(grid, stems, REQUIRED))]
    return any(
        not lists.mentions(header, _OTHER_LISTS) and any(header.column(name) is not None for name in _GEOMETRY)
        for header in headers
    )


def read(grids: Sequence[Grid], sha256: str) -> Batch:
    """The structure list as rows of the table `structure`.

    Raises UnreadableFile without headings, BadValue for the same bridge twice and where no row can be taken.
    """
    told = "the structure or contract number and the superstructure type, or length and width"
    sheets = lists.sheets_of(grids, lists.stems_of("structures"), REQUIRED, told)
    records: list[dict[str, Any]] = []
    first_problem: BadValue | None = None
    for row in sheets.rows:
        try:
            record, findings = _structure(row)
        except BadValue as problem:
            first_problem = first_problem or problem
            sheets.put_aside(row, problem)
            continue
        records.append(record)
        sheets.findings += findings
    if first_problem and not records:
        raise first_problem
    _refuse_repeats(records)
    sheets.findings += _about_columns(sheets) + _spans_taken(sheets.rows, records)
    frame = pd.DataFrame(records, columns=_COLUMNS)
    frame = frame.astype({"spans": "Int64", "year_built": "Int64", "source_row": "Int64"})
    return Batch(
        grids[0].file, sha256, KIND, "structure list", sheets.rows_read, len(frame), {"structure": frame},
        sheets.set_aside_frame(), sheets.findings,
    )  # fmt: skip


def _structure(row: lists.Row) -> tuple[dict[str, Any], list[Finding]]:
    """One row and the doubts about it. Raises BadValue if the row cannot be taken."""
    structure_id, contract_id, schedule = _names(row)
    as_read = row.text("superstructure") or _two_halves(row.text("material"), row.text("design"))
    superstructure, unknown = read_type(as_read, row.place_of("superstructure")) if as_read else _no_type(row)
    stated = row.area_sf("deck_area")
    (length, about_length), (width, about_width) = _size(row, "length", stated), _size(row, "width", stated)
    spans = row.count("spans", "the number of spans")
    area, area_from, about_area = _deck_area(row, stated, length, width)
    span, about_span = _span(row, length, spans)
    skew, about_skew = _skew(row)
    year, about_year = _year(row)
    doubts = (unknown, about_length, about_width, about_area, about_span, about_skew, about_year)
    return {
        "structure_id": structure_id,
        "contract_id": contract_id,
        "letting_date": row.date("letting_date"),
        "schedule": schedule,
        "name": row.text("name") or None,
        "superstructure": superstructure,
        "superstructure_as_read": as_read or None,
        "deck_area_sf": area,
        "area_from": area_from,
        "length_ft": length,
        "width_ft": width,
        "spans": spans,
        "span_ft": span,
        "skew_deg": skew,
        "year_built": year,
        "source_file": row.grid.file,
        "source_sheet": row.grid.sheet,
        "source_row": row.index + 1,
    }, [doubt for doubt in doubts if doubt]


def _two_halves(material: str, design: str) -> str:
    """A type that the list keeps in two columns, in words or in the two codes of Item 43."""
    return type_of_nbi(material, design) or " ".join(filter(None, (material, design)))


def _names(row: lists.Row) -> tuple[str, str, str]:
    """Structure number, contract and schedule; a bridge without a number goes by what paid for it."""
    structure_id, contract_id, schedule = row.text("structure_id"), row.text("contract_id"), row.text("schedule")
    if not structure_id and not contract_id:
        raise BadValue(
            "the row names neither a structure nor a contract",
            where=row.place,
            do="Give the structure number, the contract, or both.",
        )
    return structure_id or "-".join(filter(None, (contract_id, schedule))), contract_id, schedule


def _no_type(row: lists.Row) -> tuple[str, Finding]:
    return "not stated", Finding(
        "superstructure_not_stated",
        "check",
        "The row states no superstructure type; the bridge is in no group.",
        "Fill in the type.",
        row.place,
    )


def _size(row: lists.Row, name: str, stated_area: float | None) -> tuple[float | None, Finding | None]:
    """Length or width in feet. Text that cannot be read is left out where the deck area is stated all the same."""
    try:
        return row.length_ft(name), None
    except NotAboveZero:
        raise
    except BadValue as problem:
        if stated_area is None:
            raise
        text = f"The {name} is “{row.text(name)}”, which cannot be read; it is left empty, the deck area being stated."
        return None, Finding(f"{name}_not_read", "check", text, problem.do, row.place_of(name))


def _deck_area(
    row: lists.Row, stated: float | None, length: float | None, width: float | None
) -> tuple[float | None, str | None, Finding | None]:
    """Deck area in sf and where it is from: as stated, else length x width."""
    by_size = length * width if length and width else None
    if stated is None:
        return (by_size, "length x width", None) if by_size else (None, None, _no_area(row, length, width))
    words = row.text("area_from") or "stated"
    if by_size is None or abs(by_size / stated - 1) <= AREA_TOLERANCE_RATIO:
        return stated, words, None
    return stated, words, Finding(
        "deck_area_differs",
        "check",
        f"The stated deck area is {stated:,.0f} sf, but length x width is {by_size:,.0f} sf "
        f"({by_size / stated - 1:+.1%}); the stated area is used.",
        "Look which is right: length is end to end of the structure, width out to out.",
        row.place_of("deck_area"),
        row.text("contract_id") or None,
    )  # fmt: skip


def _no_area(row: lists.Row, length: float | None, width: float | None) -> Finding:
    missing = " and ".join(word for word, seen in (("length", length), ("out-to-out width", width)) if seen is None)
    return Finding(
        "no_deck_area",
        "stop",
        f"The row states no deck area and no {missing}; no cost per square foot can be given for this bridge.",
        "Fill in the deck area, or the length and the out-to-out width, and import the list again.",
        row.place,
        row.text("contract_id") or None,
    )


def _span(row: lists.Row, length: float | None, spans: int | None) -> tuple[float | None, Finding | None]:
    """Longest span in feet; the structure length where there is one span and none is stated."""
    if row.cell("span") is None:
        return (length if spans == 1 else None), None
    try:
        span = row.length_ft("span")
    except NotAboveZero:
        raise
    except BadValue as problem:
        text = f"The span is “{row.text('span')}”, which cannot be read; it is left empty."
        return None, Finding("span_not_read", "check", text, problem.do, row.place_of("span"))
    if span and length and span > length * (1 + AREA_TOLERANCE_RATIO):
        text = f"The span of {span:,.1f} ft is longer than the structure of {length:,.1f} ft."
        return span, Finding("span_longer_than_structure", "check", text, "Look which is right.", row.place_of("span"))
    return span, None


def _skew(row: lists.Row) -> tuple[float | None, Finding | None]:
    cell = row.cell("skew")
    if cell is None:
        return None, None
    try:
        return lists.degrees(cell, row.place_of("skew")), None
    except BadValue as problem:
        text = f"{problem.what[0].upper()}{problem.what[1:]}, which is not from 0 to 90 degrees; it is left empty."
        return None, Finding("skew_not_read", "check", text, problem.do, row.place_of("skew"))


def _year(row: lists.Row) -> tuple[int | None, Finding | None]:
    shown = row.text("year_built")
    if not shown:
        return None, None
    if len(shown) == 4 and shown.isdecimal() and 1700 <= int(shown) <= 2200:
        return int(shown), None
    text = f"The year built is “{shown}”, which is no year; it is left empty."
    return None, Finding("year_not_read", "note", text, "Write four digits.", row.place_of("year_built"))


def _refuse_repeats(records: Sequence[dict[str, Any]]) -> None:
    """The same structure, contract and schedule twice is an error: nothing says which row is meant."""
    seen: dict[tuple[str, str, str], dict[str, Any]] = {}
    for record in records:
        key = (record["structure_id"], record["contract_id"], record["schedule"])
        if key not in seen:
            seen[key] = record
            continue
        first, again = (_at(one) for one in (seen[key], record))
        paid = f" under contract {key[1]}" if key[1] else ""
        raise BadValue(
            f"structure {key[0]}{paid} stands in row {first.row} and again in row {again.row}",
            where=again,
            do="Keep one of the rows; bridges that share a contract need a structure number each.",
        )


def _at(record: dict[str, Any]) -> Place:
    return Place(record["source_file"], record["source_sheet"] or None, record["source_row"])


def _about_columns(sheets: lists.ListSheets) -> list[Finding]:
    """Columns not used, and a clear width that must not pass for out to out."""
    findings = []
    used = lists.stems_of("structures")
    for grid, header in sheets.headers:
        place = grid.place(header.row)
        findings += lists.ignored_columns(header, used, place)
        if header.column("clear_width") is not None:
            findings.append(_clear_width(header, place))
    return findings


def _clear_width(header: Header, place: Place) -> Finding:
    name = header.name_of("clear_width")
    alone = header.column("width") is None
    return Finding(
        "clear_width",
        "check" if alone else "note",
        f"The column “{name}” is the clear roadway width, not out to out; it is not used for deck area.",
        "Add a column with the out-to-out width." if alone else "",
        place,
    )


def _spans_taken(rows: Sequence[lists.Row], records: Sequence[dict[str, Any]]) -> list[Finding]:
    """One note for all bridges of one span whose length stands in for the span."""
    without = {(row.grid.sheet, row.index + 1) for row in rows if row.cell("span") is None}
    taken = [one for one in records if one["span_ft"] and (one["source_sheet"], one["source_row"]) in without]
    if not taken:
        return []
    text = f"For {count(len(taken), 'bridge')} of one span and no span stated, the structure length is the span."
    return [Finding("span_from_length", "note", text, place=Place(taken[0]["source_file"]))]

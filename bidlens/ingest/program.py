"""A program list: the bridges an owner means to replace, in order, with the type and size planned.

CSV or workbook, one bridge a row. Geometry may be missing and stand in the structure list instead. A planned letting
may be a day, a quarter or a year; a quarter or year stands for its first day or its middle, and a note says so. A type
may name alternatives, as “adjacent box beam | steel tub girder”: the first is the one planned.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

import pandas as pd

from bidlens import quarters
from bidlens.batch import Batch
from bidlens.errors import BadValue, Place
from bidlens.findings import Finding
from bidlens.ingest import cells, lists
from bidlens.ingest.grid import Grid
from bidlens.superstructure import joined, read_alternatives
from bidlens.tables import PROGRAM_BRIDGE
from bidlens.wording import count

KIND = "program"

REQUIRED: lists.Required = (("structure_id", "priority"), ("structure_id", "letting", "superstructure"))
_OTHER_LISTS = (("contract",), ("supplier",), ("price",), ("bidder",))
#: Costs beside the contract, as the owner gives them.
_COSTS = ("engineering", "right_of_way", "utilities", "railroad")
_COLUMNS = [name for name in PROGRAM_BRIDGE.column_names if name != "batch_id"]


def looks_like(grids: Sequence[Grid]) -> bool:
    """The file is a program list: bridges with a priority or a planned letting, and no contract or price."""
    stems = lists.stems_of("program")
    headers = [header for grid in grids if (header := lists.header_of(grid, stems, REQUIRED))]
    planned = (("priority",), ("plan",), ("letting",), ("quarter",))
    return not lists.holds_bid_prices(grids) and any(
        lists.mentions(header, planned) and not lists.mentions(header, _OTHER_LISTS) for header in headers
    )


def read(grids: Sequence[Grid], sha256: str) -> Batch:
    """The program as rows of the table `program_bridge`. A row that cannot be used is set aside, with its reason.

    Raises UnreadableFile without headings, BadValue for a bridge listed twice and where no row can be used.
    """
    told = "the structure number and its priority, or the planned type and letting"
    sheets = lists.sheets_of(grids, lists.stems_of("program"), REQUIRED, told)
    records: list[dict[str, Any]] = []
    first_problem: BadValue | None = None
    standing_in = 0
    for row in sheets.rows:
        try:
            record, findings = _bridge(row)
        except BadValue as problem:
            first_problem = first_problem or problem
            sheets.put_aside(row, problem)
            continue
        records.append(record)
        sheets.findings += findings
        standing_in += record["letting_date"] is not None and _is_period(row.text("letting"))
    if first_problem and not records:
        raise first_problem
    _refuse_repeats(records)
    for grid, header in sheets.headers:
        sheets.findings += lists.ignored_columns(header, lists.stems_of("program"), grid.place(header.row))
    if standing_in:
        sheets.findings.append(_stands_in(standing_in, grids[0].file))
    frame = pd.DataFrame(records, columns=_COLUMNS)
    frame = frame.astype({"priority": "Int64", "spans": "Int64", "source_row": "Int64"})
    return Batch(
        grids[0].file, sha256, KIND, "program list", sheets.rows_read, len(frame), {"program_bridge": frame},
        sheets.set_aside_frame(), sheets.findings,
    )  # fmt: skip


def letting_day(cell: object, where: Place | str | None = None) -> dt.date | None:
    """The day a planned letting stands for: itself, the first day of a quarter, or 1 July of a year; None if blank.

    Raises BadValue for anything else.
    """
    shown = cells.text(cell) if isinstance(cell, str | int | float | dt.date) else ""
    if not shown:
        return None
    if re.fullmatch(r"(19|20|21)\d\d", shown):
        return dt.date(int(shown), 7, 1)
    if _is_period(shown):
        read = quarters.parse_quarter(shown)
        return dt.date(int(read[:4]), int(read[5]) * 3 - 2, 1)
    return cells.date(cell, where)  # type: ignore[arg-type]


def _is_period(shown: str) -> bool:
    """Written as a quarter or a bare year."""
    return bool(re.fullmatch(r"(19|20|21)\d\d(\s*[-/ ]?\s*[Qq][1-4])?", shown))


def _bridge(row: lists.Row) -> tuple[dict[str, Any], list[Finding]]:
    """One row and the doubts about it. Raises BadValue if the row cannot be used."""
    structure_id = row.text("structure_id")
    if not structure_id:
        raise BadValue("the row names no structure", where=row.place, do="Give the structure number.")
    as_read = row.text("superstructure")
    if as_read:
        kinds, doubts = read_alternatives(as_read, row.place_of("superstructure"))
        superstructure = joined(kinds)
    else:
        superstructure, doubts = "", []
    doubts += [] if superstructure else [_no_type(row)]
    skew = row.cell("skew")
    return {
        "structure_id": structure_id,
        "priority": row.count("priority", "the priority"),
        "superstructure": superstructure or "not stated",
        "length_ft": row.length_ft("length"),
        "width_ft": row.length_ft("width"),
        "spans": row.count("spans", "the number of spans"),
        "skew_deg": None if skew is None else lists.degrees(skew, row.place_of("skew")),
        "letting_date": letting_day(row.cell("letting"), row.place_of("letting")),
        **{f"{name}_usd": _cost(row, name) for name in _COSTS},
        "source_file": row.grid.file,
        "source_sheet": row.grid.sheet,
        "source_row": row.index + 1,
    }, doubts


def _cost(row: lists.Row, name: str) -> Decimal | None:
    """A cost beside the contract, in dollars; None if blank. Raises BadValue for what is no amount of zero or more."""
    cell = row.cell(name)
    if cell is None:
        return None
    try:
        dollars = cells.number(cell, 2)
    except ValueError as error:
        raise BadValue(f"cannot read “{cell}” as dollars", where=row.place_of(name), do="Write 50000.") from error
    if dollars is not None and dollars < 0:
        raise BadValue(
            f"a cost of “{cell}” is below zero", where=row.place_of(name), do="Give dollars of zero or more."
        )
    return dollars


def _no_type(row: lists.Row) -> Finding:
    text = "The row states no superstructure type; its cost cannot be predicted by type."
    return Finding("superstructure_not_stated", "check", text, "Fill in the type planned.", row.place)


def _refuse_repeats(records: Sequence[dict[str, Any]]) -> None:
    seen: dict[str, dict[str, Any]] = {}
    for record in records:
        first = seen.setdefault(record["structure_id"], record)
        if first is not record:
            raise BadValue(
                f"structure {record['structure_id']} stands in row {first['source_row']} and again in row "
                f"{record['source_row']}",
                where=Place(record["source_file"], record["source_sheet"] or None, record["source_row"]),
                do="Keep one of the rows.",
            )


def _stands_in(rows: int, file: str) -> Finding:
    text = (
        f"For {count(rows, 'bridge')} the planned letting is a quarter or a year; it stands for the first day of that "
        "quarter, or 1 July of that year."
    )
    return Finding("letting_day_assumed", "note", text, place=Place(file))

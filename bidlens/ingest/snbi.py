"""An inventory with columns named by the ids of the 2022 specification (SNBI): `B.ID.01`, `BG02`, `B_G_05`.

Ids that differ only by punctuation are one. Lengths are in feet, from memory of the specification; what the file itself
says for or against it is looked at and told. A bridge may stand on several rows, one for each set of spans. Codes of
material and type are kept as coded: no list of them is at hand to read them by.
"""

from __future__ import annotations

import re
import statistics
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from bidlens.batch import SET_ASIDE_COLUMNS, Batch, no_rows_set_aside
from bidlens.errors import BadValue
from bidlens.findings import Finding, Severity
from bidlens.ingest import cells, lists
from bidlens.ingest.grid import Grid, is_blank
from bidlens.lengths import METRES_PER_FOOT, NotAboveZero, parse_area_sf, parse_length_ft
from bidlens.superstructure import standard_type
from bidlens.tables import STRUCTURE
from bidlens.wording import count, number

LAYOUT = "inventory items by id"
_ID = re.compile(r"^B[\W_]?(?P<section>[A-Z]{1,2})[\W_]?(?P<item>\d{2})(?!\d)(?P<rest>.*)$", re.DOTALL)
_IN_METRES = re.compile(r"(?:^|[^A-Z])(?:M|MT|METERS?|METRES?|SQ ?M|M2)(?:[^A-Z]|$)")
_IN_FEET = re.compile(r"(?:^|[^A-Z])(?:FT|FEET|SF|SQ ?FT|FT2)(?:[^A-Z]|$)")
_WITHIN = 10
_FEWEST = 4
_SIZES = ("G.02", "G.01", "G.16")
_NOT_GIVEN = frozenset({"", "N", "n", "0", "00", "N/A", "NA"})
_COLUMNS = [name for name in STRUCTURE.column_names if name != "batch_id"]
AREA_TOLERANCE_RATIO = 0.02
#: Below this a median out-to-out width is none of road bridges in feet, and an ordinary one in metres. Our judgement.
_NARROWEST_MEDIAN_FT = 15.0
_SF_PER_M2 = float(1 / METRES_PER_FOOT**2)


@dataclass(frozen=True, slots=True)
class IdHeader:
    """The heading row (from 0) and item -> column, as `G.02`; unit : ft or m where headings name it, else empty."""

    row: int
    columns: Mapping[str, int]
    unit: str


def header_of(grid: Grid) -> IdHeader | None:
    """The heading row with ids, among them the structure number and a size; None if there is none."""
    for index, row in enumerate(grid.rows[:_WITHIN]) if not grid.hidden else ():
        found: dict[str, int] = {}
        rest: dict[str, str] = {}
        for column, cell in enumerate(row):
            match = _ID.match(cell.strip().strip("'\"").upper()) if isinstance(cell, str) else None
            if match:
                item = f"{match['section']}.{match['item']}"
                found.setdefault(item, column)
                rest.setdefault(item, match["rest"])
        if len(found) >= _FEWEST and "ID.01" in found and any(item in found for item in _SIZES):
            lengths = " ".join(f" {rest[item]} " for item in ("G.01", "G.02", "G.03", "G.05") if item in rest)
            unit = "m" if _IN_METRES.search(lengths) else "ft" if _IN_FEET.search(lengths) else ""
            return IdHeader(index, found, unit)
    return None


def read(grid: Grid, header: IdHeader, sha256: str) -> Batch:
    """The bridges of the inventory as rows of the table `structure`, without a contract.

    A further set of spans adds to its bridge; a second record of one bridge without any is set aside.
    """
    rows = [(at, _items(grid, at, header)) for at, row in enumerate(grid.rows) if not is_blank(row)]
    below = [items for at, items in rows if at > header.row]
    unit, why = _unit(below, header)
    seen = _Seen()
    records: dict[str, dict[str, Any]] = {}
    sets: dict[str, set[str]] = {}
    aside: list[tuple[str, str, int, str, str]] = []
    for at, items in rows:
        if at <= header.row:
            aside += [aside_row(grid, at, "above the headings")] if at < header.row else []
            continue
        try:
            _take(items, grid, at, unit, records, sets, seen)
        except BadValue as problem:
            aside.append(aside_row(grid, at, problem.what))
    doubts = [Finding("unit_assumed", "note" if header.unit else "check", why, _DO_ABOUT_UNIT, grid.place(header.row))]
    doubts += [*seen.findings(grid), *lost_zeros(grid, header.columns["ID.01"], header.row)]
    return batch_of(list(records.values()), grid, sha256, LAYOUT, len(rows), aside, doubts)


_DO_ABOUT_UNIT = "Where the file is in the other unit, write the unit into the headings, as B.G.02 (m)."


def _items(grid: Grid, at: int, header: IdHeader) -> dict[str, str]:
    row = grid.rows[at]
    return {
        item: cells.text(row[column]).strip("'").strip() if column < len(row) else ""
        for item, column in header.columns.items()
    }


# --- feet or metres -----------------------------------------------------------------------------------------------


def _unit(below: Sequence[Mapping[str, str]], header: IdHeader) -> tuple[str, str]:
    """The unit of lengths, and why: the headings, else area against length x width, else how wide the decks are."""
    if header.unit:
        return header.unit, f"Lengths are in {_unit_words(header.unit)}, as the headings say."
    widths = [width for items in below if (width := _plain(items.get("G.05", "")))]
    ratios = [
        area / (length * width)
        for items in below
        if (area := _plain(items.get("G.16", "")))
        and (length := _plain(items.get("G.02", "")))
        and (width := _plain(items.get("G.05", "")))
    ]
    ratio = statistics.median(ratios) if ratios else None
    told = "the specification has them in feet (from memory)"
    if ratio and abs(ratio / _SF_PER_M2 - 1) < AREA_TOLERANCE_RATIO:
        unit, told = "m", "B.G.16 is 10.76 times B.G.02 x B.G.05, so areas are in square feet and lengths in metres"
    elif ratio and abs(ratio * _SF_PER_M2 - 1) < AREA_TOLERANCE_RATIO:
        unit, told = "ft", "B.G.16 is 0.0929 times B.G.02 x B.G.05, so areas are in square metres and lengths in feet"
    elif widths and statistics.median(widths) < _NARROWEST_MEDIAN_FT:
        median = statistics.median(widths)
        unit = "m"
        told = f"the median out-to-out width (B.G.05) is {number(median, 1)}, too narrow in feet for road bridges"
    else:
        unit = "ft"
        if widths:
            median = statistics.median(widths)
            other = number(median / float(METRES_PER_FOOT), 0)
            told += (
                f"; the median out-to-out width (B.G.05) is {number(median, 1)}, which in metres would be {other} ft"
            )
    fit = sum(abs(one - 1) <= AREA_TOLERANCE_RATIO for one in ratios)
    held = f"; B.G.16 is B.G.02 x B.G.05 for {fit} of {len(ratios)} bridges" if ratios else ""
    return unit, f"Lengths are taken to be in {_unit_words(unit)}: {told}{held}."


def _unit_words(unit: str) -> str:
    return {"ft": "feet", "m": "metres"}[unit]


def _plain(shown: str) -> float | None:
    try:
        value = cells.number(shown, 4)
    except ValueError:
        return None
    return float(value) if value and value > 0 else None


# --- one row ------------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Seen:
    """What was met on the way, counted, since an inventory has thousands of records."""

    as_coded: Counter[str] = field(default_factory=Counter)
    no_area: list[str] = field(default_factory=list)
    area_differs: list[str] = field(default_factory=list)
    not_read: Counter[str] = field(default_factory=Counter)
    further_sets: int = 0

    def findings(self, grid: Grid) -> list[Finding]:
        found: list[tuple[str, Severity, str, str]] = []
        if self.as_coded:
            codes = ", ".join(f"{code} ({n})" for code, n in sorted(self.as_coded.items()))
            text = f"Material and type of span (B.SP.04, B.SP.06) are kept as coded; bridges of each code: {codes}."
            found.append(("unknown_superstructure", "check", text, "Give these bridges a type in a structure list."))
        if self.no_area:
            text = f"{count(len(self.no_area), 'bridge')} without deck area: {_few(self.no_area)}."
            found.append(("no_deck_area", "check", text, "Fill in length and out-to-out width in a structure list."))
        if self.area_differs:
            text = f"For {count(len(self.area_differs), 'bridge')} the stated deck area (B.G.16) is not length x width "
            text += f"(B.G.02 x B.G.05) within 2%; length x width is used: {_few(self.area_differs)}."
            found.append(("deck_area_differs", "check", text, "Look which is right."))
        for item, n in sorted(self.not_read.items()):
            text = f"For {count(n, 'bridge')} B.{item} cannot be read; it is left empty."
            found.append(("item_not_read", "note", text, ""))
        if self.further_sets:
            text = (
                f"{count(self.further_sets, 'row')} with a further set of spans: their spans are added to their bridge."
            )
            found.append(("further_spans", "note", text, ""))
        return [Finding(code, severity, text, do, grid.place()) for code, severity, text, do in found]


def _few(names: Sequence[str]) -> str:
    return ", ".join(names[:5]) + (" ..." if len(names) > 5 else "")


def _take(
    items: Mapping[str, str], grid: Grid, at: int, unit: str,
    records: dict[str, dict[str, Any]], sets: dict[str, set[str]], seen: _Seen,
) -> None:  # fmt: skip
    """One row into its bridge. Raises BadValue if it has no structure number, or is its bridge once more."""
    name, spans = items["ID.01"], items.get("SP.01", "")
    if not name:
        raise BadValue("the record has no structure number (B.ID.01)")
    if name not in records:
        records[name] = _bridge(items, grid, at, unit, seen)
        sets[name] = {spans}
        return
    first = records[name]
    if not spans or spans in sets[name]:
        raise BadValue(f"structure {name} stands in row {first['source_row']} already")
    sets[name].add(spans)
    seen.further_sets += 1
    first["spans"] = (first["spans"] or 0) + (_whole(items.get("SP.02", "")) or 0) or None


def _bridge(items: Mapping[str, str], grid: Grid, at: int, unit: str, seen: _Seen) -> dict[str, Any]:
    def length_ft(item: str) -> float | None:
        shown = items.get(item, "")
        try:
            return None if shown in _NOT_GIVEN else parse_length_ft(shown, unit)
        except NotAboveZero:
            return None
        except BadValue:
            seen.not_read[item] += 1
            return None

    length, width = length_ft("G.02") or length_ft("G.01"), length_ft("G.05")
    area, area_from = _area(items, length, width, unit, seen)
    superstructure, as_read = _type(items, seen)
    return {
        "structure_id": items["ID.01"],
        "contract_id": "",
        "letting_date": None,
        "schedule": "",
        "name": items.get("ID.02") or None,
        "superstructure": superstructure,
        "superstructure_as_read": as_read or None,
        "deck_area_sf": area,
        "area_from": area_from,
        "length_ft": length,
        "width_ft": width,
        "spans": _whole(items.get("SP.02", "")),
        "span_ft": length_ft("G.03"),
        "skew_deg": _skew(items.get("G.11", ""), seen),
        "year_built": _year(items.get("W.01", "")),
        "source_file": grid.file,
        "source_sheet": grid.sheet,
        "source_row": at + 1,
    }


def _area(
    items: Mapping[str, str], length: float | None, width: float | None, unit: str, seen: _Seen
) -> tuple[float | None, str | None]:
    """Deck area in sf: length x width, else as stated; where both are given they are compared."""
    stated = _plain(items.get("G.16", ""))
    if length and width:
        by_size = length * width
        in_either = [] if stated is None else [stated, stated * _SF_PER_M2]
        if in_either and all(abs(one / by_size - 1) > AREA_TOLERANCE_RATIO for one in in_either):
            seen.area_differs.append(items["ID.01"])
        return by_size, "SNBI B.G.02 x B.G.05"
    if stated is None:
        seen.no_area.append(items["ID.01"])
        return None, None
    return parse_area_sf(stated, "sf" if unit == "ft" else "m2"), "SNBI B.G.16"


def _type(items: Mapping[str, str], seen: _Seen) -> tuple[str, str]:
    """The type in words where the file writes words, else as coded."""
    as_read = " ".join(filter(None, (items.get("SP.04", ""), items.get("SP.06", ""))))
    name = standard_type(as_read) if any(map(str.islower, as_read)) or len(as_read) > 12 else None
    if name is None and as_read:
        seen.as_coded[as_read] += 1
    return name or (f"SNBI {as_read}" if as_read else "not stated"), as_read


def _whole(shown: str) -> int | None:
    plain = shown.removesuffix(".0")
    return int(plain) if plain.isdecimal() and int(plain) > 0 else None


def _skew(shown: str, seen: _Seen) -> float | None:
    if shown == "":
        return None
    value = _plain(shown) if shown.strip("0.") else 0.0
    if value is None or value > 90:
        seen.not_read["G.11"] += 1
        return None
    return value


def _year(shown: str) -> int | None:
    year = _whole(shown)
    return year if year and 1700 <= year <= 2200 else None


# --- shared with the older extract --------------------------------------------------------------------------------


def aside_row(grid: Grid, at: int, reason: str) -> tuple[str, str, int, str, str]:
    """A row that is set aside, as the stored table has it."""
    return grid.file, grid.sheet, at + 1, reason, lists.shown_row(grid, at)


def lost_zeros(grid: Grid, column: int, head: int) -> list[Finding]:
    """Structure numbers that a workbook holds as numbers have lost the zeros they may have begun with."""
    found = [row[column] for row in grid.rows[head + 1 :] if column < len(row) and isinstance(row[column], float)]
    if not found:
        return []
    text = f"{count(len(found), 'structure number')} stored as numbers in the workbook: zeros at their front are lost."
    return [Finding("zeros_lost", "check", text, "Import the delimited text file instead.", grid.place())]


def batch_of(
    records: Sequence[Mapping[str, Any]], grid: Grid, sha256: str, layout: str, rows_read: int,
    aside: Sequence[tuple[str, str, int, str, str]], findings: list[Finding],
) -> Batch:  # fmt: skip
    """The bridges of an inventory as the stored table."""
    frame = pd.DataFrame(list(records), columns=_COLUMNS)
    frame = frame.astype({"spans": "Int64", "year_built": "Int64", "source_row": "Int64"})
    set_aside = pd.DataFrame(list(aside), columns=list(SET_ASIDE_COLUMNS)) if aside else no_rows_set_aside()
    return Batch(grid.file, sha256, "nbi", layout, rows_read, len(frame), {"structure": frame}, set_aside, findings)

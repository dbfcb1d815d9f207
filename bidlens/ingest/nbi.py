"""An extract of the National Bridge Inventory: the delimited text file states send in, metric, one record a route.

Columns are known by the item number their heading ends in (`DECK_WIDTH_MT_052` is Item 52). Text stands in single
quotation marks, so a comma inside them does not part cells. Deck area is Item 49 x Item 52, or Item 32 for culverts
that carry fill and have no deck (23 CFR 490.411). Records of a route under a bridge are set aside, so that a bridge
counts once (5A is 1 for the route carried; from memory of the recording guide).
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from bidlens.batch import SET_ASIDE_COLUMNS, Batch, no_rows_set_aside
from bidlens.errors import BadValue, UnreadableFile
from bidlens.findings import Finding, Severity
from bidlens.ingest import cells, lists
from bidlens.ingest.grid import Cell, Grid, is_blank
from bidlens.lengths import NotAboveZero, parse_length_ft
from bidlens.superstructure import nbi_judgement, type_of_nbi
from bidlens.tables import STRUCTURE
from bidlens.wording import count

KIND = "nbi"

_ITEM = re.compile(r"_(\d{3}[A-Z]?)$")
_NEEDED = ("008", "043A", "043B", "049", "052")
_FEWEST_ITEMS = 10
_CULVERT = "19"
_SKEW_VARIES = "99"
_COLUMNS = [name for name in STRUCTURE.column_names if name != "batch_id"]


@dataclass(slots=True)
class _Seen:
    """What was met on the way, counted, since an extract has thousands of records."""

    unknown_types: Counter[str] = field(default_factory=Counter)
    judgements: Counter[str] = field(default_factory=Counter)
    no_area: list[str] = field(default_factory=list)
    no_skew: int = 0


def looks_like(grids: Sequence[Grid]) -> bool:
    """The file's first row names inventory items by their numbers, with those that say type and size among them."""
    return any(_columns(grid) is not None for grid in grids)


def read(grids: Sequence[Grid], sha256: str) -> Batch:
    """The bridges of the extract as rows of the table `structure`, without a contract.

    A second record of one structure number is set aside. Raises UnreadableFile if the headings are not an extract's.
    """
    for grid in grids:
        columns = _columns(grid)
        if columns is not None:
            return _read(grid, columns, sha256)
    raise UnreadableFile(
        "no row names inventory items by number, such as STRUCTURE_NUMBER_008 and DECK_WIDTH_MT_052",
        where=grids[0].file,
        do="Download the delimited file with its heading row, or import the list as --kind structures.",
    )


def _read(grid: Grid, columns: Mapping[str, int], sha256: str) -> Batch:
    seen, aside = _Seen(), []
    records: dict[str, dict[str, Any]] = {}
    width = len(grid.rows[0])
    rows = [(at, row) for at, row in enumerate(grid.rows) if at > 0 and not is_blank(row)]
    for at, row in rows:
        items = _items(row, width, columns)
        try:
            record = _bridge(items, grid, at, seen)
            first = records.setdefault(record["structure_id"], record)
            if first is not record:
                raise BadValue(f"structure {first['structure_id']} stands in row {first['source_row']} already")
        except BadValue as problem:
            aside.append((grid.file, grid.sheet, at + 1, problem.what, lists.shown_row(grid, at)))
    frame = pd.DataFrame(list(records.values()), columns=_COLUMNS)
    frame = frame.astype({"spans": "Int64", "year_built": "Int64", "source_row": "Int64"})
    set_aside = pd.DataFrame(aside, columns=list(SET_ASIDE_COLUMNS)) if aside else no_rows_set_aside()
    layout = "inventory items by number"
    return Batch(
        grid.file,
        sha256,
        KIND,
        layout,
        len(rows) + 1,
        len(frame),
        {"structure": frame},
        set_aside,
        _findings(seen, grid),
    )


def _columns(grid: Grid) -> dict[str, int] | None:
    """Item number -> column; None if the first row is not an extract's."""
    if grid.hidden or not grid.rows:
        return None
    found = {
        match[1]: column
        for column, cell in enumerate(grid.rows[0])
        if isinstance(cell, str) and (match := _ITEM.search(cell.strip().strip("'\"").upper()))
    }
    return found if len(found) >= _FEWEST_ITEMS and all(item in found for item in _NEEDED) else None


def _items(row: Sequence[Cell], width: int, columns: Mapping[str, int]) -> dict[str, str]:
    """Item number -> text of the cell, unquoted; the pieces of a quoted text with commas are put together again."""
    joined = _rejoined(row) if len(row) > width else list(row)
    if len(joined) != width:
        return {}
    return {item: cells.text(joined[column]).strip("'").strip() for item, column in columns.items()}


def _rejoined(row: Sequence[Cell]) -> list[Cell]:
    joined: list[Cell] = []
    open_text: str | None = None
    for cell in row:
        piece = str(cell)
        if open_text is not None:
            open_text = f"{open_text},{piece}"
        elif piece.lstrip().startswith("'") and not (len(piece.strip()) > 1 and piece.rstrip().endswith("'")):
            open_text = piece
        else:
            joined.append(cell)
            continue
        if piece.rstrip().endswith("'") and open_text != "'":
            joined.append(open_text)
            open_text = None
    return joined


def _bridge(items: Mapping[str, str], grid: Grid, at: int, seen: _Seen) -> dict[str, Any]:
    """One record. Raises BadValue if it is not a bridge's own record, or its number or length is missing."""
    if not items:
        raise BadValue("the record does not have as many cells as there are headings")
    if items.get("005A", "1") != "1":
        raise BadValue(f"a record of a route under the bridge (5A is {items['005A'] or 'blank'})")
    number = items["008"]
    if not number:
        raise BadValue("the record has no structure number (Item 8)")
    code = items["043A"] + items["043B"].zfill(2)
    length, width, area_from = _size(items)
    area = length * width if length and width else None
    if area is None:
        seen.no_area.append(number)
    spans = _whole(items["045"]) if "045" in items else None
    over = " over ".join(filter(None, (items.get("007", ""), items.get("006A", ""))))
    return {
        "structure_id": number,
        "contract_id": "",
        "letting_date": None,
        "schedule": "",
        "name": over or None,
        "superstructure": _type(items, code, seen),
        "superstructure_as_read": code,
        "deck_area_sf": area,
        "area_from": area_from if area else None,
        "length_ft": length,
        "width_ft": width,
        "spans": (spans or 0) + (_whole(items.get("046", "")) or 0) or None,
        "span_ft": _metres(items.get("048", "")),
        "skew_deg": _skew(items.get("034", ""), seen),
        "year_built": _whole(items.get("027", "")),
        "source_file": grid.file,
        "source_sheet": grid.sheet,
        "source_row": at + 1,
    }


def _type(items: Mapping[str, str], code: str, seen: _Seen) -> str:
    name = type_of_nbi(items["043A"], items["043B"])
    if name is None:
        seen.unknown_types[code] += 1
        return f"Item 43 code {code}"
    judgement = nbi_judgement(items["043A"], items["043B"])
    if judgement:
        seen.judgements[judgement] += 1
    return name


def _size(items: Mapping[str, str]) -> tuple[float | None, float | None, str]:
    """Length and width in feet, and the items they are; a culvert without a deck takes the approach width."""
    length, width = _metres(items["049"]), _metres(items["052"])
    if width is None and items["043B"].zfill(2) == _CULVERT:
        return length, _metres(items.get("032", "")), "NBI Item 49 x Item 32"
    return length, width, "NBI Item 49 x Item 52"


def _metres(shown: str) -> float | None:
    """Metres as feet; blank and zero, which the inventory writes for none, are None."""
    try:
        return parse_length_ft(shown, "m") if shown else None
    except NotAboveZero:
        return None


def _whole(shown: str) -> int | None:
    return int(shown) if shown.isdecimal() and int(shown) > 0 else None


def _skew(shown: str, seen: _Seen) -> float | None:
    if shown == _SKEW_VARIES or not re.fullmatch(r"\d{1,2}", shown) or int(shown) > 90:
        seen.no_skew += 1
        return None
    return float(shown)


def _findings(seen: _Seen, grid: Grid) -> list[Finding]:
    found: list[tuple[str, Severity, str, str]] = []
    if seen.unknown_types:
        codes = ", ".join(f"{code} ({n})" for code, n in sorted(seen.unknown_types.items()))
        text = f"Item 43 codes of no standard type, with their number of bridges: {codes}; they are kept as coded."
        found.append(("unknown_superstructure", "check", text, "Give these bridges a type in a structure list."))
    for judgement, n in sorted(seen.judgements.items()):
        do = "Give bridges of another type their type in a structure list."
        found.append(("type_by_judgement", "note", f"{judgement[:-1]} ({count(n, 'bridge')}).", do))
    if seen.no_area:
        few = ", ".join(seen.no_area[:5]) + (" ..." if len(seen.no_area) > 5 else "")
        text = f"{count(len(seen.no_area), 'bridge')} without length or width, so without deck area: {few}."
        found.append(("no_deck_area", "check", text, "Fill in length and out-to-out width in a structure list."))
    if seen.no_skew:
        text = f"For {count(seen.no_skew, 'bridge')} the skew varies or is not given; it is left empty."
        found.append(("skew_not_read", "note", text, ""))
    return [Finding(code, severity, text, do, grid.place()) for code, severity, text, do in found]

"""An extract of the National Bridge Inventory: the delimited text file states send in, metric, one record a route.

Columns are known by the item number their heading ends in (`DECK_WIDTH_MT_052` is Item 52). Text stands in single
quotation marks, so a comma inside them does not part cells. Deck area is Item 49 x Item 52, or Item 32 for culverts
that carry fill and have no deck (23 CFR 490.411). Records of a route under a bridge are set aside, so that a bridge
counts once (5A is 1 for the route carried; from memory of the recording guide). Columns named by the ids of the
newer specification are read by `snbi`.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from bidlens.batch import Batch
from bidlens.errors import BadValue, UnreadableFile
from bidlens.findings import Finding, Severity
from bidlens.ingest import cells, snbi
from bidlens.ingest.grid import Cell, Grid, is_blank
from bidlens.ingest.headers import Header, tidy
from bidlens.ingest.lists import left_beside
from bidlens.ingest.snbi import aside_row
from bidlens.lengths import NotAboveZero, parse_length_ft
from bidlens.superstructure import nbi_judgement, type_of_nbi
from bidlens.wording import count

KIND = "nbi"

_ITEM = re.compile(r"_(\d{3}[A-Z]?)$")
_NEEDED = ("008", "043A", "043B", "049", "052")
_FEWEST_ITEMS = 10
_CULVERT = "19"
_SKEW_VARIES = "99"
_NOT_GIVEN = frozenset({"", "N", "n"})
_FEET = re.compile(r"_FT(?:_|$)")
_WITHIN = 10


@dataclass(slots=True)
class _Seen:
    """What was met on the way, counted, since an extract has thousands of records."""

    unknown_types: Counter[str] = field(default_factory=Counter)
    judgements: Counter[str] = field(default_factory=Counter)
    no_area: list[str] = field(default_factory=list)
    no_skew: int = 0
    no_span: int = 0


def looks_like(grids: Sequence[Grid]) -> bool:
    """A row near the top names inventory items by number or id, among them those that say type and size."""
    return any(_columns(grid) is not None or snbi.header_of(grid) is not None for grid in grids)


def headings_found(grid: Grid) -> Header | None:
    """The heading row as the readers find it, each column by the item it is; None if there is none."""
    found = _columns(grid)
    if found is not None:
        return Header(found[0], {f"item {item}": (at,) for item, at in found[1].items()}, _names(grid, found[0]))
    header = snbi.header_of(grid)
    if header is None:
        return None
    return Header(header.row, {f"B.{item}": (at,) for item, at in header.columns.items()}, _names(grid, header.row))


def _names(grid: Grid, row: int) -> tuple[str, ...]:
    return tuple(tidy(cell) for cell in grid.rows[row])


def read(grids: Sequence[Grid], sha256: str) -> Batch:
    """The bridges of the extract as rows of the table `structure`, without a contract.

    A second record of one structure number is set aside. Raises UnreadableFile if the headings are not an extract's.
    """
    for grid in grids:
        found, header = _columns(grid), snbi.header_of(grid)
        if found is not None:
            batch = _read(grid, *found, sha256)
        elif header is not None:
            batch = snbi.read(grid, header, sha256)
        else:
            continue
        batch.findings += left_beside(grids, grid)
        return batch
    raise UnreadableFile(
        "no row names inventory items by number, such as STRUCTURE_NUMBER_008 and DECK_WIDTH_MT_052, or by id, such as "
        "B.ID.01 and B.G.05",
        where=grids[0].file,
        do="Download the delimited file with its heading row, or import the list as structures (--kind structures).",
    )


def _read(grid: Grid, head: int, columns: Mapping[str, int], sha256: str) -> Batch:
    seen, aside = _Seen(), []
    records: dict[str, dict[str, Any]] = {}
    names = grid.rows[head]
    feet = frozenset(item for item, column in columns.items() if _FEET.search(str(names[column]).upper()))
    rows = [(at, row) for at, row in enumerate(grid.rows) if not is_blank(row)]
    for at, row in rows:
        if at <= head:
            aside += [aside_row(grid, at, "above the headings")] if at < head else []
            continue
        items = _items(row, len(names), columns)
        try:
            record = _bridge(items, grid, at, seen, feet)
            first = records.setdefault(record["structure_id"], record)
            if first is not record:
                raise BadValue(f"structure {first['structure_id']} stands in row {first['source_row']} already")
        except BadValue as problem:
            aside.append(aside_row(grid, at, problem.what))
    doubts = [*_findings(seen, grid), *snbi.lost_zeros(grid, columns["008"], head)]
    return snbi.batch_of(list(records.values()), grid, sha256, "inventory items by number", len(rows), aside, doubts)


def _columns(grid: Grid) -> tuple[int, dict[str, int]] | None:
    """The heading row and item number -> column; None if no row near the top is an extract's."""
    for head, row in enumerate(grid.rows[:_WITHIN]) if not grid.hidden else ():
        found = {
            match[1]: column
            for column, cell in enumerate(row)
            if isinstance(cell, str) and (match := _ITEM.search(cell.strip().strip("'\"").upper()))
        }
        if len(found) >= _FEWEST_ITEMS and all(item in found for item in _NEEDED):
            return head, found
    return None


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


def _bridge(items: Mapping[str, str], grid: Grid, at: int, seen: _Seen, feet: frozenset[str]) -> dict[str, Any]:
    """One record. feet : items whose headings say feet. Raises BadValue if it is no bridge's own, or has no number."""
    if not items:
        raise BadValue("the record does not have as many cells as there are headings")
    if items.get("005A", "1") != "1":
        raise BadValue(f"a record of a route under the bridge (5A is {items['005A'] or 'blank'})")
    number = items["008"]
    if not number:
        raise BadValue("the record has no structure number (Item 8)")
    code = items["043A"] + items["043B"].zfill(2)
    length, width, area_from = _size(items, feet)
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
        "span_ft": _span(items, feet, seen),
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


def _size(items: Mapping[str, str], feet: frozenset[str]) -> tuple[float | None, float | None, str]:
    """Length and width in feet, and the items they are; a culvert without a deck takes the approach width."""
    length, width = _feet(items, "049", feet), _feet(items, "052", feet)
    if width is None and items["043B"].zfill(2) == _CULVERT:
        return length, _feet(items, "032", feet), "NBI Item 49 x Item 32"
    return length, width, "NBI Item 49 x Item 52"


def _feet(items: Mapping[str, str], item: str, feet: frozenset[str]) -> float | None:
    """A length in feet; blank, N and zero, which the inventory writes for none, are None."""
    shown = items.get(item, "")
    try:
        return None if shown in _NOT_GIVEN else parse_length_ft(shown, "ft" if item in feet else "m")
    except NotAboveZero:
        return None


def _span(items: Mapping[str, str], feet: frozenset[str], seen: _Seen) -> float | None:
    try:
        return _feet(items, "048", feet)
    except BadValue:
        seen.no_span += 1
        return None


def _whole(shown: str) -> int | None:
    plain = shown.removesuffix(".0")
    return int(plain) if plain.isdecimal() and int(plain) > 0 else None


def _skew(shown: str, seen: _Seen) -> float | None:
    shown = shown.removesuffix(".0")
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
    if seen.no_span:
        text = f"For {count(seen.no_span, 'bridge')} the longest span (Item 48) cannot be read; it is left empty."
        found.append(("span_not_read", "note", text, ""))
    return [Finding(code, severity, text, do, grid.place()) for code, severity, text, do in found]

"""What the engineer says about a file: which column is what, where the headings stand, when the letting was.

Written as a small TOML file beside the file (`letting_x.columns.toml`) or made on the Records page. A mapping says
nothing of the data: the file goes through the same readers, and every rule and finding applies.
"""

from __future__ import annotations

import datetime as dt
import json
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from bidlens.errors import BadValue, Place, UnreadableFile
from bidlens.ingest import cells, lists
from bidlens.ingest.headers import Header
from bidlens.ingest.layout import Layout, fields, layouts
from bidlens.ingest.proposal_fields import nearest

#: Kinds of file whose columns can be told.
KINDS_TOLD = ("bid-tab", "structures", "proposals", "program", "cost-index")
SIDECAR = ".columns.toml"
KEYS = ("name", "kind", "layout", "sheet", "header_row", "letting_date", "contract", "not_used", "columns")
_EXAMPLE = 'columns = { item_code = "Spec", unit_price = "Bid" }'

#: Other words for a field that people who know the record will write.
SYNONYMS: Mapping[str, Mapping[str, str]] = {
    "bid-tab": {
        "contract_id": "contract", "pay_unit": "unit", "extension": "amount", "status": "bid_status", "rank": "order",
        "total": "bid_total", "engineers_estimate": "estimate_price",
    },
    "structures": {
        "structure": "structure_id", "contract": "contract_id", "length_ft": "length", "width_ft": "width",
        "deck_area_sf": "deck_area", "span_ft": "span", "skew_deg": "skew",
    },
    "program": {
        "structure": "structure_id", "length_ft": "length", "width_ft": "width", "skew_deg": "skew",
        "letting_date": "letting",
    },
    "proposals": {"structure_id": "structure", "length_ft": "length", "width_ft": "width", "span_ft": "span",
                  "skew": "skew_deg", "price": "price_usd", "proposal_id": "proposal", "proposal_date": "date"},
    "cost-index": {"date": "quarter", "month": "quarter", "index": "value"},
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class ColumnMapping:
    """Which column is what, as told.

    columns : field -> headings or column letters, in order; not_used : headings or letters of columns to leave out.
    header_row : row of the headings, counted from 1; found by the headings told when None.
    letting_date, contract : of this file, where it does not say them itself; never kept for later files.
    source : where it was said, as shown in messages.
    """

    name: str
    columns: Mapping[str, tuple[str, ...]]
    kind: str = ""
    layout: str = ""
    sheet: str = ""
    header_row: int | None = None
    letting_date: dt.date | None = None
    contract: str = ""
    not_used: tuple[str, ...] = ()
    source: str = field(default="the columns told", compare=False)

    def as_toml(self) -> str:
        """The mapping as it would be written by hand; read again it is the same."""
        facts: dict[str, object] = {
            "name": self.name, "kind": self.kind, "layout": self.layout, "sheet": self.sheet,
            "header_row": self.header_row, "letting_date": self.letting_date, "contract": self.contract,
            "not_used": self.not_used,
        }  # fmt: skip
        lines = [f"{key} = {_toml(value)}" for key, value in facts.items() if value not in ("", None, ())]
        told = [f"{name} = {_toml(names[0] if len(names) == 1 else names)}" for name, names in self.columns.items()]
        return "\n".join([*lines, "", "[columns]", *told]) + "\n"

    def for_later_files(self) -> ColumnMapping:
        """The part that holds for the next file with the same headings: not its date, contract, sheet or row."""
        return replace(self, letting_date=None, contract="", sheet="", header_row=None)


def _toml(value: object) -> str:
    if isinstance(value, tuple):
        return "[" + ", ".join(map(_toml, value)) + "]"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return str(value)


def beside(path: Path) -> Path | None:
    """The mapping that stands beside a file, if there is one: `letting_x.columns.toml` beside `letting_x.csv`."""
    found = path.with_name(path.stem + SIDECAR)
    return found if found.is_file() else None


def read_mapping(path: str | Path, name: str | None = None) -> ColumnMapping:
    """A mapping from its TOML file. name : shown name if the path is a temporary copy."""
    path = Path(path)
    shown = name or path.name
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise UnreadableFile(f"the file cannot be opened ({error.strerror})", where=shown) from error
    except UnicodeDecodeError as error:
        raise UnreadableFile("the file is not UTF-8 text", where=shown, do="Save it as UTF-8.") from error
    return parse_mapping(text, shown)


def parse_mapping(text: str, source: str) -> ColumnMapping:
    """A mapping from its TOML text. source : its file, for messages; names a mapping that has no name of its own.

    Raises BadValue for a key, kind, layout or field there is not, with the nearest one and those there are.
    """
    try:
        told = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadValue(
            f"the file is not valid TOML: {error}", where=source, do=f"Put text in quotation marks, as in {_EXAMPLE}."
        ) from error
    for key in told:
        if key not in KEYS:
            raise BadValue(
                f"“{key}” is no part of a mapping", where=source, do=f"{nearest(key, KEYS)}Parts: {', '.join(KEYS)}."
            )
    columns, not_used = _columns(told.get("columns", {}), source), _names(told.get("not_used", []), "not_used", source)
    kind, layout = _one_of(told, "kind", KINDS_TOLD, source), _one_of(told, "layout", layout_names(), source)
    kind = kind or ("bid-tab" if layout else "")
    if layout and kind != "bid-tab":
        raise BadValue(f"a {kind} file has no layout", where=source, do='Leave out layout, or say kind = "bid-tab".')
    mapping = ColumnMapping(
        name=_text(told, "name", source) or source.removesuffix(SIDECAR),
        columns=columns,
        kind=kind,
        layout=layout,
        sheet=_text(told, "sheet", source),
        header_row=_row(told.get("header_row"), source),
        letting_date=_day(told.get("letting_date"), source),
        contract=_text(told, "contract", source),
        not_used=not_used,
        source=source,
    )
    return with_field_names(mapping, kind) if kind else mapping


def field_names(kind: str) -> tuple[str, ...]:
    """The fields a column of this kind of file can be."""
    if kind == "bid-tab":
        return tuple(fields())
    return ("quarter", "value") if kind == "cost-index" else tuple(lists.stems_of(kind))


def layout_names() -> tuple[str, ...]:
    """The bid tab layouts a mapping may name, by layout or by shape."""
    return tuple(dict.fromkeys(name for layout in layouts() for name in (layout.name, layout.shape)))


def with_field_names(mapping: ColumnMapping, kind: str) -> ColumnMapping:
    """The mapping for a kind of file, its field names those of that kind. Raises BadValue for a field there is not."""
    known = field_names(kind)
    columns: dict[str, tuple[str, ...]] = {}
    for told, names in mapping.columns.items():
        name = told if told in known else SYNONYMS[kind].get(told, told)
        if name not in known:
            near = nearest(told, (*known, *SYNONYMS[kind]))
            raise BadValue(
                f"“{told}” is no field of a {kind} file",
                where=f"{mapping.source}, [columns]",
                do=f"{near}Fields: {', '.join(known)}.",
            )
        if name in columns:
            raise BadValue(f"{name} is told twice", where=f"{mapping.source}, [columns]", do="Keep one of the lines.")
        columns[name] = names
    return replace(mapping, kind=kind, columns=columns)


def layout_of(mapping: ColumnMapping, header: Header) -> Layout | None:
    """The bid tab layout told, or the first whose columns are all there; None where columns are missing."""
    named = [layout for layout in layouts() if mapping.layout in (layout.name, layout.shape) or not mapping.layout]
    return next((layout for layout in named if header.columns.keys() >= set(layout.required)), None)


def fewest_missing(mapping: ColumnMapping, kind: str, header: Header, required: Sequence[tuple[str, ...]]) -> list[str]:
    """The fields still to be told, by the layout or alternative that lacks fewest."""
    if kind == "bid-tab":
        named = [layout for layout in layouts() if mapping.layout in (layout.name, layout.shape) or not mapping.layout]
        required = [layout.required for layout in named]
    lacking = [[name for name in wanted if name not in header.columns] for wanted in required]
    return min(lacking, key=len, default=[])


# --- the parts of the file ----------------------------------------------------------------------------------------


def _columns(told: object, source: str) -> dict[str, tuple[str, ...]]:
    if not isinstance(told, dict):
        raise BadValue("columns is not a table", where=source, do=f"Write {_EXAMPLE}.")
    return {name: _names(value, name, f"{source}, [columns]") for name, value in told.items()}


def _names(told: object, name: str, source: str) -> tuple[str, ...]:
    names = told if isinstance(told, list) else [told]
    for one in names:
        if not isinstance(one, str) or not one.strip():
            raise BadValue(
                f"{name} is “{one}”", where=source, do='Write the heading, or the column\'s letter, as text: "C".'
            )
    return tuple(names)


def _text(told: Mapping[str, Any], key: str, source: str) -> str:
    value = told.get(key, "")
    if not isinstance(value, str):
        raise BadValue(f"{key} is “{value}”", where=source, do="Write it as text in quotation marks.")
    return value.strip()


def _one_of(told: Mapping[str, Any], key: str, known: Sequence[str], source: str) -> str:
    value = _text(told, key, source)
    if value and value not in known:
        raise BadValue(
            f"there is no {key} “{value}” to tell columns of",
            where=source,
            do=f"{nearest(value, known)}There are: {', '.join(known)}.",
        )
    return value


def _row(value: object, source: str) -> int | None:
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int) or value < 1:
        raise BadValue(f"header_row is “{value}”", where=source, do="Give the row of the headings, counted from 1.")
    return value


def _day(value: object, source: str) -> dt.date | None:
    if value is None:
        return None
    if isinstance(value, str | dt.date):
        return cells.date(value, Place(source))
    raise BadValue(f"letting_date is “{value}”", where=source, do="Write it as 2031-04-08.")

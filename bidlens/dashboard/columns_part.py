"""Before a file comes in: what was recognised in it, a choice for each column to correct it, and what that changes."""

from __future__ import annotations

import datetime as dt
import hashlib
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar

import pandas as pd
import streamlit as st

from bidlens import ingest, wording
from bidlens.dashboard import blocks, cache
from bidlens.dashboard.words import esc, label
from bidlens.errors import BidlensError
from bidlens.ingest import ColumnMapping, ColumnRead, Recognition, SheetRead
from bidlens.ingest.mapping import SIDECAR
from bidlens.workflow import ImportResult

ACROSS = 4  # choices beside each other
NOT_USED = "not used"
_KEPT_ANSWERS = 24
#: How the codes of findings end that say what would become of a contract on record.
OF_THE_RECORD = ("_on_record", "_replaced", "_kept_twice")
_HEADS = {"contract_id": "contract", "rank_corrected": "place", "total_corrected": "total", "pay_unit": "unit"}
_EARLIEST = dt.date(1950, 1, 1)
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Choices:
    """What is chosen for an import beside the columns, as `Database.import_files` has it."""

    kind: str | None
    again: str
    award: str | None


def show(files: Sequence[Any], choices: Choices) -> tuple[dict[str, ColumnMapping], bool]:
    """What was recognised in the uploads, one looked at at a time, and what would come in by the choices made.

    Returns the corrections, `key_of` a file -> mapping, and whether there is something to import: not where the only
    file would not come in as it stands.
    """
    data = [file for file in files if not file.name.endswith(SIDECAR)]
    if not data:
        return {}, True
    blocks.section(
        "What was recognised", "Nothing is stored yet. Correct what is wrong; the effect shows below at once."
    )
    told: dict[str, ColumnMapping] = st.session_state.setdefault("columns told", {})
    for key in set(told) - {key_of(file) for file in data}:
        told.pop(key)
    file = data[0] if len(data) == 1 else _looked_at(data)
    written = next((one for one in files if one.name == Path(file.name).stem + SIDECAR), None)
    with blocks.stops_shown():
        beside = _written(written) if written else None
        mapping, comes_in = _file(file, choices, beside)
        told.pop(key_of(file), None)
        if mapping is not None:
            told[key_of(file)] = mapping
        return dict(told), comes_in or len(data) > 1
    return dict(told), len(data) > 1


def _written(file: Any) -> ColumnMapping:
    """A mapping uploaded along with the file it speaks of."""
    with _copied(file) as path:
        return ingest.read_mapping(path, file.name)


def _looked_at(data: Sequence[Any]) -> Any:
    """The one upload looked at; two of one name are told apart by their place."""
    number = st.selectbox(
        f"Look at one of {len(data)} files", range(len(data)), key="look_at", width=420,
        format_func=lambda place: label(f"{place + 1}. {data[place].name}") if place < len(data) else "",
    )  # fmt: skip
    return data[min(number or 0, len(data) - 1)]


def _file(file: Any, choices: Choices, beside: ColumnMapping | None) -> tuple[ColumnMapping | None, bool]:
    """One file: what was recognised, the choices, what would come in.

    Returns the mapping where it was corrected, and whether the file would come in.
    """
    key, kind = key_of(file), choices.kind
    row = _chosen(key).get("header row")
    found = _recognised(file, kind, beside, row)
    sheet = _sheet_of(found, key)
    mapping = None
    if sheet is not None and (kind or found.kind or "bid-tab") in ingest.KINDS_TOLD:
        mapping = _choices(found, sheet, key, kind or found.kind or "bid-tab", row)
    mapping = mapping or beside
    return mapping, _effect(file, choices, found, sheet, mapping)


def _sheet_of(found: Recognition, key: str) -> SheetRead | None:
    if len(found.sheets) < 2:
        return next(iter(found.sheets), None)
    titles = [sheet.sheet for sheet in found.sheets]
    title = st.selectbox("Sheet", titles, format_func=label, key=f"sheet_{key}", width=420)
    return found.sheets[titles.index(title)]


# --- the choices --------------------------------------------------------------------------------------------------


def _choices(found: Recognition, sheet: SheetRead, key: str, kind: str, row: int | None) -> ColumnMapping | None:
    """Headings row, letting date, and a choice for each column; the mapping they make, None if nothing was changed."""
    if sheet.unsure:
        blocks.note(f"Not sure: {'; '.join(reason.replace('_', ' ') for reason in sheet.unsure)}.")
    chosen = _chosen(key)
    if not sheet.columns_can_be_told:
        day = _letting_date(sheet, key)
        return _date_alone(found, kind, day) if day else None
    with st.container(horizontal=True, vertical_alignment="bottom", key="recognised_facts"):
        at = st.number_input("Row of the headings", 1, None, sheet.header_row or 1, key=f"row_{key}", width=180)
        if at != sheet.header_row:
            chosen["header row"] = int(at)
            st.rerun()
        day = _letting_date(sheet, key) if kind == "bid-tab" else None
    fields = _columns(sheet, f"{key}_{sheet.header_row}_{sheet.sheet}", kind)
    read = {column.letter: column.field for column in sheet.columns}
    changed = fields != read or (row is not None and not found.mapping)
    if not changed and day is None:
        return None
    if not changed:
        return _date_alone(found, kind, day)
    name = st.text_input(
        "Keep these columns under the name", found.mapping or Path(found.file).stem, key=f"name_{key}", width=420,
        help="Later files with the same headings are read the same way.",
    )  # fmt: skip
    mapping = ingest.mapping_of(sheet, label(name) or Path(found.file).stem, fields, kind)
    return replace(mapping, letting_date=day, source="the Records page")


def _date_alone(found: Recognition, kind: str, day: dt.date | None) -> ColumnMapping:
    return ColumnMapping(Path(found.file).stem, {}, kind=kind, letting_date=day, source="the Records page")


def _letting_date(sheet: SheetRead, key: str) -> dt.date | None:
    """A date to type where none was found; the one found is shown as text."""
    if sheet.letting_date:
        st.text_input(
            "Letting date", f"{sheet.letting_date}, {sheet.letting_date_from}", disabled=True,
            key=f"date_found_{key}_{sheet.header_row}", width=420,
        )  # fmt: skip
        return None
    found: dt.date | None = st.date_input(
        "Letting date (none was found)", None, min_value=_EARLIEST, key=f"date_{key}", width=260, format="YYYY-MM-DD"
    )
    return found


def _columns(sheet: SheetRead, key: str, kind: str) -> dict[str, str]:
    """Column letter -> the field chosen for it."""
    options = ["", *ingest.field_names(kind)]
    remembered = _chosen(key)
    used = sum(bool(column.field) for column in sheet.columns)
    fields: dict[str, str] = {}
    with st.expander(f"Columns: {used} of {len(sheet.columns)} were recognised", expanded=True):
        for start in range(0, len(sheet.columns), ACROSS):
            beside = st.columns(ACROSS)
            for place, column in zip(beside, sheet.columns[start : start + ACROSS], strict=False):
                with place:
                    field = remembered.get(column.letter, column.field)
                    st.html(_heading(column))
                    picked = st.selectbox(
                        f"Column {column.letter}",
                        options,
                        options.index(field) if field in options else 0,
                        format_func=field_words,
                        key=f"column_{key}_{column.letter}",
                        label_visibility="collapsed",
                    )
                    remembered[column.letter] = fields[column.letter] = picked or ""
    return fields


def _heading(column: ColumnRead) -> str:
    """Letter, heading and first values of a column; HTML, since a label would make links of them."""
    heading = esc(column.heading, 32) if column.heading else '<span class="bl-not-given">no heading</span>'
    values = esc(" · ".join(column.first) or "blank", 38)
    return f'<p class="bl-lead"><b>{esc(column.letter)}</b> {heading}<br><small>{values}</small></p>'


def field_words(field: str) -> str:
    """A field's name in plain words."""
    return _HEADS.get(field, field.replace("_", " ")) if field else NOT_USED


# --- what would come in -------------------------------------------------------------------------------------------


def _effect(
    file: Any, choices: Choices, found: Recognition, sheet: SheetRead | None, mapping: ColumnMapping | None
) -> bool:
    """What would come in, or why it would not; whether it would."""
    result = _tried(file, choices, mapping)
    if result.error:
        if sheet is not None:
            _as_understood(_as_chosen(file, choices.kind, mapping) or sheet)
        blocks.stopped(result.error, "It would not come in.")
        return False
    facts: dict[str, object] = {
        "Kind": f"{result.kind}, {result.layout}",
        "Rows read": wording.number(result.rows_read),
        "Kept": wording.number(result.rows_kept),
        "Set aside": wording.number(result.rows_set_aside),
        _what_came(result.kind): wording.number(result.contracts),
    }
    if found.mapping or mapping:
        facts["Columns told by"] = mapping.name if mapping and mapping.columns else found.mapping or "the date typed"
    blocks.title_block(facts)
    if result.status == "already imported":
        blocks.findings(result.findings)
        return False
    doubts = [finding for finding in result.findings if finding.code != "columns_told"]
    blocks.findings(sorted(doubts, key=lambda finding: not finding.code.endswith(OF_THE_RECORD)))
    if result.bids is not None:
        blocks.section("First bids, as they would be ranked")
        blocks.table(*_rows(result.bids))
    if result.first_items is not None and len(result.first_items):
        blocks.section("First rows, as they would come in")
        blocks.table(*_rows(result.first_items))
    return True


def _what_came(kind: str) -> str:
    return {"bid-tab": "Contracts", "cost-index": "Quarters", "proposals": "Proposals"}.get(kind, "Bridges")


def _as_chosen(file: Any, kind: str | None, mapping: ColumnMapping | None) -> SheetRead | None:
    """The sheet as the choices make it understood; None where they do not fit it."""
    try:
        sheets = _recognised(file, kind, mapping, None).sheets if mapping else ()
    except BidlensError:
        return None
    return next(iter(sheets), None)


def _as_understood(sheet: SheetRead) -> None:
    """The first rows by the fields their columns were taken for."""
    fields = list(dict.fromkeys(field for row in sheet.first_rows for field in row))
    if fields:
        blocks.section("First rows, as understood so far")
        blocks.table(
            [blocks.Column(field_words(field)) for field in fields],
            [[row.get(field, "") for field in fields] for row in sheet.first_rows],
        )


_NUMBERS = (
    "quantity",
    "unit_price",
    "extension",
    "rank_corrected",
    "total_corrected",
    "value",
    "price_usd",
    "price_per_sf",
)


def _rows(frame: pd.DataFrame) -> tuple[list[blocks.Column], list[list[object]]]:
    kinds = {name: "n" if name in _NUMBERS else "nowrap" if name == "letting_date" else "" for name in frame}
    shown = [name for name in frame if not frame[name].astype("str").eq("").all()]
    heads = [blocks.Column(field_words(str(name)), kinds[name]) for name in shown]
    return heads, [[_cell(row[name], kinds[name]) for name in shown] for row in frame.to_dict("records")]


def _cell(value: Any, kind: str) -> str:
    if pd.isna(value):
        return ""
    if kind == "n":
        exact = wording.number(float(value), 2)
        return exact.removesuffix(".00") if not exact.startswith("$") else exact
    return f"{value:%Y-%m-%d}" if isinstance(value, dt.date) else label(value, 60)


# --- asked of the record, once for each answer --------------------------------------------------------------------


def key_of(file: Any) -> str:
    """What tells one upload from another: its name and its bytes."""
    return hashlib.sha256(file.name.encode(errors="replace") + file.getvalue()).hexdigest()[:12]


def _chosen(key: str) -> dict[str, Any]:
    """What was chosen for a file so far, for when it is looked at again."""
    chosen: dict[str, Any] = st.session_state.setdefault("columns chosen", {}).setdefault(key, {})
    return chosen


def _recognised(file: Any, kind: str | None, beside: ColumnMapping | None, row: int | None) -> Recognition:
    def ask() -> Recognition:
        with _copied(file) as path:
            return cache.database().recognise(
                path, kind, name=file.name, columns=None if row else beside, header_row=row
            )

    return _once(("recognised", key_of(file), kind, beside and beside.as_toml(), row), ask)


def _tried(file: Any, choices: Choices, mapping: ColumnMapping | None) -> ImportResult:
    def ask() -> ImportResult:
        with _copied(file) as path:
            return cache.database().import_files(
                [path], choices.kind, dry_run=True, names=[file.name], columns=[mapping], again=choices.again,
                award=choices.award,
            )[0]  # fmt: skip

    return _once(("tried", key_of(file), choices, mapping and mapping.as_toml()), ask)


def _once(asked: tuple[object, ...], ask: Callable[[], T]) -> T:
    """A question's answer, kept while the page is open and asked again only when the record has changed."""
    answers: dict[object, Any] = st.session_state.setdefault("columns answers", {})
    whole = (*asked, cache.database().stamp())
    if whole not in answers:
        while len(answers) >= _KEPT_ANSWERS:
            answers.pop(next(iter(answers)))
        answers[whole] = ask()
    return answers[whole]


@contextmanager
def _copied(file: Any) -> Iterator[Path]:
    """The upload as a file of our own naming, removed afterwards."""
    with tempfile.TemporaryDirectory(prefix="bidlens-") as folder:
        path = Path(folder) / f"upload{Path(file.name).suffix.lower()}"
        path.write_bytes(file.getvalue())
        yield path


def forget() -> None:
    """Nothing chosen stays once the files are in."""
    for name in ("columns told", "columns chosen", "columns answers"):
        st.session_state.pop(name, None)

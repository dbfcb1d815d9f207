"""Any file with a table in it as plain rows of cells: the first step of every reader.

Decides by the file's bytes what it is, refuses what is not a table with a clear word, and keeps every cell where the
file has it, so that row 7 in a message is row 7 on the screen of the spreadsheet program.
"""

from __future__ import annotations

import csv
import io
import pickle
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeAlias, cast

import python_calamine as calamine

from bidlens.errors import Place, UnreadableFile
from bidlens.findings import Finding
from bidlens.ingest import guard
from bidlens.ingest.big_text import WORTH_IT_FROM_BYTES, read_columns
from bidlens.ingest.coded import Cell as Cell
from bidlens.ingest.fixed_lines import fixed_lines
from bidlens.ingest.old_workbook import sheets_of
from bidlens.ingest.said import Told

Block: TypeAlias = tuple[tuple[int, int], tuple[int, int]]  # first and last (row, column) of merged cells, from 0

DELIMITERS = (",", ";", "\t")
OLD_WORKBOOK_SECONDS = 120
_OPENER = Path(__file__).with_name("old_workbook.py")
_WORKBOOKS = {".xlsx", ".xlsm"}
_OLD_WORKBOOKS = {".xls"}
_TEXTS = {".csv", ".txt", ".tsv", ".tab"}


@dataclass(slots=True, eq=False)
class Grid:
    """One sheet, or one text file, as it stands.

    file : name shown in messages. sheet : its name; empty for text files.
    rows : rows of cells; blank cells are ``""``. Row number in messages = index + 1. Rows of text files may differ in
        length; workbook rows do not.
    hidden : the sheet is hidden in the workbook. merged : blocks of merged cells (the value stands top left).
    findings : what was noticed while opening, for example an old encoding. told : what the engineer said about it.
    """

    file: str
    sheet: str
    rows: Sequence[list[Cell]]
    hidden: bool = False
    merged: list[Block] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    told: Told | None = None

    def place(self, row_index: int | None = None, column: str | None = None) -> Place:
        """Where a row (counted from 0) or the sheet stands, for messages."""
        return Place(self.file, self.sheet or None, None if row_index is None else row_index + 1, column)


def is_blank(row: list[Cell]) -> bool:
    """No cell of the row holds anything but white space."""
    return all(cell == "" or (isinstance(cell, str) and not cell.strip()) for cell in row)


def read_grids(path: str | Path, name: str | None = None) -> list[Grid]:
    """Every sheet of a workbook, or the one table of a text file, in the file's order; hidden sheets are marked.

    name : shown name if the path is a temporary copy. Raises UnreadableFile, saying what the file is instead.
    """
    path = Path(path)
    shown = name or path.name
    guard.check_file(path, shown)
    with path.open("rb") as stream:
        start = stream.read(4096)
    ending = Path(shown).suffix.lower()
    if ending in _WORKBOOKS | _OLD_WORKBOOKS and guard.is_locked_workbook(path):
        raise _protected(shown)
    _check_content(start, ending, shown)
    if ending in _TEXTS:
        return [_read_text(path, shown)]
    if ending in _OLD_WORKBOOKS:
        guard.check_old_workbook(path, shown)
        return _read_old_workbook(path, shown)
    without_value = guard.check_workbook(path, shown)
    grids = _read_workbook(path, shown)
    if without_value:
        grids[0].findings.append(_formula_note(shown, without_value))
    return grids


def _check_content(start: bytes, ending: str, name: str) -> None:
    """Refuse files whose content is not what their ending says, or no table at all."""
    held = _what_is_it(start)
    if ending == ".pdf":
        raise UnreadableFile("a PDF is read as a bid tab only", where=name, do="Save the table as .xlsx or .csv.")
    if ending not in _TEXTS | _WORKBOOKS | _OLD_WORKBOOKS:
        raise UnreadableFile(
            f"files ending in “{ending}” are not read" if ending else "the file has no ending that says what it is",
            where=name,
            do="Save the table as .xlsx or .csv and import that.",
        )
    wanted = "text" if ending in _TEXTS else "new workbook" if ending in _WORKBOOKS else "old workbook"
    if held == wanted:
        return
    told = {
        "text": "plain text",
        "new workbook": "an .xlsx workbook",
        "old workbook": "an .xls workbook, or a workbook protected by a password",
        "web page": "a web page or XML",
        "PDF": "a PDF",
    }[held]
    rename = {"text": ".csv", "new workbook": ".xlsx", "old workbook": ".xls", "PDF": ".pdf"}.get(held)
    raise UnreadableFile(
        f"the name ends in “{ending}” but the file holds {told}",
        where=name,
        do=f"Rename it to end in {rename}, or open it and save it as .xlsx."
        if rename
        else "Open it in a spreadsheet program and save it as .xlsx.",
    )


def _what_is_it(start: bytes) -> str:
    if start.startswith((b"PK\x03\x04", b"PK\x05\x06")):
        return "new workbook"
    if start.startswith(b"\xd0\xcf\x11\xe0"):
        return "old workbook"
    if b"%PDF-" in start[:1024]:
        return "PDF"
    head = start.lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    return "web page" if head.startswith((b"<html", b"<!doctype", b"<?xml", b"<table")) else "text"


# --- text files ---------------------------------------------------------------------------------------------------


def _read_text(path: Path, name: str) -> Grid:
    if path.stat().st_size >= WORTH_IT_FROM_BYTES and (by_column := _read_large_text(path)) is not None:
        return Grid(name, "", by_column)
    why = " where lines differ in their number of cells or are not UTF-8"
    guard.check_size(path.stat().st_size, guard.MAX_FILE_BYTES, name, why)
    text, findings = _decode(path.read_bytes(), name)
    if not text.strip():
        raise UnreadableFile("the file holds nothing but blanks", where=name, do="Export or download it again.")
    if Path(name).suffix.lower() == ".txt" and (lines := fixed_lines(text, DELIMITERS)) is not None:
        return Grid(name, "", [[line] for line in lines], findings=findings)
    rows: list[list[Cell]] = []
    try:
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=True):
            rows.append(list(row))
    except csv.Error as error:
        raise UnreadableFile(
            f"the text cannot be split into cells ({error})",
            where=Place(name, row=len(rows) + 1),
            do="Look for a quotation mark that is opened and not closed, correct it and import again.",
        ) from error
    return Grid(name, "", rows, findings=findings)


def _read_large_text(path: Path) -> Sequence[list[Cell]] | None:
    """A large plain table by column; None if it must be read line by line."""
    with path.open("rb") as stream:
        start = stream.read(65536)
    lines = start.decode("utf-8-sig", "ignore").rsplit("\n", 1)[0]
    return cast("Sequence[list[Cell]] | None", read_columns(path, _delimiter(lines)))


def _decode(raw: bytes, name: str) -> tuple[str, list[Finding]]:
    """The text, and a note where it is not UTF-8. cp1252 is what older office programs write."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        encoding, findings = "utf-16", [_encoding_note(name, "UTF-16")]
    else:
        encoding, findings = "utf-8-sig", []
        if b"\x00" in raw:
            raise UnreadableFile(
                f"the file holds a NUL byte (at byte {raw.index(0):,}): it is not a text table, or it is damaged",
                where=name,
                do="Export or download it again.",
            )
    try:
        return raw.decode(encoding), findings
    except UnicodeDecodeError:
        pass
    try:
        return raw.decode("cp1252"), [_encoding_note(name, "Windows-1252")]
    except UnicodeDecodeError as error:
        raise UnreadableFile(
            f"the text is neither UTF-8 nor Windows-1252 (byte {error.start:,} fits neither)",
            where=name,
            do="Save it as CSV UTF-8 from the spreadsheet program.",
        ) from error


def _encoding_note(name: str, encoding: str) -> Finding:
    return Finding(
        "encoding_guessed",
        "note",
        f"{name} is not UTF-8; it was read as {encoding}",
        do="Look whether accents, dashes and quotation marks came in right.",
        place=Place(name),
    )


def _delimiter(text: str) -> str:
    """Comma, semicolon or tab: the one that splits the first lines into the most cells, alike from line to line."""
    lines = [line for line in text[:65536].splitlines() if line.strip()][:40]

    def score(delimiter: str) -> tuple[int, int]:
        widths = [len(row) for row in csv.reader(lines, delimiter=delimiter)]
        wide = [width for width in widths if width > 1]
        common = max(wide, key=wide.count, default=0)
        return widths.count(common) if common else 0, common

    return max(DELIMITERS, key=score)


def _formula_note(name: str, count: int) -> Finding:
    return Finding(
        "formula_without_value",
        "check",
        f"{name} holds {count:,} formulas whose results are not stored in it; their cells were read as blank",
        do="Open it in a spreadsheet program, save it, and import it again.",
        place=Place(name),
    )


# --- workbooks ----------------------------------------------------------------------------------------------------


def _read_workbook(path: Path, name: str) -> list[Grid]:
    """Every worksheet of an .xlsx that the guard has let through."""
    try:
        sheets = sheets_of(path)
    except calamine.PasswordError as error:
        raise _protected(name) from error
    except (calamine.CalamineError, OSError, ValueError) as error:
        raise _broken(name, str(error)) from error
    return _grids(sheets, name)


def _read_old_workbook(path: Path, name: str) -> list[Grid]:
    """Every worksheet of an .xls, opened in a process of its own.

    That format cannot be looked through beforehand, and a damaged file can end the process that opens it.
    """
    command = [sys.executable, "-I", str(_OPENER), str(path.resolve())]
    try:
        opened = subprocess.run(command, capture_output=True, check=False, timeout=OLD_WORKBOOK_SECONDS)
    except subprocess.TimeoutExpired as error:
        raise _broken(name, f"it was not open after {OLD_WORKBOOK_SECONDS} seconds") from error
    if opened.returncode != 0:
        said = opened.stderr.decode("utf-8", "replace").strip().splitlines()
        raise _protected(name) if said and "assword" in said[-1] else _broken(name, "it is damaged")
    return _grids(pickle.loads(opened.stdout), name)  # written by ourselves a moment ago


def _grids(sheets: list[tuple[str, bool, list[Block], list[list[Cell]]]], name: str) -> list[Grid]:
    if not sheets:
        raise _broken(name, "it holds no sheet")
    return [Grid(name, title, rows, hidden, merged) for title, hidden, merged, rows in sheets]


def _protected(name: str) -> UnreadableFile:
    return UnreadableFile("the workbook is protected by a password", where=name, do="Save a copy without it.")


def _broken(name: str, why: str) -> UnreadableFile:
    return UnreadableFile(
        f"the workbook cannot be opened ({why})", where=name, do="Open it in a spreadsheet program and save it again."
    )

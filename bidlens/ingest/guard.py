"""Refuse files that are unsafe or useless to open, before any reader touches them.

A workbook is a zip archive: a small one can unpack to gigabytes, and one stray cell in the last corner of a sheet makes
a reader reserve billions of cells and takes the whole program down. Both are refused here, from the archive alone.
"""

from __future__ import annotations

import mmap
import re
import zipfile
import zlib
from pathlib import Path
from typing import BinaryIO

from bidlens.errors import UnreadableFile

MAX_FILE_BYTES = 200 * 2**20
MAX_TEXT_BYTES = 2**30  # plain tables of text are read by column, which takes about as much memory as the file
TEXT_ENDINGS = frozenset({".csv", ".txt", ".tsv", ".tab"})
MAX_OLD_WORKBOOK_BYTES = 50 * 2**20  # .xls cannot be looked through before it is opened
MAX_UNPACKED_BYTES = 512 * 2**20
MAX_UNPACK_RATIO = 200
RATIO_MATTERS_FROM = 2**20
MAX_CELLS = 20_000_000

# An `r` attribute other than a row up to 99,999, or a cell up to there and column Z. Begins with one letter on
# purpose: that keeps the search quick. Attributes that only end in r are told apart by what stands before.
_UNUSUAL = re.compile(rb"r\s*=\s*[\"'](?![A-Za-z]?[0-9]{1,5}[\"'])")
_PLACE = re.compile(rb"(?<=\s)r\s*=\s*[\"']([^\"']*)[\"']")
_CELL_OR_ROW = re.compile(rb"([A-Za-z]{1,3})?([0-9]{1,7})")
_CLAIM = re.compile(rb"[cC]ount\s*=\s*[\"']\s*([0-9]+)")
_NO_VALUE = re.compile(rb"<f(?:\s[^>]*)?(?:/>|>[^<]*</f>)\s*(?:</c>|<v\s*/>|<v></v>)")
_LOCKED = "EncryptedPackage".encode("utf-16-le")


def check_file(path: Path, name: str) -> None:
    """Refuse what is not a readable file of sensible size: missing, folders, lock files, empty, too large.

    name : the name shown in messages. Raises UnreadableFile.
    """
    if name.startswith("~$"):
        raise UnreadableFile(
            "this is the lock file a spreadsheet program leaves beside an open workbook, not a workbook",
            where=name,
            do="Import the workbook of the same name without “~$”.",
        )
    if path.is_dir():
        raise UnreadableFile("this is a folder, not a file", where=name, do="Name the files inside it.")
    if not path.exists():
        linked = " (the link leads nowhere)" if path.is_symlink() else ""
        raise UnreadableFile(f"there is no such file{linked}", where=name, do="Check the name and the folder.")
    if not path.is_file():
        raise UnreadableFile("this is a device or a pipe, not a file", where=name, do="Save it as a file first.")
    size = path.stat().st_size
    if size == 0:
        raise UnreadableFile("the file is empty", where=name, do="Export or download it again.")
    check_size(size, MAX_TEXT_BYTES if Path(name).suffix.lower() in TEXT_ENDINGS else MAX_FILE_BYTES, name)


def check_size(size: int, most: int, name: str, why: str = "") -> None:
    """Refuse a file of more bytes than are read. why : said of files of that sort."""
    if size > most:
        raise UnreadableFile(
            f"the file is {size / 2**20:,.0f} MB, more than the {most / 2**20:,.0f} MB that are read{why}",
            where=name,
            do="Split it by letting and import the parts.",
        )


def check_old_workbook(path: Path, name: str) -> None:
    """Refuse an .xls above the size that a sheet of that format can honestly have."""
    size = path.stat().st_size
    if size > MAX_OLD_WORKBOOK_BYTES:
        raise UnreadableFile(
            f"the .xls workbook is {size / 2**20:,.0f} MB, more than the {MAX_OLD_WORKBOOK_BYTES / 2**20:,.0f} MB "
            "that are read in this old format",
            where=name,
            do="Save it as .xlsx and import that.",
        )


def is_locked_workbook(path: Path) -> bool:
    """The file is the container in which a workbook saved with a password is kept, whatever its ending.

    It begins as an .xls does and names the stream that holds the workbook in its directory (MS-OFFCRYPTO, 2.3.4.4).
    """
    with path.open("rb") as stream, mmap.mmap(stream.fileno(), 0, access=mmap.ACCESS_READ) as raw:
        return raw[:4] == b"\xd0\xcf\x11\xe0" and raw.find(_LOCKED) >= 0


def check_workbook(path: Path, name: str) -> int:
    """Refuse an .xlsx that unpacks to too much, is damaged, or has a cell far outside any table.

    Returns how many formulas stand in it without a stored value: their cells read as blank. Unpacks each part once
    (about a tenth of the time it takes to read it). Raises UnreadableFile.
    """
    without_value = 0
    try:
        with zipfile.ZipFile(path) as archive, path.open("rb") as raw:
            parts = [part for part in archive.infolist() if part.filename.lower().endswith((".xml", ".rels", ".bin"))]
            _check_sizes(parts, name)
            for part in parts:
                content = _unpack(raw, part, name)
                _check_claims(content, name, part.filename)
                if "worksheets/" in part.filename.lower() and part.filename.lower().endswith(".xml"):
                    _check_reach(content, name, part.filename)
                    without_value += len(_NO_VALUE.findall(content)) if b"<f" in content else 0
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError) as error:
        raise UnreadableFile(
            "the workbook is damaged or was not downloaded to its end", where=name, do="Download or save it again."
        ) from error
    return without_value


def _check_sizes(parts: list[zipfile.ZipInfo], name: str) -> None:
    unpacked = sum(part.file_size for part in parts)
    swollen = any(
        part.file_size > RATIO_MATTERS_FROM and part.file_size > MAX_UNPACK_RATIO * max(part.compress_size, 1)
        for part in parts
    )
    if unpacked > MAX_UNPACKED_BYTES or swollen:
        raise UnreadableFile(
            f"the workbook would unpack to {unpacked / 2**20:,.0f} MB from {_packed(parts) / 2**20:,.2f} MB; "
            "it is not opened",
            where=name,
            do="Copy the table into a new workbook, or save the sheet as CSV.",
        )


def _packed(parts: list[zipfile.ZipInfo]) -> int:
    return sum(part.compress_size for part in parts)


def _unpack(raw: BinaryIO, part: zipfile.ZipInfo, name: str) -> bytes:
    """A part's content, never more than its own heading claims: a heading that lies is refused."""
    raw.seek(part.header_offset)
    head = raw.read(30)
    if len(head) < 30 or head[:4] != b"PK\x03\x04":
        raise zipfile.BadZipFile(part.filename)
    raw.seek(int.from_bytes(head[26:28], "little") + int.from_bytes(head[28:30], "little"), 1)
    packed = raw.read(part.compress_size)
    if part.compress_type == zipfile.ZIP_STORED:
        return packed
    if part.compress_type != zipfile.ZIP_DEFLATED or part.flag_bits & 1:
        raise UnreadableFile(
            "the workbook is protected by a password or packed in an unusual way",
            where=name,
            do="Open it in the spreadsheet program and save it as a plain .xlsx.",
        )
    try:
        content = zlib.decompressobj(-15).decompress(packed, part.file_size + 1)
    except zlib.error as error:
        raise zipfile.BadZipFile(part.filename) from error
    if len(content) != part.file_size:
        raise UnreadableFile(
            "the workbook does not hold what its own table of contents says; it is not opened",
            where=name,
            do="Open it in the spreadsheet program and save it again.",
        )
    return content


def _check_claims(content: bytes, name: str, part: str) -> None:
    """Refuse a part that claims to hold more entries than are ever read: a reader sets room aside for what is claimed.

    Such claims stand before and behind the rows of a sheet, never among them, so the rows are passed over.
    """
    first, last = content.find(b"sheetData"), content.rfind(b"sheetData")
    around = content if first < 0 else content[:first] + content[last:]
    claimed = max((int(number) for number in _CLAIM.findall(around)), default=0)
    if claimed > MAX_CELLS:
        raise UnreadableFile(
            f"{part.rsplit('/', 1)[-1]} claims to hold {claimed:,} entries in {len(content):,} bytes; "
            "the workbook is not opened",
            where=name,
            do="Open it in a spreadsheet program and save it again.",
        )


def _check_reach(sheet: bytes, name: str, part: str) -> None:
    """Refuse a sheet whose cells, counted from A1 to the farthest row and column, are more than `MAX_CELLS`.

    Nearly every sheet stays within 26 columns and 99,999 rows, which one quick look shows.
    """
    if not any(sheet[match.start() - 1] <= ord(" ") for match in _UNUSUAL.finditer(sheet)):
        return
    last_row = last_column = 1
    for place in set(_PLACE.findall(sheet)):
        match = _CELL_OR_ROW.fullmatch(place)
        if match is None:
            raise zipfile.BadZipFile(part)  # no spreadsheet program writes such a place
        last_column = max(last_column, _column_number(match[1] or b"A"))
        last_row = max(last_row, int(match[2]))
    if last_row * last_column > MAX_CELLS:
        raise UnreadableFile(
            f"a cell stands at row {last_row:,}, column {last_column:,} in {part.rsplit('/', 1)[-1]}, far outside any "
            "bid tab; the workbook is not opened",
            where=name,
            do="Delete the rows and columns outside the table, or copy the table into a new workbook.",
        )


def _column_number(letters: bytes) -> int:
    number = 0
    for letter in letters.upper():
        number = number * 26 + letter - 64
    return number

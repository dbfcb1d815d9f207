"""A PDF as pages of lines of words, or a plain word why it cannot be read: protected, damaged, an image, scrambled."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from bidlens.errors import Place, UnreadableFile
from bidlens.findings import Finding
from bidlens.ingest import guard
from bidlens.ingest.headers import words_of

OPENING_SECONDS = 120
_OPENER = Path(__file__).with_name("opener.py")
_SAME_LINE_PT = 2.5
_END_MARK_WITHIN = 4096  # bytes from the end in which a whole PDF says that it ends
_START_MARK_WITHIN = 1024
_TRADE_STEMS = ("bid", "quant", "qty", "price", "amount", "contract", "item", "total", "unit", "estimate", "project",
                "description", "letting", "contractor")  # fmt: skip
_NUMBER = re.compile(r"[-($]*[\d,]*\.?\d+[.%)*,:;]*")
_WORD = re.compile(r"[A-Za-z]{2,}[a-z]*")
_ASK = "Ask the agency for the spreadsheet, or for a PDF printed from its program; nothing was imported."


class Word(NamedTuple):
    """One word and its reach from left to right, in points."""

    left: float
    right: float
    text: str

    @property
    def middle(self) -> float:
        return (self.left + self.right) / 2


@dataclass(frozen=True, slots=True)
class Line:
    """Words on one baseline, left to right. number : counted from 1 down the page. height : baseline, upwards."""

    number: int
    height: float
    words: tuple[Word, ...]

    @property
    def text(self) -> str:
        return " ".join(word.text for word in self.words)


@dataclass(frozen=True, slots=True)
class Page:
    """One page that has text. number : counted from 1 in the file."""

    file: str
    number: int
    lines: tuple[Line, ...]

    @property
    def sheet(self) -> str:
        """What stands for the sheet's name in messages and in the record."""
        return f"page {self.number}"

    def place(self, line: int | None = None) -> Place:
        return Place(self.file, self.sheet, line)


def read_pages(path: Path, name: str) -> tuple[list[Page], list[Finding]]:
    """The pages of a PDF that hold words, read in a process of its own, and a finding for each that is a picture.

    Raises UnreadableFile, saying plainly why, if the file is protected, damaged, cut off, an image or scrambled.
    """
    guard.check_file(path, name)
    with path.open("rb") as stream:
        if b"%PDF-" not in stream.read(_START_MARK_WITHIN):
            raise _refused("the name ends in “.pdf” but the file holds no PDF", name)
        stream.seek(max(path.stat().st_size - _END_MARK_WITHIN, 0))
        if b"%%EOF" not in stream.read():
            raise _refused("the PDF is cut off: it was not downloaded or copied to its end", name)
    told = _open(path, name)
    raw = told["pages"]
    if not raw:
        raise _refused("the PDF holds no page", name)
    pages = [Page(name, number, _lines(page["words"])) for number, page in enumerate(raw, start=1)]
    if not any(page.lines for page in pages):
        raise _refused("this PDF is an image (a scan or a picture of a table), it holds no text", name)
    for page, entry in zip(pages, raw, strict=True):
        _refuse_scrambled(page, int(entry["unmapped"]))
    _refuse_foreign(pages, name)
    pictures = [page for page, entry in zip(pages, raw, strict=True) if entry["picture"]]
    return [page for page in pages if page.lines], [_picture_note(page) for page in pictures]


def _open(path: Path, name: str) -> dict[str, Any]:
    command = [sys.executable, "-I", str(_OPENER), str(path.resolve())]
    try:
        opened = subprocess.run(command, capture_output=True, check=False, timeout=OPENING_SECONDS)
    except subprocess.TimeoutExpired as error:
        raise _refused(f"the PDF was not open after {OPENING_SECONDS} seconds", name) from error
    if opened.returncode != 0:
        raise _refused("the PDF is damaged or takes too much memory to open", name)
    told: dict[str, Any] = json.loads(opened.stdout)
    why = {
        "password": "the PDF is protected by a password (encrypted)",
        "damaged": "the PDF is damaged or was not downloaded to its end",
        "pages": "the PDF has far more pages than any bid tab",
    }
    if "refused" in told:
        raise _refused(why[told["refused"]], name)
    return told


def _lines(words: list[list[Any]]) -> tuple[Line, ...]:
    """Words grouped by baseline, from the top of the page down."""
    rows: list[tuple[float, list[Word]]] = []
    for left, right, height, text in sorted(words, key=lambda word: (-word[2], word[0], word[3])):
        if not rows or rows[-1][0] - height > _SAME_LINE_PT:
            rows.append((height, []))
        rows[-1][1].append(Word(left, right, text))
    return tuple(
        Line(number, height, tuple(sorted(found, key=lambda word: (word.left, word.right))))
        for number, (height, found) in enumerate(rows, start=1)
    )


# --- what is no text ----------------------------------------------------------------------------------------------


def _refused(what: str, where: str | Place) -> UnreadableFile:
    return UnreadableFile(what, where=where, do=_ASK)


def _picture_note(page: Page) -> Finding:
    return Finding(
        "page_is_image",
        "check",
        f"Page {page.number} is an image without text and was not read",
        do="Look whether it holds bids; those on the other pages add up to their printed totals without it.",
        place=page.place(),
    )


def _refuse_scrambled(page: Page, unmapped: int) -> None:
    """Fonts without a table of characters give a page of wrong letters that looks like a table."""
    words = [word.text for line in page.lines for word in line.words]
    characters = sum(map(len, words)) + unmapped
    if characters < _ENOUGH_TO_TELL:
        return
    sense = sum(len(word) for word in words if _makes_sense(word))
    if unmapped > characters * 0.2 or sense < characters * 0.5:
        raise _refused("the text of this PDF is scrambled (its fonts do not say which letters they show)", page.place())


_ENOUGH_TO_TELL = 80


def _makes_sense(word: str) -> bool:
    """A number, a word with a vowel, or a short one of letters: what nearly all of a readable page is made of."""
    if _NUMBER.fullmatch(word):
        return True
    letters = _WORD.findall(word)
    if not letters:
        return len(word) <= 2 and word.isalpha()
    return sum(map(len, letters)) * 2 > len(word) or sum(map(str.isalnum, word)) > len(word) * 0.7


def _refuse_foreign(pages: list[Page], name: str) -> None:
    """No word of the trade on any page, and no price either: letters were exchanged one for another."""
    words = [word.text for page in pages for line in page.lines for word in line.words]
    known = any(small.startswith(_TRADE_STEMS) for word in words for small in words_of(word))
    if not known and sum(map(len, words)) >= _ENOUGH_TO_TELL:
        vowels = sum(letter in "aeiouAEIOU" for word in words for letter in word)
        letters = sum(letter.isalpha() for word in words for letter in word)
        sense = sum(len(word) for word in words if _makes_sense(word))
        if letters * 0.25 > vowels or sense < sum(map(len, words)) * 0.85:
            raise _refused("the text of this PDF is scrambled (its fonts do not say which letters they show)", name)
        raise UnreadableFile(
            "no page of this PDF has the headings of a bid tab", where=name, do="Import the bid tabulation itself."
        )

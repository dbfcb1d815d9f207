"""Printed reports saved as text: lines set in columns by blanks, with page breaks, and no delimiter."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

LOOKED_AT = 300
_GAP = re.compile(r"\S {3,}\S")
_PIECE = re.compile(r"\S+(?: \S+)*")
_SHARE_WITH_GAPS = 0.25
_SHARE_DELIMITED = 0.6
_SHARE_OF_PROSE = 0.3  # of lines with equally many commas, above which text without columns is a table all the same
_AMOUNT = re.compile(r"\$\s?\d{1,3}(?:,\d{3})+")  # its commas part thousands, and no cells


@dataclass(frozen=True, slots=True)
class Piece:
    """A run of words on a line, parted from others by two blanks or more; start and end count characters from 0."""

    text: str
    start: int
    end: int

    def overlap(self, other: Piece) -> int:
        """Characters that both stand over; below zero the gap between them."""
        return min(self.end, other.end) - max(self.start, other.start)


def pieces(line: str) -> list[Piece]:
    """The runs of words of a line, left to right."""
    return [Piece(match[0], match.start(), match.end()) for match in _PIECE.finditer(line)]


def fixed_lines(text: str, delimiters: Iterable[str]) -> list[str] | None:
    """The lines of a report set in columns by blanks, or of plain prose; None for a table with delimiters.

    A page break counts as a blank, tabs as a delimiter.
    """
    lines = [line.rstrip("\r").replace("\f", " ").rstrip() for line in text.split("\n")]
    told = [line for line in lines if line.strip()][:LOOKED_AT]
    if not told or any("\t" in line for line in told):
        return None
    in_columns = sum(bool(_GAP.search(line)) for line in told) >= _SHARE_WITH_GAPS * len(told)
    if _delimited(told, delimiters, _SHARE_DELIMITED if in_columns else _SHARE_OF_PROSE):
        return None
    while lines and not lines[-1]:
        lines.pop()
    return lines


def _delimited(told: list[str], delimiters: Iterable[str], share: float) -> bool:
    """Some delimiter parts at least that share of the lines into equally many cells, and the headings too."""
    headings = [line for line in told if len(line.split()) > 3 and not any(map(str.isdigit, line))]
    for delimiter in delimiters:
        if headings and not any(delimiter in line for line in headings):
            continue
        widths = Counter(_AMOUNT.sub("", line).count(delimiter) + 1 for line in told)
        if max((count for width, count in widths.items() if width > 1), default=0) >= share * len(told):
            return True
    return False

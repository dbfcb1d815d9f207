"""Keeping a memo on one Letter page: how tall it will be, and how much smaller it has to be printed.

Estimated from letters a line, for the widest of the fonts the memo names; a browser is not asked.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

#: Letter is 279.4 mm high; the page has margins of 11 mm above and below. The last 3 % are kept free.
PAGE_MM = 0.97 * (279.4 - 22.0)
#: Smaller than this nobody reads it on paper: 11 pt becomes 7.2 pt.
LEAST = 0.65


def cut(text: str, most: int) -> str:
    """Text that fits its place on paper; longer text ends in “…”."""
    flat = " ".join(text.split())
    return flat if len(flat) <= most else flat[: most - 1].rstrip() + "…"


def lines(text: str, letters: int) -> int:
    """Lines a text takes where so many letters fit on one."""
    return max(1, math.ceil(len(text) / letters))


def rows_mm(rows: Iterable[Sequence[tuple[str, int]]]) -> float:
    """Height of a small table: each row is as tall as its tallest cell, a text with the letters that fit on a line."""
    return sum(4.3 * max(lines(text, letters) for text, letters in row) + 1.5 for row in rows)


def zoom(height_mm: float) -> float:
    """Factor that brings a memo onto its page, 1 where it fits as it is."""
    return 1.0 if height_mm <= PAGE_MM else max(LEAST, round(PAGE_MM / height_mm - 0.005, 2))

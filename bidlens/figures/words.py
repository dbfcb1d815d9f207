"""Words as figures show them: captions, sources, labels that fit, and text from files made harmless."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable

import pandas as pd

from bidlens import quarters
from bidlens.wording import count, half_up, visible


def escape(text: object, most: int = 90) -> str:
    """Text from a file for a plotly label: markup as written, signs not seen taken out, long text cut with “…”."""
    flat = " ".join(visible(text).split())
    short = flat if len(flat) <= most else flat[: most - 1] + "…"
    return short.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def feet(value: float) -> str:
    """“62 ft”, with a decimal only where there is one."""
    return f"{half_up(value, 1).normalize():f} ft"


def years(dates: pd.Series) -> str:
    """“2012–2025”, or one year, of the dates that are known; empty text if none is."""
    known = pd.to_datetime(dates).dropna()
    if known.empty:
        return ""
    first, last = known.dt.year.min(), known.dt.year.max()
    return str(first) if first == last else f"{first}–{last}"


def source_words(history: pd.DataFrame) -> str:
    """“source: bid tabs 2012–2025, 31 files”, of the rows drawn."""
    files = history["source_file"].dropna().nunique() if "source_file" in history else 0
    parts = f"source: bid tabs {years(history['letting_date'])}".rstrip()
    return f"{parts}, {count(int(files), 'file')}" if files else parts


def basis_words(basis: str) -> str:
    return f"{basis} basis"


def dollars_words(dollars_of: str) -> str:
    return f"dollars of {quarters.shown(dollars_of)}"


def caption_lines(parts: Iterable[str], width: int) -> list[str]:
    """Join with middle dots and break between parts so that no line is longer than `width`, as far as parts allow."""
    lines: list[str] = []
    for part in (part for part in parts if part):
        if lines and len(lines[-1]) + len(part) + 3 <= width:
            lines[-1] += f" · {part}"
        else:
            lines += textwrap.wrap(part, width) or [part]
    return lines


def safe_lines(parts: Iterable[str], width: int) -> list[str]:
    """`caption_lines` of parts that may name a file: what they say stays text."""
    return caption_lines([escape(part, 160) for part in parts], width)


def wrapped(text: str, width: int, most: int = 2) -> list[str]:
    """Break into at most `most` lines of about `width` characters; what is left over ends in “…”."""
    lines = textwrap.wrap(text, width) or [""]
    return lines if len(lines) <= most else [*lines[: most - 1], lines[most - 1][: width - 1].rstrip() + "…"]


def is_number(value: object) -> bool:
    """Whether a value is there and finite; None, NaN and NA are not."""
    return isinstance(value, (int, float)) and math.isfinite(value)

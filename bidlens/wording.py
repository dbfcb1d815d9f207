"""Numbers as they are printed: rounding half up, true minus signs, units. Used by every text and chart."""

from __future__ import annotations

import datetime as dt
import itertools
import math
import re
from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal

MINUS = "−"
NOT_GIVEN = "not given"

#: Control characters, marks without width and direction overrides: they could steer a terminal, hide, or turn round
#: what stands beside them.
_UNSEEN = re.compile(r"[\x00-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2066-\u2069\ufeff]")


def visible(text: object) -> str:
    """Text of a file as one line of signs that are seen: each that is not seen becomes a blank."""
    return _UNSEEN.sub(" ", str(text))


def half_up(value: float, digits: int = 0) -> Decimal:
    """Round half up from the value as written (162.5 gives 163, where float formatting gives 162)."""
    return Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-digits), rounding=ROUND_HALF_UP)


def number(value: float, digits: int = 0) -> str:
    """With thousands marks and a true minus: 1,736 or −2.4. Never −0; a number that is not there is "not given"."""
    if not math.isfinite(value):
        return NOT_GIVEN
    rounded = half_up(value, digits)
    text = f"{abs(rounded):,.{digits}f}"
    return f"{MINUS}{text}" if rounded < 0 else text


def usd(value: float, digits: int = 0) -> str:
    """Dollars: $1,730,000 or −$2.40."""
    text = number(value, digits)
    if text == NOT_GIVEN:
        return text
    return f"{MINUS}${text[1:]}" if text.startswith(MINUS) else f"${text}"


def per_sf(value: float, digits: int = 0) -> str:
    """Dollars per square foot of deck: $163/sf."""
    return f"{usd(value, digits)}/sf" if math.isfinite(value) else NOT_GIVEN


def signed(value: float, digits: int = 0, unit: str = "") -> str:
    """With its sign: +$59, −2, +9%; 0 has none. `unit` is "$" (before the number) or a suffix such as "%"."""
    if not math.isfinite(value):
        return NOT_GIVEN
    rounded = half_up(value, digits)
    body = f"{abs(rounded):,.{digits}f}"
    body = f"${body}" if unit == "$" else f"{body}{unit}"
    return body if rounded == 0 else f"{'+' if rounded > 0 else MINUS}{body}"


def adding_up(quoted: float, steps: Sequence[float], total: float) -> list[str]:
    """A column of dollars that adds up on paper: quoted, signed steps, total, as printed.

    One decimal where the rounded parts add to the rounded total, else two; should cents not close either, the cent is
    found in the step where the running total picks it up.
    """
    parts, digits = [quoted, *steps], 1
    if all(math.isfinite(value) for value in (*parts, total)):
        digits = 1 if _adds(parts, total, 1) else 2
        if digits == 2 and not _adds(parts, total, 2):
            ends = [half_up(end, 2) for end in itertools.accumulate(parts)]
            parts = [float(ends[0]), *(float(end - start) for start, end in itertools.pairwise(ends))]
    first, *others = parts
    return [usd(first, digits), *(signed(step, digits, "$") for step in others), usd(total, digits)]


def _adds(parts: Sequence[float], total: float, digits: int) -> bool:
    return sum((half_up(part, digits) for part in parts), Decimal(0)) == half_up(total, digits)


def percent(ratio: float, digits: int = 0) -> str:
    """A ratio as signed percent: 0.11 is +11%."""
    return signed(ratio * 100, digits, "%")


def chances(probability: float) -> str:
    """A chance as a count to the nearest 5 in 100: "about 70 in 100", "fewer than 5 in 100"."""
    if not math.isfinite(probability):
        return "an unknown number in 100"
    count = int(half_up(probability * 20)) * 5
    if count < 5:
        return "fewer than 5 in 100"
    if count > 95:
        return "more than 95 in 100"
    return f"about {count} in 100"


def count(n: int, singular: str, plural: str | None = None) -> str:
    """1 contract, 4 contracts."""
    return f"{n:,} {singular if n == 1 else plural or singular + 's'}"


def day(date: dt.date) -> str:
    """9 Mar 2016."""
    return f"{date.day} {date:%b %Y}"


def month(date: dt.date) -> str:
    """Mar 2016."""
    return f"{date:%b %Y}"

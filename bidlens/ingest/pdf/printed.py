"""Numbers as a page prints them: money, percentages, cells that say no bid, and amounts cut by a narrow column."""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal

from bidlens.ingest import cells

_NUMBER = re.compile(r"\(?[-−]?\$?[-−]?(?:\d[\d,]*\.?\d*|\.\d+)\)?[-−]?\*?|#{3,}")
_NO_BID = re.compile(r"n/?b|n/a|[-—–]{1,3}|no-?bid", re.IGNORECASE)
_REST = re.compile(r"\d{1,5}|\.\d{1,5}")
_CENT = Decimal("0.01")


def is_number(text: str) -> bool:
    """A number or an amount of money, whole or cut, or a row of # where it had no room."""
    return bool(_NUMBER.fullmatch(text))


def says_no_bid(text: str) -> bool:
    """A cell that says that nothing is offered."""
    return bool(_NO_BID.fullmatch(text))


def is_percent(text: str) -> bool:
    return text.endswith("%") and is_number(text[:-1])


def is_rest_of(text: str, above: str) -> bool:
    """Whether a text is the rest of the number above it that was broken onto the next line: `00` below `316,800.`"""
    return bool(_REST.fullmatch(text)) and is_number(above) and (above.endswith(".") != text.startswith("."))


def value(text: str) -> Decimal | None:
    """The number a text prints; None if it is none, or one that was cut inside its thousands."""
    try:
        return cells.number(text.rstrip("*").replace("−", "-"), 5)
    except ValueError:
        return None


def decimals(text: str) -> int:
    """Digits behind the decimal point, as printed."""
    digits = text.strip("$()-−*")
    return len(digits.partition(".")[2])


def extension(quantity: Decimal, price: Decimal) -> Decimal:
    """quantity x unit price, half up to the cent."""
    return (quantity * price).quantize(_CENT, ROUND_HALF_UP)


def is_cut(text: str, exact: Decimal) -> bool:
    """Whether a printed amount is the beginning of the exact one, the rest having had no room: `316,800.`"""
    if text.startswith("#"):
        return True
    shown = text.strip("$()-−*")
    whole = f"{abs(exact):,.2f}"
    return len(shown) < len(whole) and (whole.startswith(shown) or whole.replace(",", "").startswith(shown))


def agrees(text: str, exact: Decimal, tolerance: Decimal) -> bool:
    """Whether a printed amount is the exact one within the tolerance, or what a narrow column left of it."""
    found = value(text)
    if found is not None and abs(found - exact) <= tolerance:
        return True
    return decimals(text) < 2 and is_cut(text, exact)


def rounding(quantity: Decimal, price_text: str) -> Decimal:
    """How far an amount may lie from quantity x printed price, the price having been rounded to its printed decimals.

    A cent for prices printed without cents, which are meant as they stand.
    """
    places = decimals(price_text)
    half = Decimal("0.5").scaleb(-places) if places >= 2 else Decimal(0)
    return max(_CENT, abs(quantity) * half + Decimal("0.005"))

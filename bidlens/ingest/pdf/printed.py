"""Numbers as a page prints them: money, percentages, cells that say no bid, and amounts cut by a narrow column."""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal

from bidlens.ingest import cells

_NUMBER = re.compile(r"\(?[-−]?\$?[-−]?(?:\d[\d,]*\.?\d*|\.\d+)\)?[-−]?\*?|#{3,}")
_NO_BID = re.compile(r"n/?b|n/a|[-—–]{1,3}|no-?bid", re.IGNORECASE)
_REST = re.compile(r"\d{1,5}|\.\d{1,5}")
_CENT, _HALF_CENT = Decimal("0.01"), Decimal("0.005")


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


def rounding(quantity_text: str, price_text: str) -> Decimal:
    """How far an amount may lie from printed quantity x printed price; a cent at least.

    More where numbers are shown with fewer decimals than the program reckons with: a price shown to two or three
    decimals may be off by half its last one, and so may a quantity that is no whole number (then a dollar at most).
    """
    quantity, price = value(quantity_text) or Decimal(0), value(price_text) or Decimal(0)
    places = decimals(price_text)
    allowed = abs(quantity) * Decimal("0.5").scaleb(-places) if places in (2, 3) else Decimal(0)
    if quantity != quantity.to_integral_value():
        allowed += min(abs(price) * Decimal("0.5").scaleb(-decimals(quantity_text)), Decimal(1))
    return max(_CENT, allowed + _HALF_CENT)

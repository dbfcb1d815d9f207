"""Lengths and areas as engineers write them: feet and inches, decimal feet, metres; square feet and square metres.

The foot is 0.3048 m exactly. Text is read as exact fractions and becomes a float only at the end.
"""

from __future__ import annotations

import math
import re
from decimal import Decimal
from fractions import Fraction

from bidlens.errors import BadValue, Place

#: Metres in a foot, exactly (international foot).
METRES_PER_FOOT = Fraction(3048, 10000)

#: Feet in one of each unit that may be a column's own.
FEET_PER = {
    "ft": Fraction(1),
    "in": Fraction(1, 12),
    "m": 1 / METRES_PER_FOOT,
    "cm": Fraction(1, 100) / METRES_PER_FOOT,
    "mm": Fraction(1, 1000) / METRES_PER_FOOT,
}
SQUARE_FEET_PER = {"sf": Fraction(1), "sy": Fraction(9), "m2": 1 / METRES_PER_FOOT**2}

_LENGTH_WORDS = {
    "ft": ("'", "ft", "feet", "foot", "lf", "lin ft"),
    "in": ('"', "in", "inch", "inches"),
    "m": ("m", "metre", "metres", "meter", "meters"),
    "cm": ("cm",),
    "mm": ("mm",),
}
_AREA_WORDS = {
    "sf": ("sf", "sft", "sq ft", "sqft", "ft2", "ft^2", "square feet", "square foot"),
    "sy": ("sy", "syd", "sq yd", "yd2", "square yards", "square yard"),
    "m2": ("m2", "m^2", "sq m", "sqm", "square metres", "square meters", "square metre", "square meter"),
}
_UNIT_OF_LENGTH = {word: unit for unit, words in _LENGTH_WORDS.items() for word in words}
_UNIT_OF_AREA = {word: unit for unit, words in _AREA_WORDS.items() for word in words}

_SAME_SIGN = str.maketrans(
    {
        **dict.fromkeys("′’‘´`ʹ", "'"),
        **dict.fromkeys("″“”ʺ", '"'),
        **dict.fromkeys("‐‑‒–—−", "-"),
        **dict.fromkeys("\u00a0\u2009\u202f\t", " "),
        "⁄": "/",
        "²": "2",
        **dict(zip("¼½¾⅛⅜⅝⅞", (" 1/4", " 1/2", " 3/4", " 1/8", " 3/8", " 5/8", " 7/8"), strict=True)),
    }
)
_NUMBER = r"(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d*)?|\.\d+"
_ONE_UNIT = re.compile(rf"^({_NUMBER})\s*([a-z'\"][a-z2^. ]*)?$")
_INCHES = rf"(?:({_NUMBER})(?:[\s-]+(\d+/\d+))?|(\d+/\d+))"
_FEET_INCHES = re.compile(
    rf"^(\d[\d,]*)\s*(?:'|ft\.?|feet|foot)\s*(?:-|,|\band\b)?\s*{_INCHES}\s*(?:\"|in\.?|inch|inches)?$"
)
_ONLY_INCHES = re.compile(rf"^{_INCHES}\s*(?:\"|in\.?|inch|inches)$")


class NotAboveZero(BadValue):
    """A length or area that can be read, but is zero or negative."""


HOW_TO_WRITE_LENGTH = "Write 26'-8\", 26 ft 8 in, 57.5 ft or 8.13 m; a plain number is in the column's own unit."
HOW_TO_WRITE_AREA = "Write 1520 sf or 141.2 m2; a plain number is in the column's own unit."


def parse_length_ft(seen: object, default_unit: str = "ft", place: Place | str | None = None) -> float:
    """A length in feet, from a number or from text such as `62 ft`, `26'-8 1/2"`, `26 ft 8 in` or `8.13 m`.

    default_unit : unit of a bare number: ft, in, m, cm or mm; a unit written beside the number wins.
    Raises BadValue, saying what was seen and how to write it, for anything else: a range, `28-0-0`, inches of twelve
    or more beside feet, an endless number; NotAboveZero, its child, for zero and negative lengths.
    """
    _known_unit(default_unit, FEET_PER)
    if _is_number(seen):
        feet = _exact(seen, "length", HOW_TO_WRITE_LENGTH, place) * FEET_PER[default_unit]
    else:
        minus, text = _minus(_plain(seen))
        read = _length_in_text(text, default_unit)
        if read is None:
            raise BadValue(f"cannot read “{seen}” as a length", where=place, do=HOW_TO_WRITE_LENGTH)
        feet = read * minus
    if feet <= 0:
        raise NotAboveZero(f"a length of “{seen}” is not above zero", where=place, do=HOW_TO_WRITE_LENGTH)
    return float(feet)


def parse_area_sf(seen: object, default_unit: str = "sf", place: Place | str | None = None) -> float:
    """An area in square feet, from a number or from text such as `1,520 sf` or `141.2 m2`.

    default_unit : unit of a bare number: sf, sy or m2.
    Raises BadValue, saying what was seen and how to write it, for anything else; NotAboveZero, its child, for
    zero and negative areas.
    """
    _known_unit(default_unit, SQUARE_FEET_PER)
    if _is_number(seen):
        area = _exact(seen, "area", HOW_TO_WRITE_AREA, place) * SQUARE_FEET_PER[default_unit]
    else:
        minus, text = _minus(_plain(seen))
        match = _ONE_UNIT.match(text)
        unit = _UNIT_OF_AREA.get(_word(match[2]), "") if match and match[2] else default_unit
        if not match or unit not in SQUARE_FEET_PER:
            raise BadValue(f"cannot read “{seen}” as an area", where=place, do=HOW_TO_WRITE_AREA)
        area = _fraction(match[1]) * SQUARE_FEET_PER[unit] * minus
    if area <= 0:
        raise NotAboveZero(f"an area of “{seen}” is not above zero", where=place, do=HOW_TO_WRITE_AREA)
    return float(area)


def shown_feet_inches(feet: float, parts_of_inch: int = 1) -> str:
    """Feet as printed on a drawing: 26.6667 gives `26′-8″`.

    parts_of_inch : 1 for whole inches, 8 for eighths; rounded half up from the unrounded value.
    """
    exact = Fraction(feet).limit_denominator(100_000)  # 17/24 ft again, not the binary fraction just under it
    parts = math.floor(exact * 12 * parts_of_inch + Fraction(1, 2))
    whole_feet, rest = divmod(parts, 12 * parts_of_inch)
    inches, part = divmod(rest, parts_of_inch)
    shown = Fraction(part, parts_of_inch)
    return f"{whole_feet}′-{inches}{f' {shown}' if shown else ''}″"


def metres(feet: float) -> float:
    """Feet as metres, by the exact foot."""
    return float(Fraction(feet) * METRES_PER_FOOT)


def _known_unit(unit: str, known: dict[str, Fraction]) -> None:
    if unit not in known:
        raise BadValue(f"unknown unit “{unit}”", do=f"Use one of: {', '.join(known)}.")


def _is_number(seen: object) -> bool:
    return isinstance(seen, int | float | Decimal | Fraction) and not isinstance(seen, bool)


def _exact(seen: object, what: str, do: str, place: Place | str | None) -> Fraction:
    """A number as the decimal it shows (8.13 is 813/100, not the nearest binary fraction)."""
    try:
        return Fraction(str(seen))
    except (ValueError, ZeroDivisionError) as error:
        raise BadValue(f"cannot read “{seen}” as a {what}", where=place, do=do) from error


def _plain(seen: object) -> str:
    """Text with one kind of prime, dash and blank, in lower case."""
    text = str(seen).strip().translate(_SAME_SIGN).replace("''", '"')
    return " ".join(text.lower().split())


def _minus(text: str) -> tuple[int, str]:
    """-1 and the rest where the text starts with a minus sign, else 1 and the text."""
    return (-1, text[1:].lstrip()) if text.startswith("-") else (1, text)


def _word(unit: str) -> str:
    return " ".join(unit.replace(".", " ").split())


def _fraction(number: str) -> Fraction:
    return Fraction(number.replace(",", "").rstrip("."))


def _length_in_text(text: str, default_unit: str) -> Fraction | None:
    """Feet in tidied text, or None if it is not a length."""
    if match := _ONE_UNIT.match(text):
        unit = _UNIT_OF_LENGTH.get(_word(match[2])) if match[2] else default_unit
        if unit:
            return _fraction(match[1]) * FEET_PER[unit]
    if match := _ONLY_INCHES.match(text):
        return _inches(match[1], match[2], match[3]) / 12
    if match := _FEET_INCHES.match(text):
        inches = _inches(match[2], match[3], match[4])
        return _fraction(match[1]) + inches / 12 if inches < 12 else None
    return None


def _inches(whole: str | None, and_part: str | None, part: str | None) -> Fraction:
    """`8`, `8.5`, `8 1/2` or `1/2` inches; a part of nothing counts as too many."""
    total = _fraction(whole) if whole else Fraction(0)
    for written in (and_part, part):
        if written:
            over, under = written.split("/")
            total += Fraction(int(over), int(under)) if int(under) else Fraction(12)
    return total

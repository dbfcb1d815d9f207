"""The years a review is of: one, or from a first to a last."""

from __future__ import annotations

import re
from typing import TypeAlias

from bidlens.errors import BadValue

#: First and last year, both included; the same for one year.
Years: TypeAlias = tuple[int, int]

_WRITTEN = re.compile(r"([12][0-9]{3})(?:\s*(?:-|–|to)\s*([12][0-9]{3}))?")


def period(years: Years) -> str:
    """In words: “2025” or “2019–2024”."""
    first, last = years
    return str(first) if first == last else f"{first}–{last}"


def parse_years(text: str) -> Years:
    """“2025” or “2019-2024”. Raises BadValue for anything else, or a last year before the first."""
    found = _WRITTEN.fullmatch(text.strip())
    if found is None:
        raise BadValue(f"cannot read “{text}” as a year", do="Write it with four digits: 2019, or 2019-2024.")
    return checked((int(found[1]), int(found[2] or found[1])))


def checked(years: Years) -> Years:
    """The years themselves. Raises BadValue if the last is before the first."""
    if years[1] < years[0]:
        raise BadValue(f"the years end before they begin: {years[0]} to {years[1]}", do="Name the earlier one first.")
    return years

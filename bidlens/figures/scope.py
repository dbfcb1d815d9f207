"""What a letter's price contains, in the short words that fit on a figure."""

from __future__ import annotations

from collections.abc import Collection

_WORK = {
    "bearings": "bearings",
    "deck": "deck",
    "closure": "closure pours",
    "railing": "railing",
    "wearing_surface": "wearing surface",
    "joints": "joints",
}
_BEAMS = {"furnish", "deliver", "set", "bearings"}


def quoted_contains(scope: Collection[str]) -> str:
    """“beams only” where nothing but beams and bearings is offered, else the number of parts beyond them."""
    beyond = [part for part in _WORK if part in scope and part not in _BEAMS]
    if not beyond:
        return "beams only"
    return f"with {_joined([_WORK[part] for part in beyond])}" if len(beyond) <= 2 else "most of the superstructure"


def scope_words(scope: Collection[str]) -> str:
    """“beams and bearings, set”: the parts offered and how far the beams come."""
    parts = ["beams", *(_WORK[part] for part in _WORK if part in scope)]
    how_far = "set" if "set" in scope else "delivered" if "deliver" in scope else "at the shop"
    return f"{_joined(parts)}, {how_far}"


def _joined(parts: list[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"

"""A step from a letter's price to a comparable one, and what the parts of the work are called."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from bidlens.proposal.spread import Spread


@dataclass(frozen=True, slots=True)
class Adjustment:
    """One step from the letter's price to a comparable one.

    per_sf : dollars per square foot added, negative where taken off.
    n : bridges it was read from, None for a step that rests on none.
    low_per_sf, high_per_sf : middle half of those bridges, with the sign of per_sf; None where there is none.
    spread : what it may come to on this bridge; None for a step that is not uncertain.
    """

    what: str
    per_sf: float
    source: str
    n: int | None = None
    low_per_sf: float | None = None
    high_per_sf: float | None = None
    spread: Spread | None = None

    def as_dict(self) -> dict[str, Any]:
        """The public form."""
        return {name: getattr(self, name) for name in ("what", "per_sf", "source", "n", "low_per_sf", "high_per_sf")}


@cache
def scope_rules() -> dict[str, Any]:
    """The whole of scope_parts.toml, read once."""
    return tomllib.loads((Path(__file__).parent / "scope_parts.toml").read_text(encoding="utf-8"))


def work_words(category: str) -> str:
    """What a work category is called on a step."""
    return str(scope_rules()["work"].get(category, category.replace("_", " ").capitalize()))


def part_words(part: str) -> str:
    """What a part of the scope is called."""
    return str(scope_rules()["words"][part])

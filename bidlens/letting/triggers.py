"""The numeric triggers of a review as data: what each is, its source, and whether that source was seen."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bidlens.errors import BadValue

PACKAGED = Path(__file__).with_name("triggers.toml")
_SAID = ("on", "seen", "title", "source", "base_rate")


@dataclass(frozen=True, slots=True)
class Trigger:
    """One trigger. seen : "source", "memory" or "own choice". values : its numbers by name."""

    name: str
    on: bool
    seen: str
    title: str
    source: str
    values: Mapping[str, Any]
    base_rate: str = ""

    def value(self, name: str) -> float:
        return float(self.values[name])


Triggers = Mapping[str, Trigger]


def load_triggers(text: str | None = None, where: str = "the triggers") -> Triggers:
    """The packaged triggers, with those of an edited copy (TOML text) put over them.

    Raises BadValue for text that is no TOML, a trigger or value not known, or a value that is no number.
    """
    known = _read(PACKAGED.read_text(encoding="utf-8"), PACKAGED.name)
    given = _read(text, where) if text else {}
    for name, said in given.items():
        if name not in known:
            raise BadValue(f"there is no trigger “{name}”", where=where, do=f"Known: {', '.join(known)}.")
        known[name] = {**known[name], **_checked(name, said, known[name], where)}
    return {name: _trigger(name, said) for name, said in known.items()}


def _read(text: str, where: str) -> dict[str, dict[str, Any]]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadValue(f"cannot read the triggers: {error}", where=where, do="Correct the TOML.") from error


def _checked(name: str, said: Any, known: dict[str, Any], where: str) -> dict[str, Any]:
    if not isinstance(said, dict):
        raise BadValue(f"“{name}” must be a section of its own: [{name}]", where=where)
    for key, value in said.items():
        if key not in known:
            raise BadValue(f"the trigger “{name}” has no “{key}”", where=where, do=f"It has: {', '.join(known)}.")
        if not _alike(value, known[key]):
            raise BadValue(f"“{key}” of the trigger “{name}” cannot be {value!r}", where=where)
    return said


def _alike(value: Any, known: Any) -> bool:
    if isinstance(known, bool) or isinstance(value, bool):
        return isinstance(known, bool) and isinstance(value, bool)
    if isinstance(known, int | float):
        return isinstance(value, int | float) and value >= 0
    return isinstance(value, type(known))


def _trigger(name: str, said: Mapping[str, Any]) -> Trigger:
    values = {key: value for key, value in said.items() if key not in _SAID}
    return Trigger(name, said["on"], said["seen"], said["title"], said["source"], values, said.get("base_rate", ""))

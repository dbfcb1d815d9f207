"""The numeric triggers of a review as data: what each is, its source, and whether that source was seen."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bidlens import wording
from bidlens.errors import BadValue

PACKAGED = Path(__file__).with_name("triggers.toml")
_SAID = ("on", "seen", "title", "source", "base_rate")
_BRACES = re.compile(r"\{(\w+)\}")


@dataclass(frozen=True, slots=True)
class Trigger:
    """One trigger. seen : "source", "memory" or "own choice". values : its numbers by name.

    changed : what is set otherwise than it ships, with the shipped value, in words; empty: nothing.
    """

    name: str
    on: bool
    seen: str
    title: str
    source: str
    values: Mapping[str, Any]
    base_rate: str = ""
    changed: tuple[str, ...] = ()

    def value(self, name: str) -> float:
        return float(self.values[name])

    @property
    def said_source(self) -> str:
        """The source with what must be known of it: not seen, or not the published value any more."""
        more = [" · unverified"] if self.seen == "memory" else []
        more += [f" · set here: {', '.join(self.changed)}"] if self.changed else []
        return "".join([self.source, *more])


Triggers = Mapping[str, Trigger]
#: TOML text of edited triggers, and where it stands.
Edit = tuple[str, str]


def load_triggers(*edits: Edit) -> Triggers:
    """The packaged triggers, with those of edited copies put over them, each over the ones before.

    Raises BadValue for text that is no TOML, a trigger or value not known, or a value that is no number.
    """
    shipped = _read(PACKAGED.read_text(encoding="utf-8"), PACKAGED.name)
    known = dict(shipped)
    for text, where in edits:
        for name, said in _read(text, where).items():
            if name not in known:
                raise BadValue(f"there is no trigger “{name}”", where=where, do=f"Known: {', '.join(known)}.")
            known[name] = {**known[name], **_checked(name, said, known[name], where)}
    return {name: _trigger(name, said, shipped[name]) for name, said in known.items()}


def as_toml(settings: Mapping[str, Mapping[str, bool | float]]) -> str:
    """What is set otherwise than it ships, as the text `load_triggers` reads.

    settings : by trigger, `on` and numbers; what is as shipped is left out. Raises BadValue as `load_triggers` does.
    """
    shipped = load_triggers()
    lines: list[str] = []
    for name, said in settings.items():
        if name not in shipped:
            raise BadValue(f"there is no trigger “{name}”", do=f"Known: {', '.join(shipped)}.")
        usual = {"on": shipped[name].on, **shipped[name].values}
        other = {key: value for key, value in said.items() if key not in usual or usual[key] != value}
        if other:
            lines += [f"[{name}]", *(f"{key} = {_toml(value)}" for key, value in other.items()), ""]
    text = "\n".join(lines)
    load_triggers((text, "the triggers"))
    return text


def _toml(value: bool | float) -> str:
    return str(value).lower() if isinstance(value, bool) else repr(value)


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


def _trigger(name: str, said: Mapping[str, Any], shipped: Mapping[str, Any]) -> Trigger:
    values = {key: value for key, value in said.items() if key not in _SAID}
    title = _BRACES.sub(lambda found: shown(found[1], values.get(found[1], found[0])), said["title"])
    changed = [f"{_plain(key)} {shown(key, value)}, shipped {shown(key, shipped[key])}"
               for key, value in values.items() if value != shipped[key]]  # fmt: skip
    if said["on"] != shipped["on"]:
        changed.insert(0, "turned on" if said["on"] else "turned off")
    return Trigger(
        name, said["on"], said["seen"], title, said["source"], values, said.get("base_rate", ""), tuple(changed)
    )


def shown(name: str, value: Any) -> str:
    """A number of a trigger in words: 20%, $25,000, 3."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return str(value)
    if name.endswith("_usd"):
        return wording.usd(value)
    if is_share(name):
        return f"{wording.number(value * 100, 0 if abs(value * 100 - round(value * 100)) < 1e-9 else 1)}%"
    return wording.number(value)


def is_share(name: str) -> bool:
    """Whether a number is a share, set as 0.20 and shown as 20%."""
    return name.startswith(("share_of", "most_of"))


def _plain(name: str) -> str:
    return name.replace("_", " ")

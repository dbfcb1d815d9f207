"""Superstructure types: standard names, the words owners write for them, and inventory codes.

The types are data, in `superstructure_types.toml`. A description that fits none of them, or two equally well, is kept
as written: a type is never forced.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from bidlens.errors import BadValue, Place
from bidlens.findings import Finding

_RULES = Path(__file__).with_name("superstructure_types.toml")
_WHOLE_WORD_UP_TO = 3

#: Between alternatives of type in one cell.
ALTERNATIVES = "|"


@dataclass(frozen=True, slots=True)
class SuperstructureType:
    """One standard type.

    material : steel, concrete, timber or other.
    words : sets of word beginnings, each of which means the type; `never` rules it out.
    item43 : Item 43 codes of three digits; `judged` those where the reading is ours, `because` why.
    """

    name: str
    material: str
    words: tuple[frozenset[str], ...]
    never: frozenset[str]
    item43: tuple[str, ...]
    judged: tuple[str, ...]
    because: str


@dataclass(frozen=True, slots=True)
class _Rules:
    types: tuple[SuperstructureType, ...]
    spellings: tuple[tuple[str, str], ...]
    by_code: Mapping[str, SuperstructureType]


def all_types() -> tuple[SuperstructureType, ...]:
    """Every standard type, in the order of the rule file."""
    return _rules().types


def standard_type(text: str | None) -> str | None:
    """The standard name of a superstructure as somebody wrote it, or None where it is not understood.

    "prestressed adjacent box beams" gives "adjacent box beam"; "box beam" alone gives None, since adjacent and spread
    boxes are different types. Three digits are read as an Item 43 code.
    """
    plain = " ".join(str(text or "").lower().split())
    if re.fullmatch(r"\d{3}", plain):
        return type_of_nbi(plain[0], plain[1:])
    by_name = {kind.name.lower(): kind.name for kind in all_types()}
    return by_name.get(plain) or _best(_words(plain))


def read_type(text: str, place: Place | None = None) -> tuple[str, Finding | None]:
    """The standard name, or the words as written with a Finding `unknown_superstructure`."""
    name = standard_type(text)
    if name:
        return name, None
    written = " ".join(str(text).split())
    return written, Finding(
        "unknown_superstructure",
        "check",
        f"The superstructure “{written}” is no standard type; it is kept as written, in no group but its own.",
        "Write one of: " + ", ".join(kind.name for kind in all_types()) + ".",
        place,
    )


def read_alternatives(text: str, place: Place | None = None) -> tuple[list[str], list[Finding]]:
    """The types of “timber | concrete slab” in the order written, each once, as `read_type` reads them."""
    kinds: dict[str, None] = {}
    findings = []
    for part in filter(None, (part.strip() for part in text.split(ALTERNATIVES))):
        kind, doubt = read_type(part, place)
        kinds[kind] = None
        findings += [doubt] if doubt else []
    return list(kinds), findings


def joined(kinds: Iterable[str]) -> str:
    """Alternatives of type as they are written: “timber | concrete slab”."""
    return f" {ALTERNATIVES} ".join(kinds)


def material_of(name: str) -> str | None:
    """steel, concrete, timber or other for a standard name; None for a type kept as written."""
    return next((kind.material for kind in all_types() if kind.name == name), None)


def type_of_nbi(code_a: object, code_b: object, judged: Mapping[str, str] | None = None) -> str | None:
    """The standard name for Item 43A (material) and 43B (design) of the National Bridge Inventory, or None.

    Codes may be text or numbers; "2" is read as "02". judged : the owner's own reading of whole codes, such as
    {"306": "steel tub girder"}, which wins. Codes we read by judgement are explained by `nbi_judgement`.
    """
    code = _code(code_a, code_b)
    if code is None:
        return None
    if judged and code in judged:
        return judged[code]
    kind = _rules().by_code.get(code)
    return kind.name if kind else None


def nbi_judgement(code_a: object, code_b: object) -> str:
    """Why a code's type is a judgement, as a sentence to show beside it; empty where the code says it outright."""
    code = _code(code_a, code_b)
    kind = _rules().by_code.get(code) if code else None
    if kind is None or code not in kind.judged:
        return ""
    return f"Item 43 code {code} is taken as {kind.name}: {kind.because}."


def _code(code_a: object, code_b: object) -> str | None:
    """Three digits, or None if either part is no code."""
    parts = [re.sub(r"\.0$", "", str(part).strip()) for part in (code_a, code_b)]
    if not re.fullmatch(r"\d", parts[0]) or not re.fullmatch(r"\d{1,2}", parts[1]):
        return None
    return parts[0] + parts[1].zfill(2)


def _words(text: str) -> frozenset[str]:
    """The words of a description in one spelling each."""
    plain = f" {' '.join(re.sub(r'[^a-z0-9]+', ' ', text).split())} "
    for written, meant in _rules().spellings:
        plain = plain.replace(f" {written} ", f" {meant} ")
    return frozenset(plain.split())


def _best(words: frozenset[str]) -> str | None:
    """The type with the longest fitting line; None if none fits or two tie."""
    scores = {kind.name: _longest_fit(kind, words) for kind in all_types()}
    best = max(scores.values())
    leading = [name for name, score in scores.items() if score == best]
    return leading[0] if best and len(leading) == 1 else None


def _longest_fit(kind: SuperstructureType, words: frozenset[str]) -> int:
    if any(_begins(stem, words) for stem in kind.never):
        return 0
    return max((len(stems) for stems in kind.words if all(_begins(stem, words) for stem in stems)), default=0)


def _begins(stem: str, words: frozenset[str]) -> bool:
    if len(stem) < _WHOLE_WORD_UP_TO:
        return stem in words
    if len(stem) == _WHOLE_WORD_UP_TO:
        return not words.isdisjoint({stem, f"{stem}s", f"{stem}es"})
    return any(word.startswith(stem) for word in words)


@cache
def _rules() -> _Rules:
    """The rule file, read once; a code that two types claim is an error in it."""
    read = tomllib.loads(_RULES.read_text(encoding="utf-8"))
    types = tuple(_type(entry) for entry in read["type"])
    by_code: dict[str, SuperstructureType] = {}
    for kind in types:
        for code in kind.item43:
            if code in by_code:
                both = f"{by_code[code].name} and {kind.name}"
                raise BadValue(f"Item 43 code {code} stands under {both}", where=_RULES.name)
            by_code[code] = kind
    longest_first = sorted(read["spellings"].items(), key=lambda pair: -len(pair[0]))
    return _Rules(types, tuple(longest_first), by_code)


def _type(entry: Mapping[str, Any]) -> SuperstructureType:
    return SuperstructureType(
        name=entry["name"],
        material=entry["material"],
        words=tuple(frozenset(line.split()) for line in entry["words"]),
        never=frozenset(entry.get("never", [])),
        item43=tuple(entry.get("item43", [])),
        judged=tuple(entry.get("judged", [])),
        because=entry.get("because", ""),
    )

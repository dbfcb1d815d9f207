"""How a pay item description is read before any rule looks at it: one spelling for each word of the trade.

Agencies write the same words in many ways ("Superstr. Conc", "CONCRETE, C, SUPERSTRUCTURE"). `read_description` brings
them to upper-case words in one spelling; the vocabulary is data, in `category_words.toml`.
"""

from __future__ import annotations

import re
import tomllib
from functools import cache, lru_cache
from pathlib import Path
from typing import Any, NamedTuple

_HERE = Path(__file__).parent
_PARENTHESIS = re.compile(r"\(([^()]*)\)")
_WORD = re.compile(r"[A-Z0-9#]+")
_NUMBER = re.compile(r"\d+(?:X\d+)*$")
# A trailing "Bridge No. 1", "Structure # B02-17" or "SN 417", even glued to the word before, says which bridge pays,
# not what is bought.
_WHICH_BRIDGE = re.compile(
    r"(?<=\S)[\s,]*(?:(?<!SUB)(?<!SUPER)(?:BRIDGE|STRUCTURE)\s*(?:#|NO\b\.?|NUMBER)|SN\s*#?)\s*[\w-]*\d[\w-]*\s*$"
)
_REFERENCE_WORDS = frozenset({"SN", "STR", "STRUCTURE", "BRIDGE", "BR", "NO", "NUMBER", "OF", "AND"})


class Vocabulary(NamedTuple):
    """What `category_words.toml` says.

    word : spelling -> word. unit : spelling -> unit.
    phrase : first word -> [(words as written, words as read)], longest first.
    """

    word: dict[str, str]
    phrase: dict[str, list[tuple[tuple[str, ...], tuple[str, ...]]]]
    unit: dict[str, str]


@cache
def _vocabulary() -> Vocabulary:
    data: dict[str, dict[str, Any]] = tomllib.loads((_HERE / "category_words.toml").read_text(encoding="utf-8"))
    word = {_singular(spelling): meant for meant, spellings in data["words"].items() for spelling in spellings}
    phrase: dict[str, list[tuple[tuple[str, ...], tuple[str, ...]]]] = {}
    for table in ("compounds", "phrases"):
        for meant, spellings in data[table].items():
            as_read = tuple(word.get(_singular(part), _singular(part)) for part in meant.split())
            for spelling in spellings:
                written = tuple(word.get(_singular(part), _singular(part)) for part in spelling.split())
                phrase.setdefault(written[0], []).append((written, as_read))
    for choices in phrase.values():
        choices.sort(key=lambda choice: -len(choice[0]))
    unit = {spelling: meant for meant, spellings in data["units"].items() for spelling in [meant, *spellings]}
    return Vocabulary(word, phrase, unit)


def _singular(word: str) -> str:
    """A plural as its singular; what merely ends in S (GRASS, GAS, BASIS) stays."""
    if len(word) <= 3 or not word.endswith("S") or word.endswith(("SS", "US", "IS", "AS")):
        return word
    if word.endswith("IES") and len(word) > 4:
        return word[:-3] + "Y"
    return word[:-2] if word.endswith(("CHES", "SHES", "XES", "SSES")) else word[:-1]


@lru_cache(maxsize=1 << 17)
def read_description(description: str) -> str:
    """The description in upper-case words of one spelling, blanks between; numbers become "#". Pure.

    >>> read_description("Superstr. Conc, Form & Finish")
    'SUPERSTRUCTURE CONCRETE FORM AND FINISH'
    """
    text = description.upper().replace("&", " AND ")
    if "(" in text:
        text = _PARENTHESIS.sub(_without_bridge_reference, text)
    words = _words(_WHICH_BRIDGE.sub(" ", text))
    return " ".join(_join(words))


def _without_bridge_reference(found: re.Match[str]) -> str:
    """Blank where the parenthesis only says which structure: "(B02 of 23071)"; else its words."""
    inside = found.group(1)
    words = _WORD.findall(inside)
    numbered = [any(map(str.isdigit, word)) for word in words]
    only_reference = any(numbered) and all(
        has_digit or word in _REFERENCE_WORDS for word, has_digit in zip(words, numbered, strict=True)
    )
    return " " if only_reference and found.start() > 0 else f" {inside} "


def _words(text: str) -> list[str]:
    """Each word in its one spelling; runs of numbers as a single "#"."""
    spelling = _vocabulary().word
    words: list[str] = []
    for written in _WORD.findall(text):
        if _NUMBER.match(written):
            written = "#"
            if words and words[-1] == "#":
                continue
        word = _singular(written)
        words.append(spelling.get(word, word))
    return words


def _join(words: list[str]) -> list[str]:
    """Words with the vocabulary's compounds and phrases put in their one form, from left to right."""
    phrases = _vocabulary().phrase
    joined: list[str] = []
    at = 0
    while at < len(words):
        for written, as_read in phrases.get(words[at], ()):
            if tuple(words[at : at + len(written)]) == written:
                joined.extend(as_read)
                at += len(written)
                break
        else:
            joined.append(words[at])
            at += 1
    return joined


@lru_cache(maxsize=1 << 12)
def read_unit(pay_unit: str) -> str:
    """The pay unit in one spelling (LS, EA, LF, SF, SY, CY, LB, TON, ...); unknown units as written, upper-case."""
    letters = " ".join(pay_unit.upper().replace(".", "").split())
    return _vocabulary().unit.get(letters, "DOLLAR" if letters == "$" else letters)

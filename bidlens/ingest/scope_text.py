"""What a letter's words say its price includes: parts of the work, parts left to others, and words that name none."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from bidlens.errors import BadValue, Place
from bidlens.ingest.headers import words_of
from bidlens.ingest.nearest import nearest
from bidlens.proposal.offer import SCOPE_PARTS

_SCOPE_WORDS = Path(__file__).with_name("scope_words.toml")
_BETWEEN_PARTS = re.compile(r"[;,+&\n]|\band\b", re.IGNORECASE)
_SENTENCES = re.compile(r"[;:()\n]|\.\s|\s[-–—]\s")
_PHRASES = re.compile(r"[,+]|(?<![wW])/|\bplus\b|\bwith\b(?!out)|\bw/(?!o)|\bincl(?:uding|udes?)?\b\.?", re.IGNORECASE)
_AND = re.compile(r"&|\band\b", re.IGNORECASE)
_EXCEPT = re.compile(
    r"\b(?:does|do)\s+not\s+include\b|\bnot\s+including\b|\bexclud(?:es?|ing)\b|\bexcept\b|\bexcl\b\.?|\bwithout\b"
    r"|\bw/o\b|\bno\b|\bless\b",
    re.IGNORECASE,
)
_BY_OTHERS = re.compile(
    r"\bby\s+(?:the\s+)?(?:others|owner|county|contractor|buyer)\b|\b(?:is|are)?\s*not\s+included\b|\bexcluded\b"
    r"|\bn\.?i\.?c\b",
    re.IGNORECASE,
)
_SHORT = (
    (re.compile(r"\bf\.\s?o\.\s?b\.?", re.IGNORECASE), "FOB"),
    (re.compile(r"\bF\s*[&/,]\s*D\s*[&/,]\s*&?\s*[SEI]\b"), "furnish, deliver, set"),
    (re.compile(r"\bF\s*[&/]\s*D\b"), "furnish, deliver"),
    (re.compile(r"\bF\s*[&/]\s*[IES]\b"), "furnish, set"),
)
_HOW_FAR = frozenset({"furnish", "deliver", "set"})
_FOB = re.compile(r"\bf\.?\s*o\.?\s*b\b\.?", re.IGNORECASE)
_LEFT_OUT = re.compile(
    r"^\s*(no|not|without|exclud\w*|excl\.?|except)\b|\bby\s+(others|owner|county|contractor|buyer)\b"
    r"|\bnot\s+incl\w*|\bexclu\w*|\bn\.?i\.?c\b",
    re.IGNORECASE,
)
HOW_TO_SCOPE = f"List what the price includes, any of: {', '.join(SCOPE_PARTS)}."


@dataclass(frozen=True, slots=True)
class ScopeText:
    """parts : of `SCOPE_PARTS`, in that order. unclear : words that name no part. fob : plant, site or None."""

    parts: tuple[str, ...]
    unclear: tuple[str, ...] = ()
    fob: str | None = None


def read_scope(written: object, where: Place | str | None = None) -> ScopeText:
    """The scope in a list or in text split by commas, semicolons, plus signs or "and".

    A part left to others is not included. Raises BadValue, with the nearest word, for words not understood.
    """
    entries = [written] if isinstance(written, str) else written
    if not isinstance(entries, Sequence):
        raise BadValue(f"the scope is “{written}”", where=where, do=HOW_TO_SCOPE)
    pieces = [piece.strip() for entry in entries for piece in _BETWEEN_PARTS.split(str(entry)) if piece.strip()]
    parts, left_out, unclear, fob = set(), set(), [], None
    for piece in pieces:
        if _FOB.search(piece):
            fob = _fob_place(piece)
            parts |= {"deliver"} if fob == "site" else set()
            unclear += [] if fob else [piece]
            rest = _beside_fob(piece)
            parts |= {_part(rest, where)} if rest and not _is_vague(rest) else set()
        elif _LEFT_OUT.search(piece):
            left_out.add(_part(_LEFT_OUT.sub(" ", piece), where))
        elif _is_vague(piece):
            unclear.append(piece)
        else:
            parts.add(_part(piece, where))
    unclear += [f"{part} both included and left out" for part in SCOPE_PARTS if part in parts & left_out]
    included = tuple(part for part in SCOPE_PARTS if part in parts - left_out)
    if not included:
        raise BadValue("the proposal states no scope", where=where, do=HOW_TO_SCOPE)
    return ScopeText(included, tuple(unclear), fob)


def scope_in_words(texts: Sequence[str]) -> tuple[ScopeText, tuple[str, ...]]:
    """What the words beside a quotation say its price includes, and the remarks among them that name no part.

    Unlike `read_scope` nothing is refused: a piece that could be several parts is unclear, and parts may be empty.
    What follows "excluding" or "not including" is left out up to the next full stop or semicolon.
    """
    found = _Words()
    for sentence in (sentence for text in texts for sentence in _SENTENCES.split(_spelled_out(text))):
        told, *without = _EXCEPT.split(sentence, maxsplit=1)
        for piece in _PHRASES.split(told):
            found.take(piece, by_others=bool(_BY_OTHERS.search(piece)))
        for piece in _PHRASES.split(without[0]) if without else ():
            found.take(piece, by_others=True)
    both = [f"{part} both included and left out" for part in SCOPE_PARTS if part in found.parts & found.left_out]
    parts = found.parts | ({"furnish"} if found.fob else set())
    included = tuple(part for part in SCOPE_PARTS if part in parts - found.left_out)
    return ScopeText(included, tuple(dict.fromkeys([*found.unclear, *both])), found.fob), tuple(found.remarks)


class _Words:
    """Parts named so far, those left to others, words that could be several parts, and words that are none."""

    def __init__(self) -> None:
        self.parts: set[str] = set()
        self.left_out: set[str] = set()
        self.unclear: list[str] = []
        self.remarks: list[str] = []
        self.fob: str | None = None

    def take(self, piece: str, *, by_others: bool) -> None:
        """One phrase, such as “furnish and deliver”. Left to others: all that is named in it."""
        for said in filter(_has_letters, map(str.strip, _AND.split(_BY_OTHERS.sub(" ", piece)))):
            if place := _fob_place(said) if _FOB.search(said) else None:
                self.fob = place
                self.parts |= {"deliver"} if place == "site" else set()
                said = _beside_fob(said)
            named = [part for part in SCOPE_PARTS if _begun(part, said)]
            one = _one_part(said) if named else None
            several = _HOW_FAR & set(named) if not one and set(named) <= _HOW_FAR else set()
            if by_others:
                self.left_out |= set(named)
            elif one:
                self.parts.add(one)
            elif several:  # “beams delivered”; who sets beams need not furnish them
                self.parts |= several - ({"furnish"} if "set" in several else set())
            elif named:
                self.unclear.append(said)
            elif said and said not in self.remarks:
                (self.unclear if _is_vague(said) else self.remarks).append(said)


def _one_part(said: str) -> str | None:
    try:
        return _part(said, None)
    except BadValue:
        return None


def _has_letters(text: str) -> bool:
    return any(map(str.isalpha, text))


def _spelled_out(text: str) -> str:
    """F&D and F,D&S in full; F.O.B. without full stops."""
    for short, words in _SHORT:
        text = short.sub(words, text)
    return text


def part_named(heading: str) -> str | None:
    """The one part of the work a heading names, as over a column of yes and no; None if it names none or several."""
    named = [part for part in SCOPE_PARTS if _begun(part, heading)]
    return named[0] if len(named) == 1 else None


def _begun(part: str, text: str) -> bool:
    words = words_of(text)
    return any(all(_begins(stem, words) for stem in line.split()) for line in _words()["parts"][part])


def _fob_place(piece: str) -> str | None:
    """Plant, site, or None where the letter does not say at which end."""
    words = set(words_of(piece))
    for place, meaning in _words()["fob"].items():
        if words & set(meaning):
            return place
    return None


def _beside_fob(piece: str) -> str:
    """What a piece names beside the place the price is meant at: “beams” of “beams F.O.B. plant”."""
    places = {word for meaning in _words()["fob"].values() for word in meaning}
    return " ".join(word for word in words_of(_FOB.sub(" ", piece)) if word not in places)


def _is_vague(piece: str) -> bool:
    """Every word is one that names no part: "complete package", "as required"."""
    words = words_of(piece)
    vague = _words()["vague"]["words"]
    return bool(words) and all(word in vague for word in words)


def _part(entry: str, where: Place | str | None) -> str:
    words = words_of(entry)
    scores = {
        part: max(
            (len(line.split()) for line in lines if all(_begins(stem, words) for stem in line.split())), default=0
        )
        for part, lines in _words()["parts"].items()
    }
    best = max(scores.values())
    leading = [part for part, score in scores.items() if score == best]
    if best and len(leading) == 1:
        return leading[0]
    said = f"the scope names “{entry.strip()}”"
    if best:
        said += f", which could be {' or '.join(leading)}"
    raise BadValue(said, where=where, do=nearest(entry.strip(), SCOPE_PARTS) + HOW_TO_SCOPE)


def _begins(stem: str, words: Sequence[str]) -> bool:
    return any(word.startswith(stem) for word in words)


@cache
def _words() -> dict[str, dict[str, list[str]]]:
    return tomllib.loads(_SCOPE_WORDS.read_text(encoding="utf-8"))

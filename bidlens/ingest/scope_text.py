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

"""Spellings that may stand for one bidder or one pay item: suggestions alone, a person confirms. Pure.

Two names are suggested where each word of one has its like in the other. Digits, marks such as QC2 and single letters
(CLASS A, TYPE II) must be the same, in the same order. A name that only has more words than the other is suggested
with a flag that names them: it may be another firm. How alike two words must be is a choice of ours, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
import pandas as pd

SUGGESTION_COLUMNS = ("spelling", "bidder", "score", "why", "flag", "spelling_contracts", "bidder_contracts")
ITEM_COLUMNS = ("description", "other", "pay_unit", "score", "why", "category", "other_category", "lines")

#: Legal forms, left off at any place of a firm's name.
_LEGAL = frozenset(
    ("INC", "INCORPORATED", "LLC", "LC", "LP", "LLP", "PLLC", "PC", "CO", "COMPANY", "COMPANIES", "CORP",
     "CORPORATION", "LTD", "LIMITED", "THE", "AND")
)  # fmt: skip
#: Short forms of the trade -> the word in full.
_IN_FULL = {
    "CONST": "CONSTRUCTION", "CONSTR": "CONSTRUCTION", "CONSTRUCT": "CONSTRUCTION", "CONTR": "CONTRACTING",
    "CONTRACT": "CONTRACTING", "CONTRACTORS": "CONTRACTING", "CONTRACTOR": "CONTRACTING", "BROS": "BROTHERS",
    "ENT": "ENTERPRISES", "ENTERPRISE": "ENTERPRISES", "ENTPR": "ENTERPRISES", "IND": "INDUSTRIES",
    "INTL": "INTERNATIONAL", "SVC": "SERVICES", "SVCS": "SERVICES", "SERVICE": "SERVICES", "MFG": "MANUFACTURING",
    "BR": "BRIDGE", "BRG": "BRIDGE", "BRIDGES": "BRIDGE", "EXC": "EXCAVATING", "EXCAV": "EXCAVATING",
    "EXCAVATION": "EXCAVATING", "ENG": "ENGINEERING", "ENGR": "ENGINEERING", "GRP": "GROUP", "ASSOC": "ASSOCIATES",
    "MATLS": "MATERIALS", "CONC": "CONCRETE", "ELEC": "ELECTRIC", "ELECTRICAL": "ELECTRIC",
}  # fmt: skip
_ITEM_IN_FULL = {
    "CONC": "CONCRETE", "REINF": "REINFORCING", "STL": "STEEL", "STR": "STRUCTURE", "STRUCT": "STRUCTURE",
    "EXC": "EXCAVATION", "EXCAV": "EXCAVATION", "REM": "REMOVE", "REMOVAL": "REMOVE", "REMOVING": "REMOVE",
    "FURN": "FURNISH", "FURNISHED": "FURNISH", "FURNISHING": "FURNISH", "INST": "INSTALL", "INSTALLED": "INSTALL",
    "INSTALLING": "INSTALL", "BIT": "BITUMINOUS", "AGG": "AGGREGATE", "TEMP": "TEMPORARY", "CL": "CLASS",
    "TY": "TYPE", "GR": "GRADE", "DIA": "DIAMETER", "EXP": "EXPANSION", "JT": "JOINT", "BRG": "BEARING",
    "BR": "BRIDGE", "SUPERSTR": "SUPERSTRUCTURE", "SUBSTR": "SUBSTRUCTURE", "PREST": "PRESTRESSED",
    "INCH": "IN", "INCHES": "IN", "FOOT": "FT", "FEET": "FT",
}  # fmt: skip
_ROMAN = re.compile(r"(?=[IVX])X{0,3}(?:IX|IV|V?I{0,3})")
_LETTERS_BEFORE = ("UN", "NON", "IN", "DIS", "DE", "RE", "SUB", "SUPER", "OVER", "UNDER", "PRE", "POST")
#: Pairs that look alike and mean the opposite, or another thing.
_APART = frozenset(
    frozenset(pair)
    for pair in (("INLET", "OUTLET"), ("INCLUDED", "EXCLUDED"), ("UPPER", "LOWER"), ("INTERIOR", "EXTERIOR"),
                 ("NORTHERN", "SOUTHERN"), ("EASTERN", "WESTERN"), ("NORTHEAST", "NORTHWEST"),
                 ("SOUTHEAST", "SOUTHWEST"), ("NORTHEAST", "SOUTHEAST"), ("NORTHWEST", "SOUTHWEST"))
)  # fmt: skip
_FROM = 82  # likeness of two words, 0 to 100, from which one may be a misspelling of the other
_SHORT = 4  # words up to this length must be the same
_LONG = 7  # words shorter than this must begin with the same letter
_WORDS_ALIKE, _WORDS_MORE = 2, 3  # words two names must share before one may have more, and how many more
_AT_A_TIME = 512


@dataclass(frozen=True, slots=True)
class Name:
    """One name taken apart: `words` in order, `marks` (digits and single letters) that must be the same."""

    words: tuple[str, ...]
    marks: tuple[str, ...]

    @property
    def text(self) -> str:
        return " ".join(sorted(self.words))


def bidder_name(text: str) -> Name:
    """A firm's name without case, punctuation, legal form; short forms written out, initials drawn together."""
    return _name(text, _IN_FULL, _LEGAL)


def item_name(text: str) -> Name:
    """A pay item description without case and punctuation; inches and feet as words, short forms written out."""
    marked = re.sub(r"[\"”″]", " IN ", text)
    marked = re.sub(r"(?<=\d)\s*['’′]", " FT ", marked)
    return _name(marked, _ITEM_IN_FULL, frozenset({"AND", "THE", "OF", "FOR"}))


@cache
def _tidy(text: str) -> str:
    decimals = re.sub(r"(?<=\d)[.](?=\d)", "_", text.upper())
    joined = re.sub(r"(?<=\w)[.'’](?=\w\b)|[.'’](?=\s|$|,)", "", decimals)
    apart = re.sub(r"(?<=\d)(?=(?:IN|FT|MM|LB|MIL)\b)", " ", joined)
    return " ".join(re.sub(r"[^\w/]|(?<!\d)/|/(?!\d)", " ", apart).split())


def _name(text: str, in_full: dict[str, str], left_off: frozenset[str]) -> Name:
    tokens = _initials_together(_tidy(text).split())
    full = [in_full.get(token, token) for token in tokens]
    kept = [token for token in full if token not in left_off] or full
    marks = tuple(token for token in kept if _is_mark(token))
    return Name(tuple(token for token in kept if not _is_mark(token)), marks)


def _initials_together(tokens: list[str]) -> list[str]:
    """J R ALDER is JR ALDER; a single letter that stands alone stays a mark."""
    out: list[str] = []
    run = ""
    for token in [*tokens, ""]:
        if len(token) == 1 and token.isalpha():
            run += token
            continue
        out += [run] * bool(run)
        out += [token] * bool(token)
        run = ""
    return out


def _is_mark(token: str) -> bool:
    return any(map(str.isdigit, token)) or len(token) == 1 or bool(_ROMAN.fullmatch(token))


# --- two names ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Likeness:
    """Why two names may be one. `flag` is not empty where more than spelling sets them apart."""

    score: int
    why: str
    flag: str = ""


def likeness(one: Name, other: Name) -> Likeness | None:
    """How two names may be one, or None where they are not suggested."""
    from rapidfuzz import fuzz

    if one.marks != other.marks or not one.words or not other.words:
        return None
    if one.text == other.text or "".join(one.words) == "".join(other.words):
        return Likeness(100, "only case, punctuation, short or legal forms differ")
    left, spelt, right = _paired(one.words, other.words)
    if left and right:
        return None
    score = round(fuzz.token_sort_ratio(one.text, other.text))
    why = "; ".join(f"{a} for {b}" for a, b in spelt)
    if extra := left or right:
        if min(len(one.words), len(other.words)) < _WORDS_ALIKE or len(extra) > _WORDS_MORE:
            return None
        return Likeness(score, why or "all other words are the same", f"one has more words: {' '.join(extra)}")
    return Likeness(score, f"spelt differently: {why}")


def _paired(one: tuple[str, ...], other: tuple[str, ...]) -> tuple[list[str], list[tuple[str, str]], list[str]]:
    """Words of `one` without a like, pairs spelt differently, words of `other` without a like."""
    rest = list(other)
    without: list[str] = []
    for word in one:
        if word in rest:
            rest.remove(word)
        else:
            without.append(word)
    spelt: list[tuple[str, str]] = []
    left: list[str] = []
    for word in without:
        like = max(rest, key=lambda candidate: _word_likeness(word, candidate), default=None)
        if like is not None and _word_likeness(word, like) >= _FROM:
            spelt.append((word, like))
            rest.remove(like)
        else:
            left.append(word)
    return left, spelt, rest


@cache
def _word_likeness(one: str, other: str) -> float:
    """0 to 100; 0 for short words, for a word and its opposite, and for words that differ in a letter before them."""
    from rapidfuzz import fuzz

    longer, shorter = (one, other) if len(one) >= len(other) else (other, one)
    if longer == f"{shorter}S":
        return 100.0
    opposite = frozenset((one, other)) in _APART or bool(_without_prefix(one) & _without_prefix(other))
    if opposite or len(shorter) <= _SHORT or (one[0] != other[0] and len(shorter) < _LONG):
        return 0.0
    return float(fuzz.ratio(one, other))


def _without_prefix(word: str) -> set[str]:
    """The word, and what is left of it without each prefix it begins with."""
    return {word, *(word.removeprefix(before) for before in _LETTERS_BEFORE if len(word) > len(before) + 2)}


def _candidates(names: list[Name]) -> list[tuple[int, int]]:
    """Pairs worth a closer look: the same marks, and most letters the same whatever the order of words."""
    from rapidfuzz import fuzz, process

    groups: dict[tuple[str, ...], list[int]] = {}
    for place, name in enumerate(names):
        groups.setdefault(name.marks, []).append(place)
    found: list[tuple[int, int]] = []
    for members in groups.values():
        texts = [names[place].text for place in members]
        for start in range(0, len(members), _AT_A_TIME):
            block = texts[start : start + _AT_A_TIME]
            scores = process.cdist(block, texts, scorer=fuzz.token_set_ratio, score_cutoff=75, dtype=np.uint8)
            rows, columns = np.nonzero(scores)
            found += [(members[start + a], members[b]) for a, b in zip(rows, columns, strict=True) if start + a < b]
        run_together: dict[str, int] = {}
        for place in members:
            first = run_together.setdefault("".join(names[place].words), place)
            found += [(first, place)] * (first != place)
    return list(dict.fromkeys(found))


# --- suggestions --------------------------------------------------------------------------------------------------


def suggest_bidders(bidders: pd.DataFrame, together: set[frozenset[str]] | None = None) -> pd.DataFrame:
    """Pairs of bidders on record that may be one firm, unflagged first, likest first; each spelling once, with the
    commonest it may stand for, but for flagged pairs.

    bidders : columns bidder, contracts (contracts it bid on). The one with fewer contracts is the `spelling`.
    together : pairs of bidders that bid on one contract: they are flagged, since no firm bids against itself.
    Returns SUGGESTION_COLUMNS.
    """
    names = [bidder_name(text) for text in bidders["bidder"]]
    spelt, contracts = bidders["bidder"].tolist(), bidders["contracts"].tolist()
    rows: list[tuple[Any, ...]] = []
    for one, other in _candidates(names):
        alike = likeness(names[one], names[other])
        if alike is None:
            continue
        first, second = sorted((one, other), key=lambda at: (contracts[at], not spelt[at].isupper(), spelt[at]))
        apart = frozenset((spelt[one], spelt[other])) in (together or set())
        flag = "; ".join(filter(None, (alike.flag, "both bid on one contract" if apart else "")))
        rows.append((spelt[first], spelt[second], alike.score, alike.why, flag, contracts[first], contracts[second]))
    rows.sort(key=lambda row: (row[4] != "", -row[2], row[0], -row[6], row[1].isupper(), row[1]))
    best = {row[0]: row for row in reversed(rows) if not row[4]}
    rows = [row for row in rows if row[4] or best[row[0]] is row]
    return _frame(rows, SUGGESTION_COLUMNS, ("score", "spelling_contracts", "bidder_contracts"))


def suggest_pay_items(items: pd.DataFrame) -> pd.DataFrame:
    """Pairs of pay item descriptions with one pay unit that may be one item; those placed differently come first.

    items : columns description, pay_unit, work_category, lines.
    Returns ITEM_COLUMNS; `lines` are those of the rarer description.
    """
    own = items.assign(pay_unit=items["pay_unit"].fillna(""))
    rows: list[tuple[Any, ...]] = []
    for unit, group in own.groupby("pay_unit", sort=True):
        merged = group.groupby("description", sort=True).agg(
            lines=("lines", "sum"), category=("work_category", lambda found: ", ".join(sorted(set(found))))
        )
        texts, lines, categories = list(merged.index), merged["lines"].tolist(), merged["category"].tolist()
        names = [item_name(text) for text in texts]
        for one, other in _candidates(names):
            alike = likeness(names[one], names[other])
            if alike is None or alike.flag:  # an item with more words is another item
                continue
            first, second = sorted((one, other), key=lambda place: (lines[place], texts[place]))
            rows.append(
                (texts[first], texts[second], unit, alike.score, alike.why, categories[first], categories[second],
                 lines[first])
            )  # fmt: skip
    rows.sort(key=lambda row: (row[5] == row[6], -row[3], row[0], row[1]))
    return _frame(rows, ITEM_COLUMNS, ("score", "lines"))


def _frame(rows: list[tuple[Any, ...]], columns: tuple[str, ...], numbers: tuple[str, ...]) -> pd.DataFrame:
    frame = pd.DataFrame(rows, columns=list(columns))
    return frame.astype({name: "int64" if name in numbers else "str" for name in columns})

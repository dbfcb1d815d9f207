"""The rules that place pay items: read from `category_rules/*.toml`, tried in order, the first that fits decides.

A rule has an id, a category, a line saying what it is `about`, and `words`: alternatives, each one phrase or several
joined by " + " (all must stand in the description, in any order). `unless` lists alternatives that rule it out,
`units` the pay units it needs, `schedule` the kind of schedule ("bridge" or "road") it needs, `time_bid` marks bids on
time, which are no cost.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from bidlens.errors import BadValue
from bidlens.normalizer.pay_item_words import read_description
from bidlens.normalizer.work_categories import UNCLASSIFIED, check_category

NO_RULE = "no rule matched"
_RULE_FILES = Path(__file__).parent / "category_rules"
_RULE_KEYS = {"id", "category", "about", "words", "unless", "units", "schedule", "time_bid"}

Terms = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CategoryRule:
    """One rule. words, unless : alternatives, each a tuple of phrases that must all stand in the description."""

    id: str
    category: str
    about: str
    words: tuple[Terms, ...]
    unless: tuple[Terms, ...] = ()
    units: frozenset[str] = frozenset()
    schedule: str = ""
    time_bid: bool = False


@dataclass(frozen=True, slots=True)
class Decision:
    category: str
    rule: str
    time_bid: bool = False


_UNDECIDED = Decision(UNCLASSIFIED, NO_RULE)


@cache
def category_rules() -> tuple[CategoryRule, ...]:
    """Every rule in the order it is tried: files by name, rules as they stand in them."""
    rules: list[CategoryRule] = []
    for path in sorted(_RULE_FILES.glob("*.toml")):
        entries = tomllib.loads(path.read_text(encoding="utf-8"))["rule"]
        rules.extend(_compile(entry) for entry in entries)
    repeated = [rule_id for rule_id, count in Counter(rule.id for rule in rules).items() if count > 1]
    if repeated:
        raise BadValue(f"category rules use the ids {', '.join(repeated)} more than once")
    return tuple(rules)


def _compile(entry: dict[str, Any]) -> CategoryRule:
    if unknown := set(entry) - _RULE_KEYS:
        raise BadValue(f"category rule {entry.get('id')} has unknown keys: {', '.join(sorted(unknown))}")
    check_category(entry["category"])
    return CategoryRule(
        id=entry["id"],
        category=entry["category"],
        about=entry["about"],
        words=_alternatives(entry["words"]),
        unless=_alternatives(entry.get("unless", ())),
        units=frozenset(entry.get("units", ())),
        schedule=entry.get("schedule", ""),
        time_bid=entry.get("time_bid", False),
    )


def _alternatives(written: Iterable[str]) -> tuple[Terms, ...]:
    """Alternatives as read: the rules' words go through the same reading as the descriptions."""
    return tuple(tuple(read_description(term) for term in line.split(" + ")) for line in written)


@cache
def _by_word() -> dict[str, list[tuple[int, int, Terms]]]:
    """Word -> the rule alternatives that cannot fit without it: each alternative is filed under its rarest word.

    An alternative is (place of its rule, place in its rule, phrases); in a rule the alternative that says most is
    first, so that the decision quotes as much of the description as it can.
    """
    alternatives = [
        (place, within, terms)
        for place, rule in enumerate(category_rules())
        for within, terms in enumerate(sorted(rule.words, key=lambda terms: -sum(map(len, terms))))
    ]
    uses = Counter(word for *_, terms in alternatives for word in {w for term in terms for w in term.split()})
    filed: dict[str, list[tuple[int, int, Terms]]] = {}
    for place, within, terms in alternatives:
        rarest = min((word for term in terms for word in term.split()), key=lambda word: (uses[word], word))
        filed.setdefault(rarest, []).append((place, within, terms))
    return filed


def _stands(terms: Terms, padded: str) -> bool:
    """Whether every phrase stands, as whole words, in a text padded with blanks."""
    return all(f" {term} " in padded for term in terms)


def _quoted(terms: Terms, padded: str) -> str:
    """The words that decided, in reading order; phrases that do not stand side by side are joined by " + "."""
    in_order = sorted(terms, key=lambda term: padded.index(f" {term} "))
    together = " ".join(in_order)
    return together if f" {together} " in padded else " + ".join(in_order)


@lru_cache(maxsize=1 << 16)
def decide(words: str, unit: str, schedule: str) -> Decision:
    """The first rule that fits a description as read."""
    rules, filed, padded = category_rules(), _by_word(), f" {words} "
    candidates = sorted(entry for word in set(words.split()) for entry in filed.get(word, ()))
    for place, _, terms in candidates:
        rule = rules[place]
        if not _stands(terms, padded) or (rule.units and unit not in rule.units):
            continue
        if (rule.schedule and rule.schedule != schedule) or any(_stands(other, padded) for other in rule.unless):
            continue
        return Decision(rule.category, f"{rule.id} on '{_quoted(terms, padded)}'", rule.time_bid)
    return _UNDECIDED

"""The rules that place pay items: read from `category_rules/*.toml`, tried in order, the first that fits decides.

A rule has an id, a category and `words`: alternatives, each one phrase or several joined by " + " (all must stand in
the description, in any order). `unless` lists alternatives that rule it out, `units` the pay units it needs,
`schedule` the kind of schedule ("bridge" or "road") it needs, `time_bid` marks bids on time, which are no cost.
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
_RULE_KEYS = {"id", "category", "words", "unless", "units", "schedule", "time_bid"}

Terms = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CategoryRule:
    """One rule. words, unless : alternatives, each a tuple of phrases that must all stand in the description."""

    id: str
    category: str
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
def _by_word() -> dict[str, list[tuple[int, Terms]]]:
    """Word -> the rule alternatives that cannot fit without it: each alternative is filed under its rarest word."""
    alternatives = [(place, terms) for place, rule in enumerate(category_rules()) for terms in rule.words]
    uses = Counter(word for _, terms in alternatives for word in {w for term in terms for w in term.split()})
    filed: dict[str, list[tuple[int, Terms]]] = {}
    for place, terms in alternatives:
        rarest = min((word for term in terms for word in term.split()), key=lambda word: (uses[word], word))
        filed.setdefault(rarest, []).append((place, terms))
    return filed


def _stands(terms: Terms, padded: str) -> bool:
    """Whether every phrase stands, as whole words, in a text padded with blanks."""
    return all(f" {term} " in padded for term in terms)


@lru_cache(maxsize=1 << 16)
def decide(words: str, unit: str, schedule: str) -> Decision:
    """The first rule that fits a description as read."""
    rules, filed, padded = category_rules(), _by_word(), f" {words} "
    candidates = sorted(
        (entry for word in set(words.split()) for entry in filed.get(word, ())), key=lambda entry: entry[0]
    )
    for place, terms in candidates:
        rule = rules[place]
        if not _stands(terms, padded) or (rule.units and unit not in rule.units):
            continue
        if (rule.schedule and rule.schedule != schedule) or any(_stands(other, padded) for other in rule.unless):
            continue
        return Decision(rule.category, f"{rule.id} on '{' + '.join(terms)}'", rule.time_bid)
    return _UNDECIDED

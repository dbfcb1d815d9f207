"""Pay item -> work category: which part of the bridge an item pays for, and which rule said so.

What the money buys decides, not the word that stands first. The rules are data and are tried in order; what none fits
stays `unclassified`. Item codes are each agency's own and play no part in the rules; the engineer's overrides win over
every rule.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pandas as pd

from bidlens.errors import BadValue
from bidlens.normalizer.item_rules import Decision, decide
from bidlens.normalizer.pay_item_words import read_description, read_unit
from bidlens.normalizer.work_categories import CATEGORY_MEANINGS, WORK_CATEGORIES, check_category

__all__ = ["CATEGORY_MEANINGS", "WORK_CATEGORIES", "apply_overrides", "categorize", "check_category", "is_time_bid"]

_READ = ("description", "pay_unit", "schedule")
_OVERRIDE_COLUMNS = ("item_code", "description", "pay_unit", "work_category", "reason")


@lru_cache(maxsize=1 << 12)
def _schedule_kind(schedule: str) -> str:
    """`bridge` or `road` where the schedule's name says so, else empty: a hint for items that could be either."""
    words = set(read_description(schedule).split())
    bridge, road = bool(words & {"BRIDGE", "STRUCTURE"}), bool(words & {"ROAD", "ROADWAY", "HIGHWAY"})
    return "" if bridge == road else ("bridge" if bridge else "road")


def _distinct(items: pd.DataFrame) -> tuple[np.ndarray, pd.DataFrame]:
    """For each row the number of its pay item (n int), and the different pay items as read, as text, by number."""
    columns = [items[name] for name in _READ if name in items]
    coded = [pd.factorize(column, use_na_sentinel=False)[0] for column in columns]
    number = np.zeros(len(items), dtype=np.int64)
    for codes in coded:
        number = pd.factorize(number * (int(codes.max(initial=0)) + 1) + codes)[0]
    first = np.flatnonzero(~pd.Series(number).duplicated())
    different = pd.DataFrame(dict.fromkeys(_READ, ""), index=range(len(first)), dtype="object")
    for column in columns:
        shown = column.iloc[first]
        different[column.name] = ["" if no else str(value) for value, no in zip(shown, shown.isna(), strict=True)]
    return number, different


def _decisions(items: pd.DataFrame) -> tuple[np.ndarray, list[Decision]]:
    """For each row the number of its decision (n int), and the decisions: one for each different pay item."""
    if "description" not in items:
        raise BadValue(
            "pay items need a column description to be placed in a work category; seen: "
            + (", ".join(map(str, items.columns)) or "no column"),
            do="Name the column that holds the pay item description.",
        )
    number, different = _distinct(items)
    rows = zip(*(different[name] for name in _READ), strict=True)
    return number, [
        decide(read_description(description), read_unit(unit), _schedule_kind(schedule))
        for description, unit, schedule in rows
    ]


def categorize(items: pd.DataFrame, as_categories: bool = False) -> pd.DataFrame:
    """Place each pay item in a work category and say which rule did it. Pure; use before storing a bid tab.

    items : n rows; description (required), pay_unit and schedule if known; other columns, item_code too, are not read.
    Returns n rows, same row index: work_category (one of WORK_CATEGORIES) and rule, such as
    "deck-07 on 'SUPERSTRUCTURE CONCRETE'" (the words as read), or "no rule matched"; text, or `as_categories`.
    Raises BadValue without a column description.
    """
    number, decided = _decisions(items)
    told = {
        "work_category": [decision.category for decision in decided],
        "rule": [decision.rule for decision in decided],
    }
    columns = {}
    for name, texts in told.items():
        codes, different = pd.factorize(np.array(texts, dtype=object))
        held = pd.Categorical.from_codes(codes[number], pd.Index(different, dtype="str"))
        columns[name] = pd.Series(held, index=items.index)
    return pd.DataFrame(columns, index=items.index).astype("category" if as_categories else "str")


def is_time_bid(items: pd.DataFrame) -> pd.Series[bool]:
    """Which items bid time (calendar days, user delay cost, lane rental): they rank bids and are out of every cost.

    items : as for `categorize`. Returns n booleans, same row index.
    """
    number, decided = _decisions(items)
    return pd.Series(np.array([decision.time_bid for decision in decided], bool)[number], index=items.index, dtype=bool)


def apply_overrides(items: pd.DataFrame, categorized: pd.DataFrame, overrides: pd.DataFrame) -> pd.DataFrame:
    """The categories with the engineer's overrides put over them. Pure; use after `categorize`.

    items : description (required), item_code and pay_unit if known; n rows.
    categorized : work_category and rule of those items, same row index.
    overrides : item_code (empty: any), description, pay_unit (empty: any), work_category, reason. Descriptions are
        compared without regard to case and blanks, pay units by meaning. The override that says more (code and unit)
        wins; of two that say as much, the later one.
    Returns a new frame; a placed row's rule is "placed by hand: reason".
    Raises BadValue where a column is missing or a work category is not known.
    """
    missing = [column for column in _OVERRIDE_COLUMNS if column not in overrides]
    if missing:
        raise BadValue(f"overrides need the columns {', '.join(_OVERRIDE_COLUMNS)}; missing: {', '.join(missing)}")
    placed = _placed_by_hand(overrides)
    result = categorized.copy()
    if not placed:
        return result
    columns = [_clean(items, "description"), _clean(items, "item_code"), _clean(items, "pay_unit")]
    by_hand = [_look_up(placed, *row) for row in zip(*columns, strict=True)]
    result["work_category"] = [
        hand[0] if hand else rule for hand, rule in zip(by_hand, categorized["work_category"], strict=True)
    ]
    result["rule"] = [hand[1] if hand else rule for hand, rule in zip(by_hand, categorized["rule"], strict=True)]
    return result.astype({"work_category": "str", "rule": "str"})


def _clean(frame: pd.DataFrame, column: str) -> list[str]:
    """A column ready to compare: upper-case, single blanks, units in one spelling, empty where missing."""
    if column not in frame:
        return [""] * len(frame)
    texts = [" ".join(str(value).upper().split()) for value in frame[column].astype("str").fillna("")]
    return [read_unit(text) for text in texts] if column == "pay_unit" else texts


def _placed_by_hand(overrides: pd.DataFrame) -> dict[tuple[str, str, str], tuple[str, str]]:
    """(description, code, unit) -> (category, rule text); later rows over earlier ones."""
    for category in overrides["work_category"].unique():
        check_category(str(category))
    keys = zip(*(_clean(overrides, column) for column in ("description", "item_code", "pay_unit")), strict=True)
    values = zip(overrides["work_category"], overrides["reason"], strict=True)
    return {key: (category, f"placed by hand: {reason}") for key, (category, reason) in zip(keys, values, strict=True)}


def _look_up(
    placed: dict[tuple[str, str, str], tuple[str, str]], description: str, code: str, unit: str
) -> tuple[str, str] | None:
    for key in ((description, code, unit), (description, code, ""), (description, "", unit), (description, "", "")):
        if key in placed:
            return placed[key]
    return None

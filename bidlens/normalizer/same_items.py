"""Pay items confirmed to be the same: each is placed in a work category as the item it stands for. Pure."""

from __future__ import annotations

import pandas as pd

from bidlens.errors import BadValue
from bidlens.normalizer.categories import apply_overrides, categorize
from bidlens.normalizer.names import item_name


def check_same_item(description: str, other: str) -> None:
    """Raises BadValue where digits or class letters set two descriptions apart: they are two items."""
    one, two = item_name(description).marks, item_name(other).marks
    if one != two:
        apart = f"{' '.join(one) or 'none'} and {' '.join(two) or 'none'}"
        raise BadValue(
            f"“{description}” and “{other}” differ in digits or class letters ({apart}): they are two items",
            do="Place one of them in a work category by hand instead.",
        )


def known_as(aliases: pd.DataFrame) -> dict[tuple[str, str], str]:
    """(description, pay unit) -> the description it is counted as. aliases : with same_as."""
    return dict(zip(zip(aliases["description"], aliases["pay_unit"], strict=True), aliases["same_as"], strict=True))


def categorize_as_known(items: pd.DataFrame, aliases: pd.DataFrame, overrides: pd.DataFrame) -> pd.DataFrame:
    """`categorize` with every confirmed item placed as the one it stands for; the engineer's decisions win.

    items : as `categorize` takes them. A decision on an item itself goes before one on the item it stands for.
    Returns work_category and rule, same row index; the rule of a confirmed item names the other.
    """
    if aliases.empty:
        decided = categorize(items)
        return apply_overrides(items, decided, overrides) if len(overrides) else decided
    ends = known_as(aliases)
    items = items.astype({"description": "str", "pay_unit": "str"})
    keys = zip(items["description"], items["pay_unit"].fillna(""), strict=True)
    stands = pd.Series([ends.get(key) for key in keys], index=items.index, dtype="str")
    as_known = items.assign(description=stands.fillna(items["description"]))
    decided = categorize(as_known)
    named = "as “" + stands + "”: " + decided["rule"]
    decided = decided.assign(rule=named.where(stands.notna(), decided["rule"]))
    if len(overrides):
        decided = apply_overrides(items, apply_overrides(as_known, decided, overrides), overrides)
    return decided

"""How long it takes to place the pay items of one bid tab file, rules and caches cold."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pandas as pd

from bidlens.normalizer import item_rules, pay_item_words
from bidlens.normalizer.categories import categorize

DISTINCT_ITEMS = 2_500
#: Placing items must not be felt beside reading the file, which takes about a second.
MOST_SECONDS = 0.25
_WORDINGS = Path(__file__).parents[1] / "normalizer" / "pay_item_wordings.toml"


def _distinct_items() -> pd.DataFrame:
    """Made-up wordings of the tests, each with many code words behind it, so that no two rows read the same."""
    wordings = [line.split(" | ") for lines in tomllib.loads(_WORDINGS.read_text()).values() for line in lines]
    rows = [wordings[n % len(wordings)] for n in range(DISTINCT_ITEMS)]
    return pd.DataFrame(
        {"description": [f"{row[0]}, Mark Q{n}X" for n, row in enumerate(rows)], "pay_unit": [row[1] for row in rows]}
    )


def _forget() -> None:
    pay_item_words.read_description.cache_clear()
    item_rules.decide.cache_clear()


def test_a_files_items_are_placed_in_a_quarter_of_a_second(benchmark: Any) -> None:
    items = _distinct_items()
    categorize(items.iloc[:1])
    benchmark.pedantic(categorize, args=(items,), setup=_forget, rounds=5)
    assert benchmark.stats.stats.median < MOST_SECONDS

"""Work categories: the dollars in each, and every pay item with the rule that placed it."""

from __future__ import annotations

from typing import Any

import pandas as pd

from bidlens import wording
from bidlens.dashboard import blocks, cache
from bidlens.dashboard.placing_part import in_words, place_form, placed, said
from bidlens.dashboard.records_parts import listed
from bidlens.dashboard.words import or_not_given


def show() -> None:
    """Low-bid dollars by category, the pay items, and the form that places one."""
    summary: pd.DataFrame = cache.table("category_summary")
    blocks.section("Work categories", "Dollars of low bids. What no rule knows stands as unclassified.")
    said()
    if summary.empty:
        blocks.note("No bid tab has been imported.")
        return
    heads = (("Work category", ""), ("Pay items", "n"), ("Lines", "n"), ("Placed by hand", "n"), ("Low bids", "n"),
             ("Share", "n"))  # fmt: skip
    blocks.table([blocks.Column(*head) for head in heads], [_category(row) for row in summary.to_dict("records")])
    items: pd.DataFrame = cache.table("pay_items")
    blocks.section("Pay items, most dollars first", "Each with its work category and the rule that decided it.")
    names = {
        "item_code": "Item", "description": "Description", "pay_unit": "Unit", "work_category": "Work category",
        "category_rule": "Rule", "lines": "Lines", "low_bid_usd": "Low bids",
    }  # fmt: skip
    shown = items[list(names)].rename(columns=names).assign(**{"Low bids": items["low_bid_usd"].round()})
    widths = {"Item": 90, "Description": 380, "Unit": 60, "Work category": 150, "Rule": 330, "Lines": 60}
    listed(shown, "items_table", widths, scrolling=True)
    place_form(items)
    placed()


def _category(row: dict[Any, Any]) -> list[object]:
    return [
        in_words(row["work_category"]),
        wording.number(row["items"]),
        wording.number(row["lines"]),
        wording.number(row["by_hand"]),
        wording.usd(row["low_bid_usd"]),
        or_not_given(row["share"], lambda share: f"{wording.number(share * 100, 1)}%", "no dollars"),
    ]

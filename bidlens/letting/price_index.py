"""The county's own price index over its pay items: what recurs, gathered by year, beside a published index.

Lump sums and other units without a measure are left out, as in the federal highway construction index (FHWA
presentation, October 2010); so are mobilization and time items. The formulas are in `model.price_index`.
"""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from bidlens.findings import Unavailable
from bidlens.letting import pay_items
from bidlens.model import price_index
from bidlens.reference import CostIndex

#: Fewer items in common than this, and no index is given; judgement, no source.
MATCHED_FROM = price_index.FEWEST_ITEMS


def county_index(item_years: pd.DataFrame, index: CostIndex) -> pd.DataFrame:
    """`model.county_price_index` of the record, beside a published index.

    item_years : year, item_code, description, pay_unit, work_category, quantity, usd of low bids; one row an item as
        written and year.
    """
    lines = item_years.assign(unit_price=item_years["usd"] / item_years["quantity"].where(item_years["quantity"] > 0))
    items = pay_items.with_item(pay_items.repeat_work(lines))
    return price_index.county_price_index(_observed(items.rename(columns={"year": "period"})), index)


@dataclass(frozen=True, slots=True)
class BeyondIndex:
    """Prices of the same work beyond the cost index: matched items, their share of dollars, ratio less one."""

    matched_items: int
    matched_share: float
    change: float


def beyond_index(items: pd.DataFrame, first_year: int) -> BeyondIndex | Unavailable:
    """Fisher index of the lettings from `first_year` on, over those before, in dollars of one quarter.

    items : low-bid lines of repeat work with item, quantity and real_price. The share is of all their dollars.
    """
    known = items[items["real_price"].notna()]
    known = known.assign(
        usd=known["real_price"] * known["quantity"], period=known["letting_date"].dt.year >= first_year
    )
    both = price_index.matched(_observed(known), False, True)
    if len(both) < MATCHED_FROM:
        return Unavailable(f"{len(both)} pay items were let both then and in the years before; it takes {MATCHED_FROM}")
    arrays = [both[name].to_numpy(dtype=float) for name in ("p0", "p1", "q0", "q1")]
    dollars = float((both["p0"] * both["q0"]).sum() + (both["p1"] * both["q1"]).sum())
    return BeyondIndex(len(both), dollars / float(known["usd"].sum()), price_index.fisher(*arrays) - 1)


def _observed(items: pd.DataFrame) -> pd.DataFrame:
    """item, period, price, quantity: all dollars over all quantity of an item and period."""
    sums = items.groupby(["item", "period"], as_index=False)[["quantity", "usd"]].sum()
    return sums.assign(price=sums["usd"] / sums["quantity"])

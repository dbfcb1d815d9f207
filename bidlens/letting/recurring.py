"""The pay items of a review that recur: what low bids and all bids asked, and the price to expect next."""

from __future__ import annotations

import pandas as pd

from bidlens.findings import Unavailable
from bidlens.letting import pay_items
from bidlens.letting.suggested import SUGGESTED_FROM, suggested_price
from bidlens.letting.years import Years

#: Items a review lists; the rest is found by `items`.
MOST = 300

RECURRING_COLUMNS = ("item_title", "pay_unit", "contracts", "first_year", "last_year", "years_usd", "real_low_price",
                     "bids", "mean_price", "expected_price", "low", "high", "chance", "for_quantity",
                     "quantity_effect_percent", "dollars_of")  # fmt: skip


def recurring_items(items: pd.DataFrame, item_bids: pd.DataFrame, years: Years, dollars_of: str) -> pd.DataFrame:
    """RECURRING_COLUMNS, most low dollars of the years first: items of the years let in SUGGESTED_FROM contracts.

    items : low-bid lines of repeat work, of the years and of those compared with, with item, real_price (dollars of
        `dollars_of`), quantity, unit_price. item_bids : year, item_code, description, pay_unit, bids, mean_price of all
        responsive bids, as bid; mean_price and bids of the table are of the years.
    """
    known = items[items["real_price"].gt(0)]
    known = known.assign(
        _real=known["real_price"] * known["quantity"], _usd=known["unit_price"] * known["quantity"],
        _now=known["letting_date"].dt.year.between(*years),
    )  # fmt: skip
    spent = known[known["_now"]].groupby("item")["_usd"].sum()
    contracts = known.groupby("item")["contract_id"].nunique()
    chosen = spent[spent.index.isin(contracts[contracts >= SUGGESTED_FROM].index)]
    chosen = chosen.sort_index().sort_values(ascending=False, kind="stable").head(MOST)
    asked = known[known["item"].isin(chosen.index)]
    rows = [_row(group, dollars_of) for _, group in asked.groupby("item")]
    table = pd.DataFrame(rows, columns=[name for name in RECURRING_COLUMNS if name not in ("bids", "mean_price")])
    table.insert(0, "item", sorted(asked["item"].unique()))
    table = table.merge(_all_bids(item_bids, years), on="item", how="left", validate="1:1")
    ordered = table.sort_values(["years_usd", "item"], ascending=[False, True], kind="stable")
    return ordered[list(RECURRING_COLUMNS)].reset_index(drop=True)


def _row(lines: pd.DataFrame, dollars_of: str) -> tuple[object, ...]:
    per = lines.groupby(["contract_id", "letting_date"], as_index=False)[["_real", "quantity"]].sum()
    price = per["_real"] / per["quantity"]
    found = suggested_price(price, per["quantity"])
    year = lines["letting_date"].dt.year
    given = (
        (None,) * 6
        if isinstance(found, Unavailable)
        else (found.price, found.low, found.high, found.chance, found.quantity, found.quantity_effect)
    )
    return (
        lines["item_title"].iloc[0], lines["pay_unit"].iloc[0], len(per), year.min(), year.max(),
        round(float(lines.loc[lines["_now"], "_usd"].sum()), 2), float(price.median()), *given, dollars_of,
    )  # fmt: skip


def _all_bids(item_bids: pd.DataFrame, years: Years) -> pd.DataFrame:
    mine = pay_items.with_item(item_bids[item_bids["year"].between(*years)])
    mine = mine.assign(_sum=mine["mean_price"] * mine["bids"])
    sums = mine.groupby("item", as_index=False)[["bids", "_sum"]].sum()
    return sums.assign(mean_price=sums["_sum"] / sums["bids"])[["item", "bids", "mean_price"]]

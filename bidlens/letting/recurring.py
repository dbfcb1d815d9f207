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
    if chosen.empty:
        return pd.DataFrame(columns=list(RECURRING_COLUMNS))
    asked = known[known["item"].isin(chosen.index)]
    year = asked["letting_date"].dt.year
    facts = asked.assign(_year=year, years_usd=asked["_usd"].where(asked["_now"], 0.0)).groupby("item").agg(
        item_title=("item_title", "first"), pay_unit=("pay_unit", "first"), first_year=("_year", "min"),
        last_year=("_year", "max"), years_usd=("years_usd", "sum"),
    )  # fmt: skip
    per = asked.groupby(["item", "contract_id", "letting_date"], as_index=False)[["_real", "quantity"]].sum()
    per["_price"] = per["_real"] / per["quantity"]
    prices = pd.DataFrame([_prices(item, group) for item, group in per.groupby("item")], columns=list(_PRICES))
    table = prices.merge(facts.round({"years_usd": 2}).reset_index(), on="item", validate="1:1")
    table = table.assign(dollars_of=dollars_of).merge(
        _all_bids(item_bids, years), on="item", how="left", validate="1:1"
    )
    ordered = table.sort_values(["years_usd", "item"], ascending=[False, True], kind="stable")
    return ordered[list(RECURRING_COLUMNS)].reset_index(drop=True)


_PRICES = ("item", "contracts", "real_low_price", "expected_price", "low", "high", "chance", "for_quantity",
           "quantity_effect_percent")  # fmt: skip


def _prices(item: object, per: pd.DataFrame) -> tuple[object, ...]:
    """What the contracts of one item, one row each, let expect."""
    found = suggested_price(per["_price"], per["quantity"])
    given = (
        (None,) * 6
        if isinstance(found, Unavailable)
        else (found.price, found.low, found.high, found.chance, found.quantity, found.quantity_effect)
    )
    return (item, len(per), float(per["_price"].median()), *given)


def _all_bids(item_bids: pd.DataFrame, years: Years) -> pd.DataFrame:
    mine = pay_items.with_item(item_bids[item_bids["year"].between(*years)])
    mine = mine.assign(_sum=mine["mean_price"] * mine["bids"])
    sums = mine.groupby("item", as_index=False)[["bids", "_sum"]].sum()
    return sums.assign(mean_price=sums["_sum"] / sums["bids"])[["item", "bids", "mean_price"]]

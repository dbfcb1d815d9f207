"""One contract opened: items by bidders, and the lines that make low and second, low and estimate differ."""

from __future__ import annotations

import pandas as pd

LINE = ["schedule", "line"]


def comparison(prices: pd.DataFrame) -> pd.DataFrame:
    """Items by bidders: one row per line, extensions in a column a bidder, the estimate first, then by rank.

    prices : one row per line and bidder of one letting: schedule, line, item_code, description, pay_unit, quantity,
        work_category, bidder, place (0 for the estimate, then by corrected rank), extension.
    """
    facts = ["item_code", "description", "pay_unit", "quantity", "work_category"]
    order = prices[["bidder", "place"]].drop_duplicates().sort_values(["place", "bidder"])["bidder"]
    table = prices.pivot(index=LINE, columns="bidder", values="extension")[order.tolist()]
    table.columns.name = None
    lines = prices.drop_duplicates(LINE)[[*LINE, *facts]]
    return lines.merge(table.reset_index(), on=LINE, how="left", validate="1:1").reset_index(drop=True)


def explained_by(lines: pd.DataFrame, other: str) -> pd.DataFrame:
    """Which work makes `other` (second_usd or estimate_usd) differ from the low bid.

    One row per work_category: low, other, difference_usd, largest first; the differences add to that of the totals.
    """
    money = lines.assign(low=lines["low_usd"].fillna(0.0), other=lines[other].fillna(0.0))
    table = money.groupby("work_category", as_index=False)[["low", "other"]].sum().round(2)
    table["difference_usd"] = (table["other"] - table["low"]).round(2)
    order = table.assign(_size=table["difference_usd"].abs()).sort_values(
        ["_size", "work_category"], ascending=[False, True]
    )
    return order.drop(columns="_size").reset_index(drop=True)

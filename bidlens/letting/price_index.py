"""The county's own price index: chained Fisher over pay items bid in both of two neighbouring years.

Formulas: Laspeyres, Paasche and their geometric mean as in the ILO consumer price index manual (2004); chaining is the
product of neighbouring links. Lump sums and other units without a measure are left out, as in the federal highway
construction index (FHWA presentation, October 2010); so are mobilization and time items.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from bidlens.model import price_index

#: Fewer items in common than this, and a link is not given; judgement, no source.
MATCHED_FROM = 5

INDEX_COLUMNS = ("period", "matched_items", "matched_share", "link", "index")


def fisher(
    price0: Sequence[float], quantity0: Sequence[float], price1: Sequence[float], quantity1: Sequence[float]
) -> float:
    """Fisher price index of period 1 on period 0; n items, prices and quantities positive."""
    p0, p1, q0, q1 = (np.asarray(values, dtype=float) for values in (price0, price1, quantity0, quantity1))
    return price_index.fisher(p0, p1, q0, q1)


def link(before: pd.DataFrame, after: pd.DataFrame, least: int = MATCHED_FROM) -> tuple[int, float, float]:
    """Fisher index between two periods over the items both hold: matched items, their share of dollars, the index.

    before, after : item, quantity, usd (both positive), one row an item. The price is the average price usd / quantity.
    The share is of both periods' dollars. The index is NaN under `least` matched items.
    """
    both = before.merge(after, on="item", how="inner", validate="1:1", suffixes=("_0", "_1"))
    dollars = float(before["usd"].sum() + after["usd"].sum())
    share = float(both["usd_0"].sum() + both["usd_1"].sum()) / dollars if dollars > 0 else 0.0
    if len(both) < least:
        return len(both), share, float("nan")
    price0, price1 = both["usd_0"] / both["quantity_0"], both["usd_1"] / both["quantity_1"]
    found = fisher(price0.tolist(), both["quantity_0"].tolist(), price1.tolist(), both["quantity_1"].tolist())
    return len(both), share, found


def chained_index(items: pd.DataFrame, least: int = MATCHED_FROM) -> pd.DataFrame:
    """INDEX_COLUMNS, one row a period in order; the first is 1.

    items : item, period, quantity, usd, one row per item and period. Where a link cannot be given, the chain ends: it
    and what follows have no index, and the links after it still stand for themselves.
    """
    positive = items[(items["quantity"] > 0) & (items["usd"] > 0)]
    groups = [(period, group[["item", "quantity", "usd"]]) for period, group in positive.groupby("period", sort=True)]
    rows: list[tuple[object, int, float, float, float]] = []
    for number, (period, group) in enumerate(groups):
        if number == 0:
            rows.append((period, 0, float("nan"), float("nan"), 1.0))
            continue
        n, share, one = link(groups[number - 1][1], group, least)
        rows.append((period, n, share, one, rows[-1][4] * one))
    return pd.DataFrame(rows, columns=list(INDEX_COLUMNS))

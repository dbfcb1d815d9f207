"""Lines of the low bid far from the estimate, and quantity changes that would turn the order of the two lowest bids.

Two findings, never one. *Mathematically unbalanced* (23 CFR 635.102) is read here as the published line test: at least
20 % and at least $25,000 from the estimated cost, both limits included (Oregon DOT, quoted by the Oregon Secretary of
State, audit 2017-02). *Materially unbalanced* asks whether the low bid gives the lowest ultimate cost: the quantity at
which low and second bidder cost the same. Such lines are common, mostly explained, and no evidence of wrongdoing.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from bidlens.letting.contracts import at_least, cents
from bidlens.letting.triggers import Trigger
from bidlens.units import UNIT_BY_NAME


def line_test(lines: pd.DataFrame, trigger: Trigger) -> pd.DataFrame:
    """The lines that meet the test, largest dollars first; adds difference_usd and low_over_estimate.

    lines : low_usd and estimate_usd, extensions as corrected. A line without an estimate is not tested.
    """
    known = lines[lines["low_usd"].notna() & lines["estimate_usd"].gt(0)]
    far = at_least(known["low_usd"], known["estimate_usd"], trigger.value("share_of_estimate"))
    gap = (cents(known["low_usd"]) - cents(known["estimate_usd"])).abs()
    met = known[(far & (gap >= round(trigger.value("least_usd") * 100))).fillna(False).astype(bool)]
    met = met.assign(
        difference_usd=(met["low_usd"] - met["estimate_usd"]).round(2),
        low_over_estimate=met["low_usd"] / met["estimate_usd"] - 1,
    )
    return _largest_first(met, met["difference_usd"].abs())


def break_even(low_total: float, second_total: float, low_price: float, second_price: float) -> float | None:
    """Change in one line's quantity at which low and second bidder cost the same: (T2 - T1) / (p1 - p2).

    Positive: an overrun; negative: an underrun. None where both bid the same price: no quantity then turns the order.
    """
    gap = low_price - second_price
    return (second_total - low_total) / gap if gap else None


def break_even_lines(lines: pd.DataFrame) -> pd.DataFrame:
    """The break-even quantity change of each measured line; adds break_even_quantity and break_even_ratio.

    lines : quantity, pay_unit, low_price, second_price, low_total, second_total. The ratio is of the bid quantity.
    Left out: lump sums and the like (no quantity to change), equal prices, underruns beyond the whole quantity, and
    lettings whose two lowest bids tie. Smallest change first.
    """
    gap = lines["low_price"] - lines["second_price"]
    apart = lines["second_total"] - lines["low_total"]
    measured = lines["pay_unit"].isin([name for name, unit in UNIT_BY_NAME.items() if unit.factor is not None])
    usable = measured & lines["quantity"].gt(0) & gap.notna() & gap.ne(0) & apart.gt(0)
    known = lines[usable]
    change = apart[usable] / gap[usable]
    table = known.assign(break_even_quantity=change, break_even_ratio=change / known["quantity"])
    table = table[table["break_even_ratio"] >= -1]
    return (
        table.assign(_size=table["break_even_ratio"].abs())
        .sort_values(["_size", "letting_date", "contract_id", "schedule", "line"], kind="stable")
        .drop(columns="_size")
        .reset_index(drop=True)
    )


def turning_lines(lines: pd.DataFrame, flagged: pd.DataFrame, trigger: Trigger) -> pd.DataFrame:
    """The flagged lines whose break-even lies within the quantity change looked at, smallest change first."""
    key = ["contract_id", "letting_date", "schedule", "line"]
    table = break_even_lines(lines)
    near = table[table["break_even_ratio"].abs() <= trigger.value("most_of_quantity")]
    return near.merge(flagged[key], on=key, how="inner", validate="1:1")


def _largest_first(table: pd.DataFrame, size: pd.Series) -> pd.DataFrame:
    ordered = table.assign(_size=np.asarray(size)).sort_values(
        ["_size", "letting_date", "contract_id", "schedule", "line"], ascending=[False, True, True, True, True]
    )
    return ordered.drop(columns="_size").reset_index(drop=True)

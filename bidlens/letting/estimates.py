"""How good the engineer's estimates were, on both bases, and where they missed most.

The accuracy goal, estimates within 10 % of the low bid on at least half of the projects awarded, is the federal
criterion as stated by Kentucky Transportation Center report KTC-91-6 (Hunsucker, 1991). Its base is the low bid; the
same check on the estimate as base is shown beside it because the two disagree near the edge.
"""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from bidlens.letting.contracts import let, within

WITHIN, GOAL = 0.10, 0.50


@dataclass(frozen=True, slots=True)
class EstimateAccuracy:
    """Estimates against low bids of one period.

    n : contracts with a whole estimate and a low bid. within_of_low, within_of_estimate : how many lie within 10 % of
    the low bid, of the estimate. bias : all low bids over all estimates, less one. spread : standard deviation of
    low / estimate over contracts (divisor n - 1), None under two. The trimmed mean leaves out one highest and one
    lowest bid; n_trimmed contracts have one.
    """

    n: int
    within_of_low: int
    within_of_estimate: int
    within_share: float | None
    within_of_estimate_share: float | None
    goal_met: bool | None
    bias: float | None
    spread: float | None
    n_trimmed: int
    within_of_trimmed_mean: int


def accuracy(contracts: pd.DataFrame) -> EstimateAccuracy:
    """Estimate accuracy over the lettings given, CONTRACT_COLUMNS."""
    return _accuracy(_measured(contracts))


def _measured(contracts: pd.DataFrame) -> pd.DataFrame:
    """The contracts with a whole estimate and a low bid, and whether each lies within on either base."""
    known = let(contracts)
    known = known[known["estimate_usd"].notna() & known["low_usd"].gt(0)]
    return known.assign(
        of_low=within(known["estimate_usd"], known["low_usd"], WITHIN),
        of_estimate=within(known["low_usd"], known["estimate_usd"], WITHIN),
        of_trimmed=within(known["estimate_usd"], known["trimmed_mean_usd"], WITHIN),
        ratio=known["low_usd"] / known["estimate_usd"],
    )


def _accuracy(known: pd.DataFrame) -> EstimateAccuracy:
    n = len(known)
    of_low, of_estimate = int(known["of_low"].sum()), int(known["of_estimate"].sum())
    return EstimateAccuracy(
        n=n,
        within_of_low=of_low,
        within_of_estimate=of_estimate,
        within_share=of_low / n if n else None,
        within_of_estimate_share=of_estimate / n if n else None,
        goal_met=of_low / n >= GOAL if n else None,
        bias=float(known["low_usd"].sum() / known["estimate_usd"].sum() - 1) if n else None,
        spread=float(known["ratio"].std(ddof=1)) if n > 1 else None,
        n_trimmed=int(known["trimmed_mean_usd"].notna().sum()),
        within_of_trimmed_mean=int(known["of_trimmed"].sum()),
    )


ESTIMATE_YEAR_COLUMNS = ("year", "n", "within_of_low", "within_of_estimate", "bias", "spread")


def accuracy_by_year(contracts: pd.DataFrame) -> pd.DataFrame:
    """`accuracy` of each year with an estimate, ESTIMATE_YEAR_COLUMNS."""
    found = [(year, _accuracy(group)) for year, group in _measured(contracts).groupby("year")]
    rows = [(year, *(getattr(a, name) for name in ESTIMATE_YEAR_COLUMNS[1:])) for year, a in found if a.n]
    return pd.DataFrame(rows, columns=list(ESTIMATE_YEAR_COLUMNS)).astype({"bias": float, "spread": float})


def missed_by(lines: pd.DataFrame, keys: list[str]) -> pd.DataFrame:
    """Where low bids and estimates part most: one row per `keys` with lines, contracts, both dollars, difference.

    lines : lines with an estimate and a low price: low_usd, estimate_usd. Largest difference in dollars first.
    """
    both = lines[lines["low_usd"].notna() & lines["estimate_usd"].notna()]
    table = both.groupby(keys, as_index=False).agg(
        lines=("low_usd", "size"),
        contracts=("contract_id", "nunique"),
        estimate_usd=("estimate_usd", "sum"),
        low_usd=("low_usd", "sum"),
    )
    table["difference_usd"] = (table["low_usd"] - table["estimate_usd"]).round(2)
    table["low_over_estimate"] = table["low_usd"] / table["estimate_usd"].where(table["estimate_usd"] > 0) - 1
    order = table.assign(_size=table["difference_usd"].abs()).sort_values(
        ["_size", *keys], ascending=[False, *[True] * len(keys)]
    )
    return order.drop(columns="_size").reset_index(drop=True)

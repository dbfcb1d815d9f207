"""How many bid: counts first, then shares. Spread and concentration of bids describe; they are no evidence of anything.

Sources: money left on the table is second less low, undefined for one bid; HHI, the sum of squared percent shares, as
in the 2023 merger guidelines' first guideline. HHI is a tool for whole markets: a handful of awards a year is high by
arithmetic (three awards to three firms give 3,333).
"""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from bidlens.letting.contracts import LETTING, let
from bidlens.letting.years import Years

#: Fewer awards than this, and concentration is not given; judgement, no source.
CONCENTRATION_FROM = 10


@dataclass(frozen=True, slots=True)
class Competition:
    """One period's competition, of lettings not rejected. USD.

    money_left_usd : sum over contracts with two bids or more; None where there is none.
    money_left_of_low : the same over those contracts' low bids.
    """

    contracts: int
    bids: int
    bids_per_contract: float | None
    single_bid_contracts: int
    low_usd: float
    contracts_with_second: int
    money_left_usd: float | None
    money_left_of_low: float | None


def competition(contracts: pd.DataFrame) -> Competition:
    """Competition over the lettings given, CONTRACT_COLUMNS."""
    counted = let(contracts)
    second = counted[counted["second_usd"].notna()]
    left = round(float(second["money_left_usd"].sum()), 2) if len(second) else None
    low = float(second["low_usd"].sum())
    return Competition(
        contracts=len(counted),
        bids=int(counted["bids"].sum()),
        bids_per_contract=float(counted["bids"].mean()) if len(counted) else None,
        single_bid_contracts=int((counted["bids"] == 1).sum()),
        low_usd=round(float(counted["low_usd"].sum()), 2),
        contracts_with_second=len(second),
        money_left_usd=left,
        money_left_of_low=left / low if left is not None and low > 0 else None,
    )


YEAR_COLUMNS = ("year", "contracts", "bids", "bids_per_contract", "single_bid_contracts", "low_usd", "money_left_usd",
                "money_left_of_low")  # fmt: skip


def by_year(contracts: pd.DataFrame) -> pd.DataFrame:
    """`competition` of each year, YEAR_COLUMNS."""
    rows = []
    for year, group in contracts.groupby("year"):
        found = competition(group)
        rows.append((year, *(getattr(found, name) for name in YEAR_COLUMNS[1:])))
    return pd.DataFrame(rows, columns=list(YEAR_COLUMNS)).astype(
        {"bids_per_contract": float, "money_left_usd": float, "money_left_of_low": float}
    )


BIDDER_COLUMNS = ("bidder", "bids", "lettings_of_contracts", "low_bids", "low_usd", "first_year", "new")


def by_bidder(bids: pd.DataFrame, years: Years) -> pd.DataFrame:
    """One row per bidder of the years, most low bids first: bids, low bids and their dollars, first year on record.

    bids : all bids on record up to the last year; a bidder is new if no year before the first holds a bid of that
        name. A low bid shared with another bidder counts for both.
    """
    first = bids[bids["bidder"].notna()].groupby("bidder")["letting_date"].min().dt.year
    mine = _offered(bids, years)
    table = _sums(mine, ["bidder"])
    table["lettings_of_contracts"] = mine.groupby(LETTING).ngroups
    table["first_year"] = table["bidder"].map(first).astype("int64")
    table["new"] = table["first_year"] >= years[0]
    order = table.sort_values(["low_bids", "low_usd", "bids", "bidder"], ascending=[False, False, False, True])
    return order[list(BIDDER_COLUMNS)].reset_index(drop=True)


def bidders_by_year(bids: pd.DataFrame, years: Years) -> pd.DataFrame:
    """One row per bidder and year it bid in: bidder, year, bids, low_bids, low_usd."""
    mine = _offered(bids, years)
    return _sums(mine.assign(year=mine["letting_date"].dt.year), ["bidder", "year"])


def _offered(bids: pd.DataFrame, years: Years) -> pd.DataFrame:
    counted = (bids["status"] == "responsive") & bids["bidder"].notna() & (bids["contract_status"] != "rejected")
    mine = bids[counted & bids["letting_date"].dt.year.between(*years)]
    low = mine["rank_corrected"].eq(1).fillna(False).astype(bool)
    return mine.assign(_low=low, _usd=mine["total_corrected"].where(low, 0.0))


def _sums(mine: pd.DataFrame, keys: list[str]) -> pd.DataFrame:
    groups = mine.groupby(keys)
    return groups.agg(bids=("bidder", "size"), low_bids=("_low", "sum"), low_usd=("_usd", "sum")).reset_index()


def hhi(amounts: pd.Series) -> float | None:
    """Sum of squared percent shares: 10,000 for one firm. None where nothing was awarded."""
    total = float(amounts.sum())
    return float(((amounts / total * 100) ** 2).sum()) if total > 0 else None

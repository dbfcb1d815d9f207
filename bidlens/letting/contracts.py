"""The lettings of a review, one row each: bids, low, second, estimate, and what lies between them.

Money is compared in whole cents, so that a limit is met or not met as on paper. Only responsive bids are ranked and
counted (43 TAC 9.15(b) lists bids that are not read); the rest is counted beside them.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

LETTING = ["contract_id", "letting_date"]

#: Fewer bids than this, and no mean without the highest and the lowest is given.
TRIMMED_FROM = 3

CONTRACT_COLUMNS = (
    *LETTING, "year", "description", "agency", "status", "bids", "listed_bids", "set_aside_bids", "low_bidder",
    "low_usd", "second_bidder", "second_usd", "high_usd", "spread_cv", "tied_low", "money_left_usd",
    "money_left_of_low", "estimate_usd", "low_over_estimate", "estimate_over_low", "trimmed_mean_usd",
    "estimate_over_trimmed_mean", "as_read_low_bidder", "as_read_low_usd", "low_changed", "source_file",
    "source_sheet", "source_row",
)  # fmt: skip


def contract_list(bids: pd.DataFrame, estimates: pd.DataFrame) -> pd.DataFrame:
    """One row per letting, CONTRACT_COLUMNS, in letting order; USD as corrected.

    bids : one row per contract, letting and bidder: the letting's description, agency, contract_status, source and
        bids_stated (bids received, where the file says so; it may list fewer), the bid's status, total_as_read,
        total_corrected, rank_as_read, rank_corrected. A letting without bids has one row without bidder.
    estimates : contract_id, letting_date, base_lines, priced_lines, estimate_usd of base lines; an estimate that leaves
        base lines without a price is not compared with bids.

    bids : responsive bids, as stated where the file says so; listed_bids : those it lists, which money is compared of.
    money_left_usd : second less low, 0 for a tie; not given for one bid. money_left_of_low : over the low bid.
    spread_cv : standard deviation (divisor n - 1) over mean of the bids.
    low_over_estimate : low / estimate - 1. estimate_over_low : estimate / low - 1. Two bases, not one number.
    """
    rows = _lettings(bids)
    offered = bids[(bids["status"] == "responsive") & bids["bidder"].notna()]
    ranked = offered[offered["rank_corrected"].notna()].sort_values([*LETTING, "total_corrected", "bidder"])
    ranked = ranked.assign(place=ranked.groupby(LETTING).cumcount())
    rows = _with(rows, offered.groupby(LETTING).size().rename("listed_bids"), 0)
    stated = rows["bids_stated"].where(rows["status"] != "rejected").astype("Int64")
    rows = rows.assign(bids=stated.fillna(rows["listed_bids"]).astype("int64"))
    others = bids[(bids["status"] != "responsive") & bids["bidder"].notna()]
    rows = _with(rows, others.groupby(LETTING).size().rename("set_aside_bids"), 0)
    for place, bidder, usd in ((0, "low_bidder", "low_usd"), (1, "second_bidder", "second_usd")):
        one = ranked[ranked["place"] == place].rename(columns={"bidder": bidder, "total_corrected": usd})
        rows = rows.merge(one[[*LETTING, bidder, usd]], on=LETTING, how="left", validate="1:1")
    rows = _with(rows, ranked[ranked["rank_corrected"] == 1].groupby(LETTING).size().rename("tied_low"), 0)
    rows = _with_as_read(rows, offered)
    rows = rows.merge(_comparable(estimates), on=LETTING, how="left", validate="1:1")
    rows = _with(rows, _trimmed_means(ranked), np.nan)
    totals = ranked.groupby(LETTING)["total_corrected"]
    rows = _with(rows, totals.max().rename("high_usd"), np.nan)
    rows = _with(rows, (totals.std(ddof=1) / totals.mean()).rename("spread_cv"), np.nan)
    rows = rows.assign(
        year=rows["letting_date"].dt.year,
        money_left_usd=(rows["second_usd"] - rows["low_usd"]).round(2),
        money_left_of_low=_over(rows["second_usd"], rows["low_usd"]),
        low_over_estimate=_over(rows["low_usd"], rows["estimate_usd"]),
        estimate_over_low=_over(rows["estimate_usd"], rows["low_usd"]),
        estimate_over_trimmed_mean=_over(rows["estimate_usd"], rows["trimmed_mean_usd"]),
    )
    order = rows.sort_values(["letting_date", "contract_id"], kind="stable")
    return order[list(CONTRACT_COLUMNS)].reset_index(drop=True)


def let(contracts: pd.DataFrame) -> pd.DataFrame:
    """The lettings that count: not those where all bids were rejected, nor those without a bid."""
    return contracts[(contracts["status"] != "rejected") & (contracts["bids"] > 0)]


def cents(usd: pd.Series) -> pd.Series:
    """Dollars as whole cents; missing where not known."""
    return (usd * 100).round().astype("Int64")


def within(value: pd.Series, base: pd.Series, share: float) -> pd.Series:
    """Whether value lies within +/- share of base, limits included; missing where either is."""
    return (_difference(value, base) <= _of_base(base, share)).astype("boolean")


def at_least(value: pd.Series, base: pd.Series, share: float) -> pd.Series:
    """Whether value differs from base by share of base or more; missing where either is."""
    return (_difference(value, base) >= _of_base(base, share)).astype("boolean")


def _difference(value: pd.Series, base: pd.Series) -> pd.Series:
    return (cents(value) - cents(base)).abs() * 10_000


def _of_base(base: pd.Series, share: float) -> pd.Series:
    """Share of base, on the scale of `_difference`: shares are whole hundredths of a percent."""
    return cents(base) * round(share * 10_000)


def _lettings(bids: pd.DataFrame) -> pd.DataFrame:
    names = {"contract_status": "status", "letting_file": "source_file", "letting_sheet": "source_sheet",
             "letting_row": "source_row"}  # fmt: skip
    columns = [*LETTING, "description", "agency", "bids_stated", *names]
    return bids[columns].drop_duplicates(LETTING).rename(columns=names)


def _with(rows: pd.DataFrame, found: pd.Series, missing: float) -> pd.DataFrame:
    added = rows.merge(found.reset_index(), on=LETTING, how="left", validate="1:1")
    name = str(found.name)
    filled = added[name].fillna(missing)
    return added.assign(**{name: filled.astype("int64") if missing == 0 else filled})


def _with_as_read(rows: pd.DataFrame, offered: pd.DataFrame) -> pd.DataFrame:
    """The apparent low bidder, and whether the corrected totals make another low; sharing the place is no change."""
    first = offered[offered["rank_as_read"] == 1].sort_values([*LETTING, "bidder"])
    apparent = first.drop_duplicates(LETTING).rename(
        columns={"bidder": "as_read_low_bidder", "total_as_read": "as_read_low_usd"}
    )
    apparent = apparent.assign(low_changed=apparent["rank_corrected"].fillna(99) > 1)
    columns = [*LETTING, "as_read_low_bidder", "as_read_low_usd", "low_changed"]
    added = rows.merge(apparent[columns], on=LETTING, how="left", validate="1:1")
    return added.assign(low_changed=added["low_changed"].eq(True).fillna(False).astype(bool))


def _comparable(estimates: pd.DataFrame) -> pd.DataFrame:
    whole = estimates[estimates["priced_lines"] == estimates["base_lines"]]
    return whole.loc[whole["estimate_usd"] > 0, [*LETTING, "estimate_usd"]]


def _trimmed_means(ranked: pd.DataFrame) -> pd.Series:
    """Mean of the bids without one highest and one lowest, from TRIMMED_FROM bids.

    That an estimate is better judged against such a mean than against the low bid alone: Tehrani, Cogent Engineering 3
    (2016). How many are left out is our choice.
    """
    groups = ranked.groupby(LETTING)["total_corrected"].agg(["sum", "min", "max", "size"])
    groups = groups[groups["size"] >= TRIMMED_FROM]
    mean = (groups["sum"] - groups["min"] - groups["max"]) / (groups["size"] - 2)
    return mean.rename("trimmed_mean_usd")


def _over(value: pd.Series, base: pd.Series) -> pd.Series:
    return value / base.where(base > 0) - 1

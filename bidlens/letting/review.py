"""The review of one year's lettings: everything counted, compared and flagged, in one result."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

import pandas as pd

from bidlens import quarters
from bidlens.findings import Finding, Unavailable
from bidlens.letting import competition, estimates, pay_items, price_index, unit_costs
from bidlens.letting.competition import Competition
from bidlens.letting.contracts import contract_list, let
from bidlens.letting.estimates import EstimateAccuracy
from bidlens.letting.flags import Flag, flags
from bidlens.letting.triggers import Triggers
from bidlens.letting.unit_costs import ChangeExplained, Predict
from bidlens.reference import CostIndex

#: Years before the year reviewed that its prices are compared with.
YEARS_BEFORE = 3


@dataclass(frozen=True, slots=True, eq=False)
class ReviewData:
    """What a review is made of, all up to the year reviewed.

    bids, estimates : see `contract_list`; all years. lines : base lines of the year with low_usd, second_usd,
    estimate_usd, low_price, second_price, low_total, second_total. low_lines : low-bid lines of the year and the years
    compared with. item_years : year, item_code, description, pay_unit, work_category, quantity, usd; all years.
    histories : HISTORY frame by basis, adjusted to dollars_of. predict : see `change_explained`.
    index : reaching all lettings.
    bidders_in_words : what the model says of an extra bidder; empty where it says nothing.
    """

    bids: pd.DataFrame
    estimates: pd.DataFrame
    lines: pd.DataFrame
    low_lines: pd.DataFrame
    item_years: pd.DataFrame
    histories: Mapping[str, pd.DataFrame]
    predict: Predict | None
    index: CostIndex
    dollars_of: str
    bidders_in_words: str = ""


@dataclass(frozen=True, slots=True)
class BeyondIndex:
    """Prices of the same work beyond the cost index: matched items, their share of dollars, ratio less one."""

    matched_items: int
    matched_share: float
    change: float


@dataclass(frozen=True, slots=True, eq=False)
class LettingReview:
    """One year's lettings. USD as bid and corrected; real prices in dollars of `dollars_of`.

    contracts : CONTRACT_COLUMNS of the year, rejected lettings included and nowhere counted. bids : the year's bids.
    hhi : None under `competition.CONCENTRATION_FROM` awards. change : of the average $/sf on `basis`, as let.
    """

    year: int
    compared: tuple[int, int]
    basis: str
    dollars_of: str
    index_title: str
    contracts: pd.DataFrame
    contracts_before: int
    bids: pd.DataFrame
    competition: Competition
    competition_by_year: pd.DataFrame
    bidders: pd.DataFrame
    hhi: float | None
    bidders_in_words: str
    accuracy: EstimateAccuracy
    accuracy_by_year: pd.DataFrame
    missed_categories: pd.DataFrame
    missed_items: pd.DataFrame
    prices_moved: pd.DataFrame
    beyond_index: BeyondIndex | Unavailable
    price_index: pd.DataFrame
    unit_cost_by_type: pd.DataFrame
    change: ChangeExplained | Unavailable
    same_day_spread: tuple[int, float] | None
    flags: list[Flag]
    triggers: Triggers
    findings: list[Finding] = field(default_factory=list)

    @property
    def years_compared(self) -> str:
        first, last = self.compared
        return str(first) if first == last else f"{first}–{last}"

    def as_dict(self) -> dict[str, Any]:
        """The public form; a number not given is null, with a finding that says why."""
        found, accuracy = self.competition, self.accuracy
        beyond = self.beyond_index if isinstance(self.beyond_index, BeyondIndex) else None
        change = self.change if isinstance(self.change, ChangeExplained) else None
        return {
            "year": self.year,
            "compared_with": list(self.compared),
            "basis": self.basis,
            "dollars_of": self.dollars_of,
            "index": self.index_title,
            "contracts": found.contracts,
            "bids": found.bids,
            "bids_per_contract": found.bids_per_contract,
            "single_bid_contracts": found.single_bid_contracts,
            "low_usd": found.low_usd,
            "estimates": accuracy.n,
            "estimate_within_10pct": accuracy.within_of_low,
            "estimate_within_10pct_share": accuracy.within_share,
            "estimate_within_10pct_of_estimate_share": accuracy.within_of_estimate_share,
            "low_over_estimate": accuracy.bias,
            "money_left_on_table": found.money_left_usd,
            "money_left_contracts": found.contracts_with_second,
            "money_left_share_of_low": found.money_left_of_low,
            "unit_cost_by_type": self.unit_cost_by_type,
            "price_index": self.price_index,
            "beyond_index": asdict(beyond) if beyond else None,
            "change_explained": asdict(change) if change else None,
            "prices_moved": self.prices_moved,
            "bidders": self.bidders,
            "competition_by_year": self.competition_by_year,
            "estimates_by_year": self.accuracy_by_year,
            "missed_categories": self.missed_categories,
            "missed_items": self.missed_items,
            "contract_list": self.contracts,
            "flags": [flag.as_dict() for flag in self.flags],
            "findings": [finding.as_dict() for finding in self.findings],
        }


def review(data: ReviewData, year: int, triggers: Triggers, basis: str = "superstructure") -> LettingReview:
    """Review the lettings of one year against the YEARS_BEFORE years before it."""
    contracts = contract_list(data.bids, data.estimates)
    mine = contracts[contracts["year"] == year].reset_index(drop=True)
    compared = (year - YEARS_BEFORE, year - 1)
    items = _with_real_price(pay_items.with_item(pay_items.repeat_work(data.low_lines)), data.index, data.dollars_of)
    histories = data.histories
    here = histories[basis] if basis in histories else pd.DataFrame()
    change = _change(here, year, compared, data.predict)
    bidders = competition.by_bidder(data.bids[data.bids["letting_date"].dt.year <= year], year)
    counted = competition.competition(mine)
    index = county_index(data.item_years, data.index)
    beyond = _beyond_index(items, year)
    found = flags(mine, data.lines, triggers)
    missed = let(mine)[["contract_id", "letting_date"]].merge(data.lines, on=["contract_id", "letting_date"])
    enough = counted.contracts >= competition.CONCENTRATION_FROM
    return LettingReview(
        year=year,
        compared=compared,
        basis=basis,
        dollars_of=data.dollars_of,
        index_title=data.index.title,
        contracts=mine,
        contracts_before=len(let(contracts[contracts["year"].between(*compared)])),
        bids=data.bids[data.bids["letting_date"].dt.year == year].reset_index(drop=True),
        competition=counted,
        competition_by_year=competition.by_year(contracts[contracts["year"] <= year]),
        bidders=bidders,
        hhi=competition.hhi(bidders["low_usd"]) if enough else None,
        bidders_in_words=data.bidders_in_words,
        accuracy=estimates.accuracy(mine),
        accuracy_by_year=estimates.accuracy_by_year(contracts[contracts["year"] <= year]),
        missed_categories=estimates.missed_by(missed, ["work_category"]),
        missed_items=estimates.missed_by(pay_items.with_item(missed), ["item_title", "pay_unit"]),
        prices_moved=pay_items.prices_moved(items, year),
        beyond_index=beyond,
        price_index=index,
        unit_cost_by_type=pd.concat(
            [unit_costs.by_type(frame, name, year, compared) for name, frame in histories.items()], ignore_index=True
        ) if histories else pd.DataFrame(columns=list(unit_costs.TYPE_COLUMNS)),
        change=change,
        same_day_spread=_same_day_spread(items, year),
        flags=found,
        triggers=triggers,
        findings=_findings(mine, counted, beyond, change, index, year),
    )  # fmt: skip


def _with_real_price(lines: pd.DataFrame, index: CostIndex, dollars_of: str) -> pd.DataFrame:
    ratio = index.ratios(quarters.quarters_of(lines["letting_date"]), dollars_of)
    return lines.assign(real_price=lines["unit_price"] * ratio)


def county_index(item_years: pd.DataFrame, index: CostIndex) -> pd.DataFrame:
    """The chained county index by year beside the published one.

    Columns year, matched_items, matched_share, link, index, published: the mean of the year's published quarters over
    that of the first year; NaN outside the series.
    """
    lines = item_years.assign(unit_price=item_years["usd"] / item_years["quantity"].where(item_years["quantity"] > 0))
    items = pay_items.with_item(pay_items.repeat_work(lines))
    grouped = items.groupby(["item", "year"], as_index=False)[["quantity", "usd"]].sum()
    chain = price_index.chained_index(grouped.rename(columns={"year": "period"})).rename(columns={"period": "year"})
    known = index.quarters[: quarters.position(index.last_published) - quarters.position(index.first) + 1]
    values = pd.Series(list(index.values[: len(known)]), dtype="float64")
    means = values.groupby([int(quarter[:4]) for quarter in known]).mean()
    published = chain["year"].map(means).astype("float64")
    return chain.assign(published=published / published.iloc[0] if len(published) else published)


def _beyond_index(items: pd.DataFrame, year: int) -> BeyondIndex | Unavailable:
    known = items[items["real_price"].notna()]
    known = known.assign(usd=known["real_price"] * known["quantity"], period=known["letting_date"].dt.year == year)
    sums = known.groupby(["item", "period"], as_index=False)[["quantity", "usd"]].sum()
    before, after = (sums[sums["period"] == when].drop(columns="period") for when in (False, True))
    n, share, ratio = price_index.link(before, after)
    if pd.isna(ratio):
        least = price_index.MATCHED_FROM
        return Unavailable(f"{n} pay items were let both in the year and in the years before; it takes {least}")
    return BeyondIndex(n, share, ratio - 1)


def _change(
    history: pd.DataFrame, year: int, compared: tuple[int, int], predict: Predict | None
) -> ChangeExplained | Unavailable:
    if history.empty:
        return Unavailable("no structure has a price on this basis")
    years = history["letting_date"].dt.year
    return unit_costs.change_explained(history[years.between(*compared)], history[years == year], predict)


def _same_day_spread(items: pd.DataFrame, year: int) -> tuple[int, float] | None:
    """Items low bidders priced in several contracts of one day: how many, and the middle of highest over lowest."""
    mine = items[items["letting_date"].dt.year == year]
    groups = mine.groupby(["letting_date", "item"]).agg(
        n=("contract_id", "nunique"), low=("unit_price", "min"), high=("unit_price", "max")
    )
    several = groups[groups["n"] > 1]
    return (len(several), float((several["high"] / several["low"] - 1).median())) if len(several) else None


def _findings(
    mine: pd.DataFrame,
    counted: Competition,
    beyond: BeyondIndex | Unavailable,
    change: ChangeExplained | Unavailable,
    index: pd.DataFrame,
    year: int,
) -> list[Finding]:
    found: list[Finding] = []
    if mine.empty:
        found.append(
            Finding("nothing_let", "check", f"no letting of {year} is on record", "Import the year's bid tabs.")
        )
        return found
    rejected = int((mine["status"] == "rejected").sum())
    if rejected:
        found.append(
            Finding(
                "rejected_left_out",
                "note",
                f"{rejected} of {len(mine)} lettings had all bids rejected; listed, in no count",
            )
        )
    without = int(let(mine)["estimate_usd"].isna().sum())
    if without:
        text = f"{without} of {counted.contracts} contracts have no whole engineer's estimate to be compared with"
        found.append(Finding("no_estimate", "note", text, "Import bid tabs that carry the estimate."))
    if isinstance(beyond, Unavailable):
        found.append(Finding("same_work_not_given", "note", f"the change of prices for the same work is {beyond}"))
    if isinstance(change, Unavailable):
        found.append(Finding("change_not_explained", "note", f"why the average $/sf changed is {change}"))
    broken = index[index["link"].isna()].iloc[1:]
    if len(broken):
        years = ", ".join(str(one) for one in broken["year"])
        least = f"fewer than {price_index.MATCHED_FROM} pay items in common with the year before"
        text = f"the county price index has no link to {years}: {least}"
        found.append(Finding("index_broken", "note", text))
    return found

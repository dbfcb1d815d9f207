"""The review of the lettings of a year, or of some years: counted, compared and flagged, in one result."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any

import pandas as pd

from bidlens import quarters
from bidlens.findings import Finding, Unavailable
from bidlens.letting import change as changes
from bidlens.letting import competition, estimates, pay_items, price_index, review_findings, unit_costs
from bidlens.letting.change import ChangeExplained, Predict
from bidlens.letting.competition import Competition
from bidlens.letting.contracts import LETTING, let
from bidlens.letting.estimates import EstimateAccuracy
from bidlens.letting.flags import Flag, flags
from bidlens.letting.price_index import BeyondIndex
from bidlens.letting.recurring import recurring_items
from bidlens.letting.triggers import Triggers
from bidlens.letting.years import Years, period
from bidlens.reference import CostIndex

#: Years before those reviewed that their prices are compared with.
YEARS_BEFORE = 3
#: Changes of the average from one year to the next that are shown at least, where the record has them.
STEPS_SHOWN = 5
INDEX_COLUMNS = ("year", "matched_items", "matched_share", "link", "index", "published")


@dataclass(frozen=True, slots=True, eq=False)
class ReviewData:
    """What a review is made of, all up to the last year reviewed.

    bids : see `contract_list`; all years. contracts : of `contract_list`; all years. lines : base lines of the years
    with low_usd, second_usd, estimate_usd, low_price, second_price, low_total, second_total. low_lines : low-bid lines
    of the years and of those compared with. item_years : year, item_code, description, pay_unit, work_category,
    quantity, usd; all years. item_bids : see `recurring_items`.
    histories : HISTORY frame by basis, adjusted to dollars_of. index : reaching all lettings.
    """

    bids: pd.DataFrame
    contracts: pd.DataFrame
    lines: pd.DataFrame
    low_lines: pd.DataFrame
    item_years: pd.DataFrame
    item_bids: pd.DataFrame
    histories: Mapping[str, pd.DataFrame]
    index: CostIndex
    dollars_of: str


@dataclass(frozen=True, slots=True, eq=False)
class BasisData:
    """What the change of the average $/sf on one basis is explained from, up to the last year reviewed.

    history : HISTORY frame, adjusted to the review's dollars. predict : see `change_explained`.
    bidders_in_words : what the model says of an extra bidder; empty where it says nothing.
    """

    basis: str
    history: pd.DataFrame
    predict: Predict | None
    bidders_in_words: str


@dataclass(frozen=True, slots=True, eq=False)
class LettingReview:
    """The lettings of the years from `years[0]` to `years[1]`. USD as bid, as corrected; real prices in dollars of
    `dollars_of`.

    contracts : CONTRACT_COLUMNS of the years, rejected lettings included and nowhere counted. bids : of those years.
    hhi : None under `competition.CONCENTRATION_FROM` awards. change : of the average $/sf on `basis`, as let.
    change_by_year : YEAR_CHANGE_COLUMNS. *_by_year tables reach from the first year on record to the last reviewed.
    """

    years: Years
    compared: Years
    basis: str
    dollars_of: str
    index_title: str
    contracts: pd.DataFrame
    contracts_before: int
    bids: pd.DataFrame
    competition: Competition
    competition_by_year: pd.DataFrame
    bidders: pd.DataFrame
    bidders_by_year: pd.DataFrame
    hhi: float | None
    bidders_in_words: str
    accuracy: EstimateAccuracy
    accuracy_by_year: pd.DataFrame
    missed_categories: pd.DataFrame
    missed_items: pd.DataFrame
    prices_moved: pd.DataFrame
    recurring_items: pd.DataFrame
    beyond_index: BeyondIndex | Unavailable
    price_index: pd.DataFrame
    unit_cost_by_type: pd.DataFrame
    unit_cost_by_year: pd.DataFrame
    change: ChangeExplained | Unavailable
    change_by_year: pd.DataFrame
    same_day_spread: tuple[int, float] | None
    flags: list[Flag]
    triggers: Triggers
    findings: list[Finding] = field(default_factory=list)

    @property
    def period(self) -> str:
        """The years reviewed in words: “2025” or “2019–2024”."""
        return period(self.years)

    @property
    def years_compared(self) -> str:
        return period(self.compared)

    def as_dict(self) -> dict[str, Any]:
        """The public form; a number not given is null, with a finding that says why."""
        found, accuracy = self.competition, self.accuracy
        beyond = self.beyond_index if isinstance(self.beyond_index, BeyondIndex) else None
        change = self.change if isinstance(self.change, ChangeExplained) else None
        return {
            "year": self.years[1] if self.years[0] == self.years[1] else None,
            "years": list(self.years),
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
            "unit_cost_by_year": self.unit_cost_by_year,
            "price_index": self.price_index,
            "beyond_index": asdict(beyond) if beyond else None,
            "change_explained": asdict(change) if change else None,
            "change_by_year": self.change_by_year,
            "prices_moved": self.prices_moved,
            "recurring_items": self.recurring_items,
            "bidders": self.bidders,
            "bidders_by_year": self.bidders_by_year,
            "concentration": self.hhi,
            "competition_by_year": self.competition_by_year,
            "estimates_by_year": self.accuracy_by_year,
            "missed_categories": self.missed_categories,
            "missed_items": self.missed_items,
            "contract_list": self.contracts,
            "flags": [flag.as_dict() for flag in self.flags],
            "findings": [finding.as_dict() for finding in self.findings],
        }


def review(data: ReviewData, on: BasisData, years: Years, triggers: Triggers) -> LettingReview:
    """Review the lettings of one year, or from a first to a last year, against the YEARS_BEFORE years before."""
    first, last = years
    contracts = data.contracts[data.contracts["year"] <= last]
    mine = contracts[contracts["year"] >= first].reset_index(drop=True)
    compared = (first - YEARS_BEFORE, first - 1)
    items = _with_real_price(pay_items.with_item(pay_items.repeat_work(data.low_lines)), data.index, data.dollars_of)
    histories = data.histories
    bids = data.bids[data.bids["letting_date"].dt.year <= last]
    bidders = competition.by_bidder(bids, years)
    counted = competition.competition(mine)
    index = _public_index(price_index.county_index(data.item_years, data.index))
    beyond = price_index.beyond_index(items, first)
    explained = _explained(on, years, compared)
    enough = counted.contracts >= competition.CONCENTRATION_FROM
    hhi = competition.hhi(bidders["low_usd"]) if enough else None
    missed = let(mine)[LETTING].merge(data.lines, on=LETTING)
    return LettingReview(
        years=years,
        compared=compared,
        dollars_of=data.dollars_of,
        index_title=data.index.title,
        contracts=mine,
        contracts_before=len(let(contracts[contracts["year"].between(*compared)])),
        bids=bids[bids["letting_date"].dt.year >= first].reset_index(drop=True),
        competition=counted,
        competition_by_year=competition.by_year(contracts),
        bidders=bidders,
        bidders_by_year=competition.bidders_by_year(bids, years),
        hhi=hhi,
        accuracy=estimates.accuracy(mine),
        accuracy_by_year=estimates.accuracy_by_year(contracts),
        missed_categories=estimates.missed_by(missed, ["work_category"]),
        missed_items=estimates.missed_by(pay_items.with_item(missed), ["item_title", "pay_unit"]),
        prices_moved=pay_items.prices_moved(items, years),
        recurring_items=recurring_items(items, data.item_bids, years, data.dollars_of),
        beyond_index=beyond,
        price_index=index,
        unit_cost_by_type=_each(histories, lambda name, frame: unit_costs.by_type(frame, name, years, compared)),
        unit_cost_by_year=_each(histories, lambda name, frame: unit_costs.by_year(frame, name, last)),
        **explained,
        same_day_spread=_same_day_spread(items, years),
        flags=flags(mine, data.lines, triggers),
        triggers=triggers,
        findings=[
            *review_findings.findings(period(years), mine, counted, beyond, index),
            *review_findings.concentration(hhi, counted.contracts, triggers["concentration"]),
            *review_findings.of_change(mine, explained["change"]),
        ],
    )


def on_basis(review: LettingReview, on: BasisData) -> LettingReview:
    """The same review with the average $/sf of another basis explained."""
    explained = _explained(on, review.years, review.compared)
    others = [one for one in review.findings if one.code != review_findings.CHANGE_NOT_EXPLAINED]
    own = review_findings.of_change(review.contracts, explained["change"])
    return replace(review, **explained, findings=[*others, *own])


def _each(histories: Mapping[str, pd.DataFrame], table: Callable[[str, pd.DataFrame], pd.DataFrame]) -> pd.DataFrame:
    return pd.concat([table(name, frame) for name, frame in histories.items()], ignore_index=True)


def _with_real_price(lines: pd.DataFrame, index: CostIndex, dollars_of: str) -> pd.DataFrame:
    ratio = index.ratios(quarters.quarters_of(lines["letting_date"]), dollars_of)
    return lines.assign(real_price=lines["unit_price"] * ratio)


def _public_index(frame: pd.DataFrame) -> pd.DataFrame:
    """The county's Fisher index under the names the review gives it."""
    names = {"n": "matched_items", "share": "matched_share", "fisher": "index", "national": "published"}
    return frame.rename(columns=names)[list(INDEX_COLUMNS)]


def _explained(on: BasisData, years: Years, compared: Years) -> dict[str, Any]:
    """The fields of a review that rest on the basis asked for."""
    return {
        "basis": on.basis,
        "bidders_in_words": on.bidders_in_words,
        "change": _change(on.history, years, compared, on.predict),
        "change_by_year": changes.change_by_year(on.history, _steps(on.history, years), on.predict),
    }


def _change(
    history: pd.DataFrame, years: Years, compared: Years, predict: Predict | None
) -> ChangeExplained | Unavailable:
    if history.empty:
        return Unavailable("no structure has a price on this basis")
    year = history["letting_date"].dt.year
    return changes.change_explained(history[year.between(*compared)], history[year.between(*years)], predict)


def _steps(history: pd.DataFrame, years: Years) -> Years:
    """The years whose change on the year before is looked at: those reviewed, and no fewer than STEPS_SHOWN."""
    if history.empty:
        return years
    first = int(history["letting_date"].dt.year.min()) + 1
    return max(first, min(years[0], years[1] - STEPS_SHOWN + 1)), years[1]


def _same_day_spread(items: pd.DataFrame, years: Years) -> tuple[int, float] | None:
    """Items low bidders priced in several contracts of one day: how many, and the middle of highest over lowest."""
    mine = items[items["letting_date"].dt.year.between(*years)]
    groups = mine.groupby(["letting_date", "item"]).agg(
        n=("contract_id", "nunique"), low=("unit_price", "min"), high=("unit_price", "max")
    )
    several = groups[groups["n"] > 1]
    return (len(several), float((several["high"] / several["low"] - 1).median())) if len(several) else None

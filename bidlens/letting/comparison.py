"""One contract opened: items by bidders, as read and as corrected, and the lines that make two totals differ."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from bidlens.findings import Finding, Unavailable
from bidlens.letting import comparison_findings
from bidlens.letting.difference import LINE, Difference, difference

FACTS = ["item_code", "description", "pay_unit", "quantity", "work_category", "alternate"]
SOURCE = ["source_file", "source_sheet", "source_row"]

BIDDER_COLUMNS = ("bidder", "status", "total_as_read", "rank_as_read", "total_corrected", "rank_corrected",
                  "corrected_by_usd", "over_low", "over_estimate", *SOURCE)  # fmt: skip
PRICE_COLUMNS = (*LINE, "bidder", "is_estimate", "unit_price", "extension", "extension_as_read", "by_hand", *SOURCE)


@dataclass(frozen=True, slots=True, eq=False)
class BidComparison:
    """One letting's bids side by side. USD as corrected: quantity x unit price to the cent, unless said otherwise.

    bidders : BIDDER_COLUMNS, ranked bids first; over_low and over_estimate are ratios less one.
    lines : one row a line in file order: schedule, line, FACTS, the low bid's SOURCE (the item's own without one).
    prices : PRICE_COLUMNS, one row a line and bidder, and a line and estimate (is_estimate, no bidder).
    to_second : from the low bid to the second. to_estimate : from the estimate to the low bid.
    rests_on : the schedules the owner lets the award rest on; empty: the base bid. Totals are of those.
    """

    contract_id: str
    letting_date: pd.Timestamp
    status: str
    agency: str
    description: str
    rests_on: str
    bids: int
    bidders: pd.DataFrame
    lines: pd.DataFrame
    prices: pd.DataFrame
    low: str | None
    second: str | None
    low_usd: float | None
    second_usd: float | None
    estimate_usd: float | Unavailable
    to_second: Difference | Unavailable
    to_estimate: Difference | Unavailable
    findings: list[Finding] = field(default_factory=list)

    @property
    def corrected(self) -> pd.DataFrame:
        """The extensions that were read otherwise than quantity x unit price: PRICE_COLUMNS, file order."""
        read, right = self.prices["extension_as_read"], self.prices["extension"]
        return self.prices[read.notna() & right.notna() & read.ne(right)]

    def as_dict(self) -> dict[str, Any]:
        """The public form; a number not given is null, with a finding that says why."""
        given = None if isinstance(self.estimate_usd, Unavailable) else self.estimate_usd
        return {
            "contract_id": self.contract_id, "letting_date": self.letting_date, "status": self.status,
            "agency": self.agency, "description": self.description, "award_rests_on": self.rests_on,
            "bids": self.bids, "low_bidder": self.low, "low_usd": self.low_usd, "second_bidder": self.second,
            "second_usd": self.second_usd, "estimate_usd": given, "bidders": self.bidders,
            "low_to_second": _public(self.to_second), "estimate_to_low": _public(self.to_estimate),
            "lines": self.lines, "prices": self.prices, "corrected": self.corrected,
            "findings": [finding.as_dict() for finding in self.findings],
        }  # fmt: skip


def _public(found: Difference | Unavailable) -> dict[str, Any] | None:
    return None if isinstance(found, Unavailable) else found.as_dict()


def compare(letting: dict[str, Any], bidders: pd.DataFrame, prices: pd.DataFrame) -> BidComparison:
    """Set the bids of one letting side by side.

    letting : contract_id, letting_date, status, agency, description, award_rests_on, bids_stated, estimate_total.
    bidders : bidder, status, total_as_read, total_corrected, rank_as_read, rank_corrected, SOURCE; rejected bids too.
    prices : a row per line and bidder or estimate: LINE, FACTS, is_estimate, bidder, unit_price, extension_as_read,
        extension, by_hand, SOURCE; a line nobody entered has one row without bidder.
    """
    lines = _lines(prices)
    estimate = _estimate(letting, lines, prices)
    table = _bidders(bidders, estimate)
    ranked = table[table["rank_corrected"].notna() & (table["status"] == "responsive")]
    low, second = (_at(ranked, place) for place in (0, 1))
    entered = prices[prices["is_estimate"] | prices["bidder"].notna()]
    shown = _with_low_source(lines, entered, low["bidder"] if low else None)
    kept = entered.merge(lines[LINE].assign(_order=range(len(lines))), on=LINE, how="left", validate="m:1")
    kept = kept.sort_values(["_order", "is_estimate", "bidder"], ascending=[True, False, True], kind="stable")
    stated = letting.get("bids_stated")
    found = BidComparison(
        contract_id=str(letting["contract_id"]),
        letting_date=pd.Timestamp(letting["letting_date"]),
        status=str(letting["status"]),
        agency=_text(letting["agency"]),
        description=_text(letting["description"]),
        rests_on=_text(letting["award_rests_on"]),
        bids=int((table["status"] == "responsive").sum()) if stated is None or pd.isna(stated) else int(stated),
        bidders=table,
        lines=shown,
        prices=kept[list(PRICE_COLUMNS)].reset_index(drop=True),
        low=low["bidder"] if low else None,
        second=second["bidder"] if second else None,
        low_usd=low["total_corrected"] if low else None,
        second_usd=second["total_corrected"] if second else None,
        estimate_usd=estimate,
        to_second=_to_second(shown, entered, low, second),
        to_estimate=_to_estimate(shown, entered, low, estimate),
    )
    found.findings.extend(comparison_findings.findings(found))
    return found


def _to_second(
    lines: pd.DataFrame, entered: pd.DataFrame, low: dict[str, Any] | None, second: dict[str, Any] | None
) -> Difference | Unavailable:
    if low is None:
        return Unavailable("no bid is ranked")
    if second is None:
        return Unavailable("one bid, and none to compare it with")
    ends = [_of(entered, one["bidder"]) for one in (low, second)]
    return difference(lines, (low["bidder"], second["bidder"]), ends, [one["total_corrected"] for one in (low, second)])


def _to_estimate(
    lines: pd.DataFrame, entered: pd.DataFrame, low: dict[str, Any] | None, estimate: float | Unavailable
) -> Difference | Unavailable:
    if low is None:
        return Unavailable("no bid is ranked")
    if isinstance(estimate, Unavailable):
        return estimate
    ends = [entered[entered["is_estimate"]], _of(entered, low["bidder"])]
    return difference(lines, ("estimate", low["bidder"]), ends, [estimate, low["total_corrected"]])


def _of(entered: pd.DataFrame, bidder: str) -> pd.DataFrame:
    return entered[~entered["is_estimate"] & (entered["bidder"] == bidder)]


def _lines(prices: pd.DataFrame) -> pd.DataFrame:
    """One row a line in file order, whoever entered it: by the estimate's place or the first bidder's."""
    order = ["source_file", "source_sheet", "source_row", *LINE]
    ordered = prices.sort_values([*order, "is_estimate"], kind="stable", na_position="first")
    return ordered.drop_duplicates(LINE)[[*LINE, *FACTS, *SOURCE]].reset_index(drop=True)


def _with_low_source(lines: pd.DataFrame, entered: pd.DataFrame, low: str | None) -> pd.DataFrame:
    """The lines with the place of the low bidder's price; a line without one keeps its own."""
    own = _of(entered, low)[[*LINE, *SOURCE]] if low else entered.head(0)[[*LINE, *SOURCE]]
    both = lines.merge(own, on=LINE, how="left", validate="1:1", suffixes=("_item", ""))
    known = both["source_file"].notna()
    filled = {name: both[name].where(known, both[f"{name}_item"]) for name in SOURCE}
    return both.assign(**filled)[[*LINE, *FACTS, *SOURCE]]


def _estimate(letting: dict[str, Any], lines: pd.DataFrame, prices: pd.DataFrame) -> float | Unavailable:
    """The estimate of what the award rests on; not given where it leaves lines of it open."""
    base = lines.loc[~lines["alternate"], LINE]
    priced = prices[prices["is_estimate"] & prices["unit_price"].notna()].merge(base, on=LINE, how="inner")
    if len(priced) and len(priced) == len(base):
        total = round(float(priced["extension"].sum()), 2)
        return total if total > 0 else Unavailable("the engineer’s estimate is zero")
    if len(priced):
        return Unavailable(f"the engineer’s estimate prices {len(priced)} of {len(base)} lines")
    stated = letting.get("estimate_total")
    if stated is not None and not pd.isna(stated) and stated > 0:
        return float(stated)
    return Unavailable("no engineer’s estimate is on record")


def _bidders(bidders: pd.DataFrame, estimate: float | Unavailable) -> pd.DataFrame:
    counted = bidders["status"] == "responsive"
    table = bidders.assign(
        rank_as_read=bidders["rank_as_read"].where(counted),
        rank_corrected=bidders["rank_corrected"].where(counted),
        corrected_by_usd=(bidders["total_corrected"] - bidders["total_as_read"]).round(2),
        _last=~counted,
    )
    low = table.loc[table["rank_corrected"].notna(), "total_corrected"].min()
    table["over_low"] = table["total_corrected"] / low - 1 if low > 0 else float("nan")
    whole = float("nan") if isinstance(estimate, Unavailable) else estimate
    table["over_estimate"] = table["total_corrected"] / whole - 1
    order = table.sort_values(["_last", "rank_corrected", "total_corrected", "bidder"], na_position="last")
    return order[list(BIDDER_COLUMNS)].reset_index(drop=True)


def _at(ranked: pd.DataFrame, place: int) -> dict[str, Any] | None:
    if len(ranked) <= place:
        return None
    return {str(name): value for name, value in ranked.iloc[place].items()}


def _text(value: Any) -> str:
    return "" if value is None or pd.isna(value) else str(value)


def by_bidder(found: BidComparison) -> pd.DataFrame:
    """Items by bidders, wide: LINE, FACTS, then unit price and extension of the estimate and of each bidder by place.

    Column names carry the bidder: "estimate unit price", "Heron Works extension"; SOURCE of the low bid last.
    """
    table = found.lines[[*LINE, *FACTS]]
    for title, prices in entries(found):
        names = {"unit_price": f"{title} unit price", "extension": f"{title} extension"}
        table = table.merge(prices[[*LINE, *names]].rename(columns=names), on=LINE, how="left", validate="1:1")
    return table.assign(**{name: found.lines[name] for name in SOURCE})


def entries(found: BidComparison) -> list[tuple[str, pd.DataFrame]]:
    """The estimate, where there is one, then each bidder in the table's order, with the prices it entered."""
    of_estimate = found.prices[found.prices["is_estimate"]]
    columns = [("estimate", of_estimate)] if len(of_estimate) else []
    return columns + [(bidder, _of(found.prices, bidder)) for bidder in found.bidders["bidder"]]

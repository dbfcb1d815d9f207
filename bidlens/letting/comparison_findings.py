"""What a reader of a bid comparison must know: bids not ranked, corrections that move the order, ties, open lines."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from bidlens import wording
from bidlens.findings import Finding, Unavailable

if TYPE_CHECKING:
    from bidlens.letting.comparison import BidComparison


def findings(found: BidComparison) -> list[Finding]:
    """The doubts of one comparison."""
    return [*_of_bids(found), *_of_totals(found)]


def _of_bids(found: BidComparison) -> Iterator[Finding]:
    name, bidders = found.contract_id, found.bidders
    if found.status == "rejected":
        yield Finding("all_bids_rejected", "check", f"all bids for {name} were rejected; it is in no count or average")
    apart = bidders[bidders["status"] != "responsive"]
    for bidder, status in zip(apart["bidder"], apart["status"], strict=True):
        text = f"the bid of {bidder} is {status}; it is shown last, not ranked and not counted"
        yield Finding("bid_not_ranked", "check", text, contract_id=name)
    listed = int((bidders["status"] == "responsive").sum())
    if found.bids > listed:
        text = f"the file says {wording.count(found.bids, 'bid')} came in and lists {listed}"
        yield Finding("bids_not_listed", "note", text, contract_id=name)
    first = bidders[bidders["rank_corrected"] == 1]
    if len(first) > 1:
        text = f"{' and '.join(first['bidder'])} share the first place; the first by name stands as low here"
        yield Finding("tie", "check", text, "The owner's rule for equal bids decides.", contract_id=name)
    apparent = bidders[bidders["rank_as_read"] == 1]
    if len(apparent) and found.low is not None and found.low not in set(apparent["bidder"]):
        text = f"as read {apparent['bidder'].iloc[0]} was low; as corrected {found.low} is"
        yield Finding("low_bidder_changed", "check", text, "Both totals stand in the table of bidders.", None, name)


def _of_totals(found: BidComparison) -> Iterator[Finding]:
    if found.lines["alternate"].any():
        names = ", ".join(sorted(set(found.lines.loc[found.lines["alternate"], "schedule"])))
        basis = f"the award rests on {found.rests_on}" if found.rests_on else "totals are of the base bid"
        text = f"{basis}; the lines of {names} are listed apart and in no total"
        yield Finding("alternates_apart", "note", text, contract_id=found.contract_id)
    typed = found.prices[found.prices["by_hand"].notna()]
    if len(typed):
        text = f"{wording.count(len(typed), 'unit price')} typed in by hand, marked where shown"
        yield Finding("typed_by_hand", "note", text, contract_id=found.contract_id)
    for what, whole in (("low to second", found.to_second), ("estimate to low", found.to_estimate)):
        if isinstance(whole, Unavailable):
            yield Finding("difference_not_given", "note", f"the difference from {what} is {whole}")
        elif whole.outside_usd:
            text = f"{wording.usd(whole.outside_usd, 2)} of the difference from {what} is in no line"
            yield Finding("outside_the_lines", "check", text, "See the totals printed in the file.")

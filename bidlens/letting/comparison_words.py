"""A bid comparison in sentences: who is low and by how much, then the work that makes the difference."""

from __future__ import annotations

import pandas as pd

from bidlens import wording
from bidlens.findings import Unavailable
from bidlens.letting.comparison import BidComparison
from bidlens.letting.difference import OUTSIDE, Difference

#: Work categories named in the sentence.
NAMED = 3


def answer(found: BidComparison) -> str:
    """Who is low of how many, by how much under the second, and how far from the estimate."""
    if found.low is None or found.low_usd is None:
        return f"No bid for {found.contract_id} is ranked."
    if found.bids == 1:
        first = f"{found.low} was the only bidder for {found.contract_id}, with {wording.usd(found.low_usd)}"
    elif found.second_usd == found.low_usd:
        bids = wording.count(found.bids, "bid")
        first = f"{bids} for {found.contract_id}, the lowest two equal at {wording.usd(found.low_usd)}"
    else:
        first = f"{found.low} was low of {wording.count(found.bids, 'bid')} with {wording.usd(found.low_usd)}"
    said = []
    if found.second_usd is not None and found.second_usd != found.low_usd:
        gap = found.second_usd - found.low_usd
        share = wording.number(gap / found.low_usd * 100, 1)
        said.append(f"{wording.usd(gap)} ({share}% of the low bid) under the second")
    if not isinstance(found.estimate_usd, Unavailable):
        said.append(_against(found.low_usd / found.estimate_usd - 1))
    return f"{first}: {' and '.join(said)}." if said else f"{first}."


def _against(ratio: float) -> str:
    shown = wording.half_up(abs(ratio) * 100, 1)
    return f"{shown}% {'over' if ratio > 0 else 'under'} our estimate" if shown else "on our estimate"


def support(found: BidComparison) -> str:
    """The work that makes most of each difference."""
    said = []
    for opening, whole in (("Low to second", found.to_second), ("Estimate to low", found.to_estimate)):
        if isinstance(whole, Difference) and whole.usd:
            said.append(f"{opening}, {wording.signed(whole.usd, 0, '$')}: {largest(whole)}.")
    return " ".join(said) or "There is no difference to explain."


def largest(whole: Difference) -> str:
    """“substructure +$12,000, deck −$3,000 and the rest +$400”; the rest closes the rounded sum."""
    table = whole.by_category[whole.by_category["difference_usd"] != 0]
    parts = [(category_title(name), wording.half_up(usd)) for name, usd in pairs(table, NAMED)]
    if len(table) > NAMED:
        parts.append(("the rest", wording.half_up(whole.usd) - sum(usd for _, usd in parts)))
    said = [f"{name} {wording.signed(float(usd), 0, '$')}" for name, usd in parts]
    return f"{', '.join(said[:-1])} and {said[-1]}" if len(said) > 1 else "".join(said)


def pairs(table: pd.DataFrame, most: int) -> list[tuple[str, float]]:
    """Work category and dollars of the first rows."""
    shown = table.head(most)
    return list(zip(shown["work_category"], shown["difference_usd"], strict=True))


def category_title(name: str) -> str:
    """A work category in words."""
    return name if name == OUTSIDE else name.replace("_", " ")


def title_cells(found: BidComparison) -> dict[str, str]:
    """What is compared, for the title block."""
    priced = int(found.lines["alternate"].eq(False).sum())
    apart = len(found.lines) - priced
    return {
        "Contract": f"{found.contract_id}{f', {found.description}' if found.description else ''}",
        "Let": wording.day(found.letting_date) + (f" by {found.agency}" if found.agency else ""),
        "Award": {"awarded": "awarded", "rejected": "all bids rejected"}.get(found.status, "not stated in the file"),
        "Rests on": found.rests_on or "the base bid",
        "Lines": f"{priced}{f', and {apart} of alternates' if apart else ''}",
        "Dollars": "as bid, as corrected",
    }


def sources(found: BidComparison) -> str:
    """“source: letting_2025_03.csv”."""
    files = sorted({str(one) for one in [*found.prices["source_file"], *found.bidders["source_file"]]})
    return f"source: {', '.join(files[:3])}{f' and {len(files) - 3} more files' if len(files) > 3 else ''}"


def caption(found: BidComparison) -> str:
    """n, what the dollars are, source."""
    bids, lines = wording.count(found.bids, "bid"), wording.count(len(found.lines), "line")
    return f"n = {bids}, {lines} · contract basis, quantity × unit price, dollars as bid · {sources(found)}"

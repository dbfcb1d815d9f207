"""A review in sentences: the answer first, then counts. Statistics of bids are not evidence of wrongdoing."""

from __future__ import annotations

from bidlens import quarters, wording
from bidlens.findings import Unavailable
from bidlens.letting.price_index import BeyondIndex
from bidlens.letting.review import LettingReview

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


def answer(review: LettingReview) -> str:
    """The answer sentence: contracts and bids, low bids against estimates, prices of the same work beyond the index."""
    found = review.competition
    if not found.contracts:
        return f"Nothing on record was let in {review.period}."
    first = f"{wording.count(found.contracts, 'contract')}, {wording.number(found.bids_per_contract or 0, 1)} bids"
    first += " each on average." if found.contracts > 1 else "."
    second = [part for part in (_against_estimate(review), _same_work(review)) if part]
    return f"{first} {_sentence(', and '.join(second))}" if second else first


def support(review: LettingReview) -> str:
    """Counts behind the answer: single bids, estimates within 10 %, money left on the table."""
    found, accuracy = review.competition, review.accuracy
    if not found.contracts:
        return f"The record holds lettings of other years; {review.period} has none, or all their bids were rejected."
    parts = [f"{_counted(found.single_bid_contracts).capitalize()} drew a single bid."]
    if accuracy.n:
        of = f"{accuracy.within_of_low} of {wording.count(accuracy.n, 'estimate')}"
        parts.append(f"{of} {'was' if accuracy.within_of_low == 1 else 'were'} within 10% of the low bid.")
    if found.money_left_usd is not None:
        share = f"{wording.number((found.money_left_of_low or 0) * 100, 1)}%"
        low = found.money_left_usd / found.money_left_of_low if found.money_left_of_low else None
        base = f" ({share} of {millions(low)} in low bids with a second)" if low else ""
        parts.append(f"{wording.usd(found.money_left_usd)} lay between low and second bids{base}.")
    return " ".join(parts)


def millions(usd: float) -> str:
    """$5.46 M from a million up, else whole dollars."""
    return f"{wording.usd(usd / 1e6, 2)} M" if abs(usd) >= 1e6 else wording.usd(usd)


def title_cells(review: LettingReview) -> dict[str, str]:
    """What is compared, for the title block."""
    found = review.competition
    aside = int(review.contracts["set_aside_bids"].sum())
    rejected = int((review.contracts["status"] == "rejected").sum())
    said = [wording.count(aside, "bid")] if aside else []
    said += [f"{wording.count(rejected, 'letting')} all rejected"] if rejected else []
    return {
        "Let": f"{wording.count(found.contracts, 'contract')}, {millions(found.low_usd)}",
        "Compared with": f"{review.years_compared}, {wording.count(review.contracts_before, 'contract')}",
        "Basis": f"contract; $/sf on {review.basis}",
        "Dollars of": quarters.shown(review.dollars_of),
        "Not counted": ", ".join(said) or "nothing",
    }


def sources(review: LettingReview) -> str:
    """“source: bid tabs of 2025, 4 files”."""
    files = review.contracts["source_file"].nunique()
    return f"source: bid tabs of {review.period}, {wording.count(files, 'file')}"


def caption(review: LettingReview) -> str:
    """n, what the bids are, source."""
    found = review.competition
    return (
        f"n = {wording.count(found.contracts, 'contract')}, {wording.count(found.bids, 'bid')} · bids as corrected, "
        f"dollars as "
        f"bid · {sources(review)}"
    )


def base_rate(review: LettingReview) -> str:
    """How common lines far from the estimate are elsewhere."""
    trigger = review.triggers["unbalanced_line"]
    return f"Such lines are common and no evidence of wrongdoing. {trigger.base_rate}"


def _against_estimate(review: LettingReview) -> str:
    bias = review.accuracy.bias
    if bias is None:
        return ""
    size = wording.half_up(abs(bias) * 100)
    which = "our estimates" if review.accuracy.n > 1 else "our estimate"
    if not size:
        return f"low bids were on {which} on the whole"
    return f"low bids were {size}% {'over' if bias > 0 else 'under'} {which}"


def _same_work(review: LettingReview) -> str:
    beyond = review.beyond_index
    if not isinstance(beyond, BeyondIndex):
        return ""
    size = wording.half_up(abs(beyond.change) * 100)
    if not size:
        return "prices for the same work moved with the cost index"
    return f"prices for the same work {'rose' if beyond.change > 0 else 'fell'} {size}% beyond the cost index"


def same_work_basis(review: LettingReview) -> str:
    """n and basis of the change for the same work."""
    beyond = review.beyond_index
    if isinstance(beyond, Unavailable):
        return str(beyond)
    return (
        f"Fisher index over {wording.count(beyond.matched_items, 'pay item')} let both in {review.period} and in "
        f"{review.years_compared}, {wording.number(beyond.matched_share * 100)}% of the measured dollars of low bids"
    )


def _counted(n: int) -> str:
    return f"{NUMBERS[n] if n < len(NUMBERS) else n} {'contract' if n == 1 else 'contracts'}"


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."

"""The fourteen questions of a bid review, those that can be computed answered for the year.

Questions, in own words, after the review checklist of the FHWA Construction Program Management and Inspection Guide,
appendix G (page of 2017).
"""

from __future__ import annotations

from bidlens import wording
from bidlens.letting import words
from bidlens.letting.contracts import let
from bidlens.letting.review import LettingReview

BY_PERSON = ""

QUESTIONS = (
    "How many bids came in?",
    "Was there enough competition?",
    "How does the low bid stand against the estimate?",
    "How far apart are the bids?",
    "Which unit prices differ much from the estimate?",
    "Are those differences explained?",
    "Who bid, and from where?",
    "Would advertising again be likely to bring lower bids?",
    "How do prices compare with similar work let the same day?",
    "How urgent is the work?",
    "What are market and workload like?",
    "Are bids unbalanced?",
    "Would putting it off harm the public?",
    "Are there errors in the estimate?",
)


def checklist(review: LettingReview) -> list[tuple[str, str]]:
    """Each question with its answer; an empty answer is left to a person."""
    answers = dict.fromkeys(QUESTIONS, BY_PERSON)
    for place, answer in ((0, _count), (1, _competition), (2, _estimate), (3, _spread), (4, _prices), (6, _who),
                          (8, _same_day), (11, _unbalanced)):  # fmt: skip
        answers[QUESTIONS[place]] = answer(review) if review.competition.contracts else "nothing was let"
    return list(answers.items())


def _count(review: LettingReview) -> str:
    found = review.competition
    per = wording.number(found.bids_per_contract or 0, 1)
    return f"{wording.count(found.bids, 'bid')} for {wording.count(found.contracts, 'contract')}, {per} on average."


def _competition(review: LettingReview) -> str:
    found = review.competition
    new = int(review.bidders["new"].sum())
    bidders = wording.count(len(review.bidders), "bidder")
    return (
        f"{found.single_bid_contracts} of {wording.count(found.contracts, 'contract')} drew a single bid; {bidders}, "
        f"{new} of them for the first time on record. What is enough is for the owner to say."
    )


def _estimate(review: LettingReview) -> str:
    a = review.accuracy
    if not a.n:
        return "No whole estimate is on record."
    met = "met" if a.goal_met else "not met"
    return (
        f"{wording.percent(a.bias or 0, 1)} over all; {a.within_of_low} of {a.n} estimates within 10% of the low bid "
        f"(half is "
        f"the goal: {met}), {a.within_of_estimate} of {a.n} low bids within 10% of the estimate."
    )


def _spread(review: LettingReview) -> str:
    several = let(review.contracts)
    several = several[several["second_usd"].notna()]
    if several.empty:
        return "No contract drew two bids."
    second, high = several["money_left_of_low"].median(), (several["high_usd"] / several["low_usd"] - 1).median()
    return (
        f"In the middle contract of {len(several)} the second bid was {above(second, 1)} above the low and "
        f"the "
        f"highest {above(high, 1)}; spread describes, no more."
    )


def above(ratio: float, digits: int = 0) -> str:
    """A ratio in percent, before “above”: it has no sign."""
    return f"{wording.number(ratio * 100, digits)}%"


def _prices(review: LettingReview) -> str:
    n = sum(flag.code == "mathematically_unbalanced" for flag in review.flags)
    trigger = review.triggers["unbalanced_line"]
    if not review.accuracy.n:
        return "No whole estimate is on record."
    return f"{wording.count(n, 'line')} met this test: {trigger.title}. {trigger.base_rate}"


def _who(review: LettingReview) -> str:
    shown = review.bidders.head(5)
    low = "; ".join(f"{row.bidder}, {row.low_bids} low of {row.bids}" for row in shown.itertuples())
    more = len(review.bidders) - len(shown)
    return f"{low}{f'; and {more} more' if more > 0 else ''}. Where they come from is not in the bid tabs."


def _same_day(review: LettingReview) -> str:
    if review.same_day_spread is None:
        return "No pay item was let in two contracts of one day."
    n, spread = review.same_day_spread
    return (
        f"{wording.count(n, 'pay item')} let in several contracts of one day: in the middle the highest low-bid "
        f"price was "
        f"{above(spread)} above the lowest."
    )


def _unbalanced(review: LettingReview) -> str:
    lines = sum(flag.code == "mathematically_unbalanced" for flag in review.flags)
    turning = sum(flag.code == "may_be_materially_unbalanced" for flag in review.flags)
    most = wording.number(review.triggers["quantity_change_that_turns_the_order"].value("most_of_quantity") * 100)
    return (
        f"{wording.count(lines, 'line')} meet the line test; for {turning} of them a quantity change of up to "
        f"{most}% would "
        f"turn the order of low and second bidder. {words.base_rate(review)}"
    )

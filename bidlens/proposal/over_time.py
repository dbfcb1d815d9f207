"""A supplier's offers over time: each beside what was to be expected when it was written, and with all we know now."""

from __future__ import annotations

import datetime as dt
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from bidlens import wording
from bidlens.proposal.check import ProposalCheck

#: Below this many offers of a supplier nothing is said of them as a group.
FEWEST_TO_SAY = 5


@dataclass(frozen=True, slots=True)
class Beside:
    """One offer beside what one history leads to expect. Money in $/sf, in dollars of the check.

    n : priced structures of that history. ratio : offer over the expected middle, less one. low, high : the 8-in-10
    range over that middle, less one. None where declined; why_not then says why.
    """

    n: int
    expected: float | None = None
    ratio: float | None = None
    low: float | None = None
    high: float | None = None
    why_not: str = ""

    def as_dict(self) -> dict[str, Any]:
        """The public form."""
        return {name: getattr(self, name) for name in self.__slots__}


def beside_expected(check: ProposalCheck, n: int) -> Beside:
    """Where a check puts its offer. n : priced structures the check rests on."""
    expected = check.expected
    if expected is None or check.difference_ratio is None:
        return Beside(n, why_not=check.verdict.text.partition(". ")[2].rstrip(".") or check.verdict.text)
    middle = expected["p50"]
    return Beside(n, middle, check.difference_ratio, expected["p10"] / middle - 1, expected["p90"] / middle - 1)


def same_supplier(name: str) -> str:
    """What spellings of one supplier have in common: letters without case, blanks counted once."""
    return " ".join(name.casefold().split())


def of_a_supplier(supplier: str, dated: Sequence[tuple[dt.date | None, Beside]]) -> str:
    """One sentence on a supplier's offers, each beside what the lettings before it led to expect.

    dated : day of the letter, and where it stood. From FEWEST_TO_SAY placed offers on it gives their middle and their
    ends; below, only how many there are.
    """
    ratios = [one.ratio for _, one in dated if one.ratio is not None]
    letters = wording.count(len(dated), "letter")
    if len(ratios) < FEWEST_TO_SAY:
        placed = "none of them" if not ratios else f"{len(ratios)} of them"
        return (
            f"{letters} of {supplier} on record, {placed} placed against the lettings before it: "
            f"n = {len(ratios)}, too few to say anything of the supplier."
        )
    days = [day for day, one in dated if day and one.ratio is not None]
    years = f", {min(days).year} to {max(days).year}" if days and min(days).year < max(days).year else ""
    above = sum(ratio > 0 for ratio in ratios)
    middle, low, high = (wording.percent(one) for one in (statistics.median(ratios), min(ratios), max(ratios)))
    return (
        f"{letters} of {supplier} on record{years}; of the n = {len(ratios)} placed against the lettings before each, "
        f"{above} lay above the expected middle. The middle one was {middle}, the ends {low} and {high}. "
        "This describes letters, not what comes next."
    )

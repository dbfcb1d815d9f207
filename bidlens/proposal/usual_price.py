"""What a letter could quote and still read as usual, and what to ask its supplier."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bidlens.proposal.check import ProposalCheck

#: The shares of like lettings between which a price reads as usual.
USUAL = (0.10, 0.90)
_HALVINGS = 60


def usual_price(check: ProposalCheck) -> tuple[float, float] | None:
    """The lowest and the highest price, in dollars as the letter quotes, that would read as usual for this scope.

    None where no verdict is given. The low end is zero where even a gift would not read as below usual.
    """
    if check.percentile is None:
        return None
    low, high = (_quoted_at(check, share) for share in USUAL)
    return max(low, 0.0), max(high, 0.0)


def _quoted_at(check: ProposalCheck, share: float) -> float:
    """The quoted price at which this share of like lettings would come in lower, by halving."""
    points, expected = check.offer.points(), check.judged_by
    top = (check.expected or {})["p95"] * 4
    low, high = -top - float(points.max()), top
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if expected.share_lower(points + middle) < share else (low, middle)
    return quoted_usd_at(check, check.like_for_like_per_sf + (low + high) / 2)


def quoted_usd_at(check: ProposalCheck, like_for_like_per_sf: float) -> float:
    """The quoted price in dollars that would make the like-for-like price this one, $/sf of the base quarter."""
    change = (like_for_like_per_sf - check.like_for_like_per_sf) / check.offer.dollars.ratio
    return check.quoted_usd + change * check.deck_area_sf


def break_even_usd(check: ProposalCheck, others: list[ProposalCheck]) -> float | None:
    """The quoted price at which this offer would be level with the lowest of the others, like for like."""
    known = [one.like_for_like_per_sf for one in others if math.isfinite(one.like_for_like_per_sf)]
    if not known or not math.isfinite(check.like_for_like_per_sf):
        return None
    return quoted_usd_at(check, min(known))


def questions(check: ProposalCheck) -> tuple[str, ...]:
    """What to ask, from the findings of this check: each once, worst first."""
    asked = [finding.do for finding in check.findings if finding.do.startswith("Ask")]
    return tuple(dict.fromkeys(asked))

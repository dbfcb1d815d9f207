"""One proposal on record: where it stood, what became of it, and what was paid."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from bidlens.findings import Unavailable
from bidlens.proposal.check import ProposalCheck
from bidlens.proposal.offer import Proposal
from bidlens.proposal.outcome import Outcome, Paid, status_words
from bidlens.proposal.over_time import Beside


@dataclass(frozen=True, slots=True, eq=False)
class Letter:
    """One proposal on record. then, now : beside what the lettings before its date, and all lettings, lead to expect.

    outcome : None while it is open. check : None where the letter cannot be checked; why_not then says why.
    paid : beside the contract named with the outcome; None while there is none.
    """

    offer: Proposal
    outcome: Outcome | None
    check: ProposalCheck | None
    why_not: str
    then: Beside
    now: Beside
    paid: Paid | Unavailable | None

    def status(self, today: dt.date | None) -> str:
        """The outcome in words; open, and past its last day where it is."""
        return status_words(self.outcome, self.offer.valid_until, today)

    def as_dict(self) -> dict[str, Any]:
        """The public form; a number not given is None."""
        offer, check = self.offer, self.check
        return {
            "proposal_id": offer.proposal_id,
            "supplier": offer.supplier,
            "date": offer.date,
            "valid_until": offer.valid_until,
            "structure": offer.structure,
            "superstructure": offer.superstructure,
            "like_for_like_per_sf": None if check is None else check.like_for_like_per_sf,
            "basis": None if check is None else check.basis,
            "dollars_of": None if check is None else check.dollars_of,
            "source": str(offer.place or ""),
            "not_checked": self.why_not or None,
            "lettings_before": self.then.as_dict(),
            "all_lettings": self.now.as_dict(),
            "outcome": None if self.outcome is None else self.outcome.as_dict(),
            "paid": self.paid.as_dict() if isinstance(self.paid, Paid) else None,
            "paid_not_given": self.paid.reason if isinstance(self.paid, Unavailable) else None,
        }

"""Whose dollars a letter quotes: those of the quarter it delivers in, brought to the base quarter by the cost index."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from bidlens import quarters, wording
from bidlens.findings import Finding
from bidlens.model import extend_index
from bidlens.proposal.adjustment import Adjustment
from bidlens.proposal.offer import Proposal
from bidlens.reference import CostIndex


@dataclass(frozen=True, slots=True, eq=False)
class QuotedDollars:
    """When the quoted dollars are of, and what a dollar of then is in dollars of the base quarter.

    date : a day in that quarter. ratio : I(dollars_of) / I(quarter). forecast : quarters past the last published one.
    """

    date: dt.date
    quarter: str
    dollars_of: str
    ratio: float
    forecast: int
    findings: tuple[Finding, ...]

    def adjustment(self, quoted_per_sf: float) -> Adjustment | None:
        """The step that brings the quoted price to the base quarter; None where nothing is to be restated."""
        if self.quarter == self.dollars_of or self.ratio == 1.0:
            return None
        ahead = f", forecast {wording.count(self.forecast, 'quarter')}" if self.forecast else ""
        what = f"{quarters.shown(self.quarter)} to {quarters.shown(self.dollars_of)} dollars"
        return Adjustment(what, quoted_per_sf * (self.ratio - 1), f"index{ahead}")


def quoted_dollars(proposal: Proposal, index: CostIndex, dollars_of: str) -> QuotedDollars:
    """The quarter a letter's dollars are of: delivery, else its date, else the base quarter with a Finding.

    index : carried on by forecast where it does not reach that quarter.
    Raises MissingReference for a date before the index begins.
    """
    findings = []
    date = proposal.delivery or proposal.date
    if date is None:
        date, shown = _first_day(dollars_of), quarters.shown(dollars_of)
        text = f"The letter states neither delivery nor date; its price is taken as {shown} dollars."
        findings.append(Finding("quoted_dollars_assumed", "check", text, "State delivery, or the date of the letter."))
    elif proposal.delivery is None:
        text = "The letter states no delivery date; its price is taken as dollars of the day it was written."
        findings.append(Finding("no_delivery_date", "note", text, "Ask when the price is good for."))
    quarter = quarters.quarter_of(date)
    reaching = extend_index(extend_index(index, quarter), dollars_of)
    published = quarters.position(reaching.last_published)
    forecast = max(quarters.position(quarter) - published, quarters.position(dollars_of) - published, 0)
    if forecast:
        findings.append(
            Finding(
                "index_forecast",
                "note",
                f"{index.name} is published to {quarters.shown(reaching.last_published)}; "
                f"{wording.count(forecast, 'quarter')} of it {'is' if forecast == 1 else 'are'} forecast here, "
                "and the expected range is wider for it.",
            )
        )
    return QuotedDollars(date, quarter, dollars_of, reaching.ratio(quarter, dollars_of), forecast, tuple(findings))


def _first_day(quarter: str) -> dt.date:
    return dt.date(int(quarter[:4]), 3 * int(quarter[5]) - 2, 1)

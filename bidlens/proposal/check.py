"""One offer held against the county's history, like for like: the sanity check of a supplier's proposal."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from typing import Any

import pandas as pd

from bidlens.findings import Finding, worst_first
from bidlens.model import CostModel
from bidlens.normalizer import UnitCostHistory
from bidlens.proposal import doubts
from bidlens.proposal.adjustment import Adjustment
from bidlens.proposal.comparables import closest_contracts
from bidlens.proposal.expected import Expected, curve_at_width
from bidlens.proposal.explained import Contribution, explain_expected
from bidlens.proposal.judge import HistoryUsed, judge
from bidlens.proposal.like_for_like import Offer, make_like_for_like
from bidlens.proposal.offer import Proposal
from bidlens.proposal.usual_price import questions, usual_price
from bidlens.proposal.verdict import Verdict
from bidlens.reference import CostIndex


@dataclass(frozen=True, slots=True, eq=False)
class ProposalCheck:
    """What is known of one offer. Money in $/sf of deck, in dollars of `dollars_of`, but for what was quoted.

    quoted_usd, quoted_per_sf : as the letter has it, in dollars of the day of delivery.
    like_for_like_per_sf : quoted_per_sf plus every adjustment; NaN where work of the basis could not be priced.
    expected : p05 p10 p25 p50 p75 p90 p95 mean; None where the history gives none.
    percentile : share of like lettings that would come in lower, 0 to 1; difference_ratio : offer over p50 less one.
        Both None where declined, with a finding that says why.
    grade : A to D. comparables : COMPARABLE_COLUMNS of `closest_contracts`. findings : worst first.
    offer : the like-for-like offer in full. index_title : the cost index and its release.
    contributions : how a reference bridge leads to the expected p50, part by part; empty where there is none.
    judged_by : the expected price as a distribution.
    """

    proposal: Proposal
    quoted_usd: float
    deck_area_sf: float
    span_ft: float
    width_ft: float
    length_ft: float
    basis: str
    dollars_of: str
    quoted_per_sf: float
    like_for_like_per_sf: float
    adjustments: tuple[Adjustment, ...]
    expected: dict[str, float] | None
    percentile: float | None
    difference_ratio: float | None
    grade: str
    history: HistoryUsed
    comparables: pd.DataFrame
    findings: tuple[Finding, ...]
    verdict: Verdict
    offer: Offer
    index_title: str
    contributions: tuple[Contribution, ...]
    judged_by: Expected

    def as_dict(self) -> dict[str, Any]:
        """The public form: plain numbers, text and lists; a declined number is None."""
        said = {
            "proposal_id": self.proposal.proposal_id,
            "supplier": self.proposal.supplier,
            "structure": self.proposal.structure,
            "superstructure": self.proposal.superstructure,
        }
        same_name = (
            "quoted_usd", "deck_area_sf", "basis", "dollars_of", "quoted_per_sf", "like_for_like_per_sf",
            "percentile", "difference_ratio", "grade", "expected",
        )  # fmt: skip
        said |= {name: _plain(getattr(self, name)) for name in same_name}
        return said | {
            "usual_price_usd": _plain_pair(usual_price(self)),
            "questions": list(questions(self)),
            "index": self.index_title,
            "contributions": [part.as_dict() for part in self.contributions],
            "adjustments": [step.as_dict() for step in self.adjustments],
            "history": {name: _plain(getattr(self.history, name)) for name in HistoryUsed.__slots__},
            "comparables": [
                {str(name): _plain(value) for name, value in record.items()}
                for record in self.comparables.to_dict("records")
            ],
            "findings": [finding.as_dict() for finding in self.findings],
            "verdict": {"code": self.verdict.code, "text": self.verdict.text, "support": self.verdict.support},
        }


def check_proposal(
    proposal: Proposal,
    *,
    structure: pd.Series | None,
    history: UnitCostHistory,
    model: CostModel | None,
    index: CostIndex,
    today: dt.date | None = None,
    brief: bool = False,
) -> ProposalCheck:
    """Hold one offer against the county's history, like for like.

    structure : row of the structure list the letter names, or None.
    history : unit costs on the basis to compare on; model : fitted to it with `index`, None where there is nothing.
    index : carried on by forecast where it does not reach the day of delivery.
    today : to say when a letter is old; not looked at when None.
    brief : leave contributions empty, where many offers are placed and none is explained.
    Raises BadValue where the letter lacks what no comparison can do without: a deck area, or what its price includes.
    """
    offer = make_like_for_like(proposal, structure, history, index)
    judged = judge(offer, history, model)
    comparables = closest_contracts(history.frame, judged.row, offer.per_sf, model)
    findings = [
        *offer.geometry.findings,
        *offer.dollars.findings,
        *offer.scope.findings,
        *judged.findings,
        *doubts.by_hand_doubts(history.frame, comparables, offer.kind),
        *doubts.letter_doubts(offer.proposal, offer.geometry, offer.quoted_per_sf, today),
        *offer.proposal.findings,
    ]
    return ProposalCheck(
        proposal=offer.proposal,
        quoted_usd=offer.quoted_usd,
        deck_area_sf=offer.geometry.deck_area_sf,
        span_ft=offer.geometry.span_ft,
        width_ft=offer.geometry.width_ft,
        length_ft=offer.geometry.length_ft,
        basis=history.basis,
        dollars_of=history.dollars_of,
        quoted_per_sf=offer.quoted_per_sf,
        like_for_like_per_sf=offer.per_sf,
        adjustments=offer.adjustments,
        expected=judged.expected.prices,
        percentile=judged.percentile,
        difference_ratio=judged.difference_ratio,
        grade=judged.grade,
        history=judged.used,
        comparables=comparables,
        findings=tuple(worst_first(findings)),
        verdict=judged.verdict,
        offer=offer,
        index_title=history.index_title,
        contributions=() if brief or not judged.expected.prices else explain_expected(model, judged.row, offer.dollars),
        judged_by=judged.expected,
    )


def span_curve(check: ProposalCheck, model: CostModel, history: UnitCostHistory, index: CostIndex) -> pd.DataFrame:
    """Expected $/sf against span at the offer's width, over the spans on record: span_ft, p05 to p95, in_range.

    index : kept for callers that have it at hand; prices are in the dollars the check is in.
    """
    return curve_at_width(model, check.offer.geometry, check.offer.kind, check.offer.dollars, history.frame["span_ft"])


def _plain_pair(pair: tuple[float, float] | None) -> list[float] | None:
    return None if pair is None else [float(end) for end in pair]


def _plain(value: Any) -> Any:
    """Plain Python: missing and not finite become None, dates ISO text, numpy numbers their own kind."""
    if isinstance(value, dict):
        return {name: _plain(inner) for name, inner in value.items()}
    if value is None or value is pd.NaT or value is pd.NA:
        return None
    if isinstance(value, pd.Timestamp):
        return value.date().isoformat()
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, str | bool | int):
        return value
    return float(value) if math.isfinite(value) else None

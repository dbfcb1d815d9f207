"""A supplier's proposal made like for like, held against the county's history, and placed in words."""

from bidlens.proposal.adjustment import Adjustment
from bidlens.proposal.check import ProposalCheck, check_proposal, span_curve
from bidlens.proposal.judge import HistoryUsed
from bidlens.proposal.offer import SCOPE_PARTS, Proposal
from bidlens.proposal.service_life import (
    DEFAULT_LIFE_YEARS,
    DEFAULT_RATE,
    LIFE_CAUTION,
    ServiceLife,
    capital_recovery,
    service_life,
)
from bidlens.proposal.side_by_side import SideBySide, side_by_side
from bidlens.proposal.usual_price import questions, usual_price
from bidlens.proposal.verdict import SURE, VERDICT_WORDS, Verdict

__all__ = [
    "DEFAULT_LIFE_YEARS",
    "DEFAULT_RATE",
    "LIFE_CAUTION",
    "SCOPE_PARTS",
    "SURE",
    "VERDICT_WORDS",
    "Adjustment",
    "HistoryUsed",
    "Proposal",
    "ProposalCheck",
    "ServiceLife",
    "SideBySide",
    "Verdict",
    "capital_recovery",
    "check_proposal",
    "questions",
    "service_life",
    "side_by_side",
    "span_curve",
    "usual_price",
]

"""A supplier's proposal made like for like, held against the county's history, and placed in words."""

from bidlens.proposal.adjustment import Adjustment
from bidlens.proposal.check import ProposalCheck, check_proposal, span_curve
from bidlens.proposal.judge import HistoryUsed
from bidlens.proposal.offer import SCOPE_PARTS, Proposal
from bidlens.proposal.verdict import SURE, VERDICT_WORDS, Verdict

__all__ = [
    "SCOPE_PARTS",
    "SURE",
    "VERDICT_WORDS",
    "Adjustment",
    "HistoryUsed",
    "Proposal",
    "ProposalCheck",
    "Verdict",
    "check_proposal",
    "span_curve",
]

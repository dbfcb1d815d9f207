"""The annual letting review: competition, estimates, unbalanced lines, prices that moved. Pure."""

from bidlens.letting.checklist import checklist
from bidlens.letting.comparison import BidComparison, compare
from bidlens.letting.contracts import contract_list
from bidlens.letting.pay_items import SuggestedPrice, suggested_price
from bidlens.letting.review import BeyondIndex, LettingReview, ReviewData, review
from bidlens.letting.triggers import Trigger, load_triggers
from bidlens.letting.unit_costs import ChangeExplained

__all__ = [
    "BeyondIndex",
    "BidComparison",
    "ChangeExplained",
    "LettingReview",
    "ReviewData",
    "SuggestedPrice",
    "Trigger",
    "checklist",
    "compare",
    "contract_list",
    "load_triggers",
    "review",
    "suggested_price",
]

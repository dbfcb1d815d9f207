"""The annual letting review: competition, estimates, unbalanced lines, prices that moved. Pure."""

from bidlens.letting.change import ChangeExplained
from bidlens.letting.checklist import checklist
from bidlens.letting.comparison import BidComparison, compare
from bidlens.letting.contracts import contract_list
from bidlens.letting.item_prices import ItemPrices, prices_of_items
from bidlens.letting.price_index import BeyondIndex, county_index
from bidlens.letting.review import BasisData, LettingReview, ReviewData, on_basis, review
from bidlens.letting.suggested import SuggestedPrice, suggested_price
from bidlens.letting.triggers import Trigger, Triggers, load_triggers

__all__ = [
    "BasisData",
    "BeyondIndex",
    "BidComparison",
    "ChangeExplained",
    "ItemPrices",
    "LettingReview",
    "ReviewData",
    "SuggestedPrice",
    "Trigger",
    "Triggers",
    "checklist",
    "compare",
    "contract_list",
    "county_index",
    "load_triggers",
    "on_basis",
    "prices_of_items",
    "review",
    "suggested_price",
]

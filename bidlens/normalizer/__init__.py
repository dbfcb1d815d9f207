"""Bid rows and structures become unit costs: work category, cost basis, deck area, escalation."""

from bidlens.normalizer.area import deck_area_sf
from bidlens.normalizer.bases import DEFAULT_BASIS, CostBasis, basis_named, load_bases
from bidlens.normalizer.by_hand import marks as marks_by_hand
from bidlens.normalizer.categories import WORK_CATEGORIES, apply_overrides, categorize, check_category, is_time_bid
from bidlens.normalizer.escalation import escalate
from bidlens.normalizer.history import (
    UnitCostHistory,
    ratio_of_sums,
    restated,
    restated_frame,
    unit_cost_histories,
    unit_cost_history,
)
from bidlens.normalizer.names import suggest_bidders, suggest_pay_items
from bidlens.normalizer.paid import PaidLines, paid_lines
from bidlens.normalizer.prices import StructurePrices, prices_on, structure_prices
from bidlens.normalizer.same_items import categorize_as_known, check_same_item, known_as
from bidlens.normalizer.structure_numbers import suggest_links

__all__ = [
    "DEFAULT_BASIS",
    "WORK_CATEGORIES",
    "CostBasis",
    "PaidLines",
    "StructurePrices",
    "UnitCostHistory",
    "apply_overrides",
    "basis_named",
    "categorize",
    "categorize_as_known",
    "check_category",
    "check_same_item",
    "deck_area_sf",
    "escalate",
    "is_time_bid",
    "known_as",
    "load_bases",
    "marks_by_hand",
    "paid_lines",
    "prices_on",
    "ratio_of_sums",
    "restated",
    "restated_frame",
    "structure_prices",
    "suggest_bidders",
    "suggest_links",
    "suggest_pay_items",
    "unit_cost_histories",
    "unit_cost_history",
]

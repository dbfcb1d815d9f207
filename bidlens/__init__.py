"""bidlens: bid tabulation and unit-cost analytics for a county bridge engineer.

The names below are the public Python surface; each is imported when first used, so that a command that needs no
statistics does not wait for them.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bidlens.errors import BidlensError
    from bidlens.model import CostModel, fit_cost_model
    from bidlens.normalizer import categorize
    from bidlens.proposal import Proposal
    from bidlens.reference import CostIndex
    from bidlens.reviewing import review_lettings
    from bidlens.workflow import Database, check_proposal, forecast_program, load_index, open_database

_HOME = {
    "BidlensError": "bidlens.errors",
    "CostIndex": "bidlens.reference",
    "CostModel": "bidlens.model",
    "Database": "bidlens.workflow",
    "Proposal": "bidlens.proposal",
    "categorize": "bidlens.normalizer",
    "check_proposal": "bidlens.workflow",
    "fit_cost_model": "bidlens.model",
    "forecast_program": "bidlens.workflow",
    "load_index": "bidlens.workflow",
    "open_database": "bidlens.workflow",
    "review_lettings": "bidlens.reviewing",
}

__all__ = [
    "BidlensError",
    "CostIndex",
    "CostModel",
    "Database",
    "Proposal",
    "categorize",
    "check_proposal",
    "fit_cost_model",
    "forecast_program",
    "load_index",
    "open_database",
    "review_lettings",
]


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module 'bidlens' has no attribute {name!r}")
    return getattr(import_module(_HOME[name]), name)

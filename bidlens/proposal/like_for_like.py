"""A letter's price brought to the basis and the dollars of the history it is held against."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from bidlens.normalizer import UnitCostHistory
from bidlens.proposal.adjustment import Adjustment
from bidlens.proposal.dollars import QuotedDollars, quoted_dollars
from bidlens.proposal.geometry import OfferGeometry, offer_geometry
from bidlens.proposal.offer import Proposal
from bidlens.proposal.scope import ScopeMatch, match_scope
from bidlens.proposal.spread import total_points
from bidlens.reference import CostIndex
from bidlens.superstructure import standard_type


@dataclass(frozen=True, slots=True, eq=False)
class Offer:
    """One offer like for like.

    proposal : with the superstructure type as the history names it.
    quoted_usd, quoted_per_sf : as the letter has it. per_sf : quoted_per_sf plus every adjustment, in dollars of the
        base quarter; NaN where work of the basis could not be priced.
    price_name : the price of the letter that governs, of `PRICES`.
    """

    proposal: Proposal
    geometry: OfferGeometry
    dollars: QuotedDollars
    scope: ScopeMatch
    quoted_usd: float
    quoted_per_sf: float
    adjustments: tuple[Adjustment, ...]
    per_sf: float
    price_name: str = "price_usd"

    def points(self) -> np.ndarray:
        """Equally likely like-for-like prices, $/sf: one where no work had to be priced from the history."""
        spreads = [step.spread for step in self.adjustments if step.spread]
        return total_points(self.per_sf - sum(spread.sign * spread.middle for spread in spreads), spreads)

    @property
    def kind(self) -> str:
        """Superstructure type offered."""
        return self.proposal.superstructure


def make_like_for_like(
    proposal: Proposal, structure: pd.Series | None, history: UnitCostHistory, index: CostIndex
) -> Offer:
    """Scope first, then dollars; the quoted price and the steps add up to `per_sf` exactly.

    The price of added work is in base-quarter dollars already, so the step for dollars is on the quoted price and the
    engineer's own costs alone.
    """
    proposal = replace(proposal, superstructure=_known_type(proposal.superstructure, history))
    geometry = offer_geometry(proposal, structure)
    dollars = quoted_dollars(proposal, index, history.dollars_of)
    scope = match_scope(proposal, proposal.superstructure, history, geometry.deck_area_sf)
    price_name, quoted_usd = next(iter(proposal.lump_sums(geometry.deck_area_sf).items()))
    quoted_per_sf = float(proposal.price_per_sf or 0) if price_name == "price_per_sf" else _per_sf(quoted_usd, geometry)
    in_dollars = dollars.adjustment(quoted_per_sf + sum(step.per_sf for step in scope.own))
    adjustments = (*scope.own, *scope.adjustments, *([in_dollars] if in_dollars else []))
    per_sf = math.nan if scope.not_priced else quoted_per_sf + sum(step.per_sf for step in adjustments)
    return Offer(proposal, geometry, dollars, scope, quoted_usd, quoted_per_sf, adjustments, per_sf, price_name)


def _known_type(written: str, history: UnitCostHistory) -> str:
    """The type as the history has it: as written if it knows that, else the standard name."""
    if (history.frame["superstructure"] == written).any():
        return written
    return standard_type(written) or written


def _per_sf(quoted_usd: float, geometry: OfferGeometry) -> float:
    return quoted_usd / geometry.deck_area_sf

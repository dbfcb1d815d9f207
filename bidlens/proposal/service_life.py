"""What an offer costs a year over a service life the user assumes: capital recovery, and where one life decides.

A/P = i (1 + i)^n / ((1 + i)^n - 1), and 1/n at no interest: the textbook capital recovery factor.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from bidlens.errors import BadValue

if TYPE_CHECKING:
    from bidlens.proposal.check import ProposalCheck

#: One life for every type unless the user says otherwise: no measured lives by type can be relied on.
DEFAULT_LIFE_YEARS, DEFAULT_RATE = 75.0, 0.03
LARGEST_RATE, LONGEST_LIFE_YEARS = 0.25, 500.0
LIFE_CAUTION = (
    "Service lives and the rate are your assumptions, the same life for all types unless you change it; first cost "
    "alone is annualized, without upkeep. A 75-year design life is a basis of loads, not an expected life, and a "
    "supplier's own life is a statement of the supplier."
)


@dataclass(frozen=True, slots=True)
class AnnualCost:
    """One offer: comparable price, assumed life, equivalent annual cost, all per square foot of deck.

    crossover_years : the life at which it would cost as much a year as the cheapest of the others at theirs; None where
        no life would, or there is no other.
    """

    proposal_id: str
    supplier: str
    superstructure: str
    first_cost_per_sf: float
    life_years: float
    annual_per_sf: float
    crossover_years: float | None

    def as_dict(self) -> dict[str, Any]:
        """The public form."""
        return {name: getattr(self, name) for name in self.__slots__}


@dataclass(frozen=True, slots=True)
class ServiceLife:
    """The offers at one rate, in their own order; those without a comparable price are left out."""

    rate: float
    offers: tuple[AnnualCost, ...]

    def as_dict(self) -> dict[str, Any]:
        """The public form."""
        return {"rate": self.rate, "offers": [one.as_dict() for one in self.offers], "caution": LIFE_CAUTION}


def capital_recovery(rate: float, years: float) -> float:
    """Share of a first cost that pays it off, with interest, in equal yearly parts. rate : 0.03 is 3 %.

    Raises BadValue for a rate below zero or above 25 %, and for years not above zero or above 500.
    """
    if not (math.isfinite(rate) and 0 <= rate <= LARGEST_RATE):
        raise BadValue(f"the rate is {rate}", do="Give it as a percent from 0 to 25, for example 3.")
    if not (math.isfinite(years) and 0 < years <= LONGEST_LIFE_YEARS):
        raise BadValue(f"the service life is {years} years", do="Give years above zero, for example 75.")
    if rate == 0:
        return 1 / years
    return rate / -math.expm1(-years * math.log1p(rate))


def years_at(rate: float, recovery: float) -> float | None:
    """The life whose capital recovery factor is `recovery`; None where no life has one so low."""
    if recovery <= rate:
        return None
    return 1 / recovery if rate == 0 else -math.log1p(-rate / recovery) / math.log1p(rate)


def service_life(
    checks: Sequence[ProposalCheck], rate: float, life_years: float, lives: Mapping[str, float] | None = None
) -> ServiceLife:
    """Equivalent annual cost of each offer's comparable price.

    life_years : for every offer; lives : by proposal_id, where the user assumes another.
    """
    known = [check for check in checks if check.like_for_like_per_sf > 0]
    life = {one.proposal.proposal_id: (lives or {}).get(one.proposal.proposal_id, life_years) for one in known}
    annual = {
        one.proposal.proposal_id: one.like_for_like_per_sf * capital_recovery(rate, life[one.proposal.proposal_id])
        for one in known
    }
    return ServiceLife(rate, tuple(_annual(one, rate, life, annual) for one in known))


def _annual(check: ProposalCheck, rate: float, life: Mapping[str, float], annual: Mapping[str, float]) -> AnnualCost:
    name = check.proposal.proposal_id
    others = [cost for other, cost in annual.items() if other != name]
    crossover = years_at(rate, min(others) / check.like_for_like_per_sf) if others else None
    return AnnualCost(
        name,
        check.proposal.supplier,
        check.proposal.superstructure,
        check.like_for_like_per_sf,
        life[name],
        annual[name],
        crossover,
    )

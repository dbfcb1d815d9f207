"""A supplier's proposal as the letter states it, before anything is added or judged."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from decimal import Decimal

from bidlens.errors import BadValue, Place
from bidlens.findings import Finding

#: Parts of the work a letter can include: `furnish`, `deliver` and `set` say how far the beams come, the others are
#: kinds of work.
SCOPE_PARTS = ("furnish", "deliver", "set", "deck", "closure", "bearings", "railing", "wearing_surface", "joints")


@dataclass(frozen=True, slots=True)
class Proposal:
    """One offer. Geometry may be missing here and stand in the structure list instead.

    superstructure : standard type name where known, else as written; `superstructure_as_read` keeps the letter's words.
    price_usd, price_per_sf : at least one is given; both in dollars of the day the work is delivered.
    scope : members of `SCOPE_PARTS`.
    Raises BadValue if no price, a price that is not positive, or an unknown scope part is given.
    """

    proposal_id: str
    supplier: str
    superstructure: str
    scope: tuple[str, ...]
    price_usd: Decimal | None = None
    price_per_sf: Decimal | None = None
    date: dt.date | None = None
    structure: str | None = None
    length_ft: float | None = None
    width_ft: float | None = None
    spans: int | None = None
    span_ft: float | None = None
    skew_deg: float | None = None
    delivery: dt.date | None = None
    service_life_years: float | None = None
    superstructure_as_read: str = ""
    place: Place | None = None
    findings: tuple[Finding, ...] = field(default=())

    def __post_init__(self) -> None:
        if self.price_usd is None and self.price_per_sf is None:
            raise BadValue(
                "the proposal states no price", where=self.place, do="Give price_usd (lump sum) or price_per_sf."
            )
        for name, price in (("price_usd", self.price_usd), ("price_per_sf", self.price_per_sf)):
            if price is not None and price <= 0:
                raise BadValue(f"{name} is {price}", where=self.place, do="Give a price above zero.")
        unknown = [part for part in self.scope if part not in SCOPE_PARTS]
        if unknown:
            raise BadValue(
                f"unknown scope {', '.join(unknown)}", where=self.place, do=f"Use any of: {', '.join(SCOPE_PARTS)}."
            )

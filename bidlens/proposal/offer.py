"""A supplier's proposal as the letter states it, before anything is added or judged."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from decimal import Decimal

from bidlens.errors import BadValue, Place
from bidlens.findings import Finding

#: Parts of the work a letter can include: `furnish`, `deliver` and `set` say how far the beams come, `coating`,
#: `engineering` (shop drawings with it) and `sales_tax` go with them; the others are kinds of work.
SCOPE_PARTS = (
    "furnish", "deliver", "set", "deck", "closure", "bearings", "railing", "wearing_surface", "joints",
    "coating", "engineering", "sales_tax",
)  # fmt: skip
#: Prices a letter can state, the one that governs first.
PRICES = ("price_usd", "price_per_beam", "price_per_lb", "price_per_sf")
#: What a price by the beam or by the pound is multiplied with.
_COUNTED = {"price_per_beam": "beams", "price_per_lb": "weight_lb"}


@dataclass(frozen=True, slots=True)
class Proposal:
    """One offer. Geometry may be missing here and stand in the structure list instead.

    superstructure : standard type name where known, else as written; `superstructure_as_read` keeps the letter's words.
    price_usd, price_per_sf, price_per_beam, price_per_lb : at least one is given; all in dollars of the day the work is
        delivered. beams : beams in all; weight_lb : weight the price by the pound is for.
    scope : members of `SCOPE_PARTS`. scope_unclear : words of the letter that name no part.
    clear_width_ft : between curbs or rails; clear_width_adds_ft : what both sides together add to the out-to-out width.
    fob : "plant" where the price leaves the works without freight, "site" where it includes it.
    own_forces_usd : what the owner's crew adds, for the parts in own_forces_scope.
    own_figures : the engineer's own cost in dollars of a part or a work category the letter leaves out.
    estimate_usd : the owner's estimate for the same work. deck_area_sf : stated where length and width are not.
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
    price_per_beam: Decimal | None = None
    beams: int | None = None
    price_per_lb: Decimal | None = None
    weight_lb: float | None = None
    valid_until: dt.date | None = None
    fob: str | None = None
    clear_width_ft: float | None = None
    clear_width_adds_ft: float | None = None
    own_forces_usd: Decimal | None = None
    own_forces_scope: tuple[str, ...] = ()
    own_figures: tuple[tuple[str, Decimal], ...] = ()
    scope_unclear: tuple[str, ...] = ()
    estimate_usd: Decimal | None = None
    deck_area_sf: float | None = None

    def __post_init__(self) -> None:
        if all(getattr(self, name) is None for name in PRICES):
            raise BadValue(
                "the proposal states no price", where=self.place, do="Give price_usd (lump sum) or price_per_sf."
            )
        for name in PRICES:
            price = getattr(self, name)
            if price is not None and price <= 0:
                raise BadValue(f"{name} is {price}", where=self.place, do="Give a price above zero.")
        for name, counted in _COUNTED.items():
            if getattr(self, name) is not None and not getattr(self, counted):
                raise BadValue(f"{name} is given without {counted}", where=self.place, do=f"Give {counted} too.")
        unknown = [part for part in (*self.scope, *self.own_forces_scope) if part not in SCOPE_PARTS]
        if unknown:
            raise BadValue(
                f"unknown scope {', '.join(unknown)}", where=self.place, do=f"Use any of: {', '.join(SCOPE_PARTS)}."
            )

    def lump_sums(self, deck_area_sf: float) -> dict[str, float]:
        """Every price the letter states as dollars for the whole, by its name; the one that governs first."""
        times = {"price_usd": 1.0, "price_per_beam": float(self.beams or 0), "price_per_lb": self.weight_lb or 0.0}
        return {
            name: float(getattr(self, name)) * times.get(name, deck_area_sf)
            for name in PRICES
            if getattr(self, name) is not None
        }

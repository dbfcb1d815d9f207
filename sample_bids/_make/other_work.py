"""Everything in a contract that is not superstructure: substructure, channel, removal, road, and general items."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

from _make import truth
from _make.chance import Chance
from _make.county import Bridge
from _make.money import quantity, round_price
from _make.plan import Contract
from _make.superstructures import SUBSTRUCTURE_BARS_LB_PER_CY, area_sf, width_ft

#: Low unit prices in dollars of 2012Q1, before the year's index and the job's own luck.
_PRICE_2012 = {
    "traffic": 8_500, "barricade": 95, "staking": 4_800, "silt_fence": 2.60, "seeding": 3_400, "time": 900,
    "removal": 21_000, "structure_excavation": 15, "backfill": 27, "riprap": 36, "geotextile": 2.40, "pile": 38,
    "pile_point": 105, "cofferdam": 19_000, "substructure_concrete": 430, "substructure_bars": 0.98,
    "approach_slab": 88, "aggregate": 15.5, "hma": 78, "embankment": 9.5, "guardrail": 19, "guardrail_end": 1_650,
    "milling": 1.9, "hma_surface": 71, "culvert": 905, "barrier": 78,
}  # fmt: skip
_INDEX_2012Q1 = truth.INDEX.at("2012Q1")


@dataclass(frozen=True, slots=True)
class Work:
    """One line of other work at the low bidder's price."""

    key: str
    quantity: Decimal
    price: Decimal


def low_price(key: str, contract: Contract, chance: Chance, size: float = 1.0) -> Decimal:
    """The low bidder's price: the 2012 price carried by the index, times size (lump sums) and luck."""
    carried = _PRICE_2012[key] * truth.index_at(contract.letting_date) / _INDEX_2012Q1
    return round_price(carried * size * math.exp(chance.normal(0, 0.11)))


def substructure(bridge: Bridge, contract: Contract, chance: Chance) -> list[Work]:
    """Removal, excavation, piles, abutments, piers and riprap of one bridge."""
    across, piers = width_ft(bridge) / 28, bridge.spans - 1
    concrete = quantity(across * (2 * chance.uniform(24, 36) + piers * chance.uniform(17, 24)), 1)
    piles = 2 * round(width_ft(bridge) / 4.6) + piers * round(width_ft(bridge) / 5)
    wanted: list[tuple[str, Decimal, float]] = [
        ("removal", Decimal(1), (area_sf(bridge) / 1600) ** 0.6),
        ("structure_excavation", quantity(across * chance.uniform(110, 240) * (1 + 0.3 * piers)), 1),
        ("backfill", quantity(across * chance.uniform(90, 170)), 1),
        ("pile", quantity(piles * chance.uniform(32, 58)), 1),
        ("pile_point", quantity(piles), 1),
        ("substructure_concrete", concrete, 1),
        ("substructure_bars", quantity(float(concrete) * SUBSTRUCTURE_BARS_LB_PER_CY), 1),
    ]
    if piers and chance.yes(0.6):
        wanted.append(("cofferdam", Decimal(1), across * piers))
    tons = chance.uniform(140, 420)
    wanted += [("riprap", quantity(tons), 1), ("geotextile", quantity(tons * 0.8), 1)]
    return [Work(key, amount, low_price(key, contract, chance, size)) for key, amount, size in wanted]


def road(contract: Contract, chance: Chance) -> list[Work]:
    """Approaches; more of them where the contract has a road schedule."""
    reach = chance.uniform(1.6, 3.0) if contract.road_schedule else 1.0
    across = max((width_ft(bridge) / 28 for bridge in contract.bridges), default=0.9)
    wanted = [
        ("embankment", quantity(reach * chance.uniform(150, 500)), 1.0),
        ("aggregate", quantity(reach * across * chance.uniform(180, 380)), 1.0),
        ("hma", quantity(reach * across * chance.uniform(70, 150)), 1.0),
        ("guardrail", quantity(12.5 * round(reach * chance.uniform(12, 24)), 1), 1.0),
        ("guardrail_end", Decimal(4), 1.0),
    ]
    if contract.bridges and chance.yes(0.45):
        wanted.append(("approach_slab", quantity(2 * across * chance.uniform(50, 66)), 1.0))
    return [Work(key, amount, low_price(key, contract, chance, size)) for key, amount, size in wanted]


def general(contract: Contract, chance: Chance) -> list[Work]:
    """Traffic, staking and erosion control; mobilization is added when the rest is known."""
    wanted = [
        ("traffic", Decimal(1), chance.uniform(0.7, 1.6)),
        ("barricade", quantity(chance.whole(6, 14)), 1.0),
        ("staking", Decimal(1), chance.uniform(0.8, 1.3)),
        ("silt_fence", quantity(10 * chance.whole(35, 110)), 1.0),
        ("seeding", Decimal(1), chance.uniform(0.7, 1.5)),
    ]
    if contract.has("time bid"):
        wanted.append(("time", Decimal(75), 1.0))
    return [Work(key, amount, low_price(key, contract, chance, size)) for key, amount, size in wanted]


def resurfacing(contract: Contract, chance: Chance) -> list[Work]:
    wanted = [("milling", quantity(18_400)), ("hma_surface", quantity(2_150)), ("aggregate", quantity(640))]
    return [Work(key, amount, low_price(key, contract, chance)) for key, amount in wanted]


def culvert(contract: Contract, chance: Chance) -> list[Work]:
    wanted = [
        ("removal", Decimal(1)), ("culvert", quantity(58)), ("structure_excavation", quantity(310)),
        ("backfill", quantity(265)), ("riprap", quantity(120)),
    ]  # fmt: skip
    return [Work(key, amount, low_price(key, contract, chance)) for key, amount in wanted]


def alternate(contract: Contract, chance: Chance) -> list[Work]:
    """Alternate 1 of one contract: a concrete parapet in place of the steel railing, and a longer overlay."""
    bridge = contract.bridges[0]
    wanted = [("barrier", quantity(2 * bridge.length_ft + 4, 1)), ("hma", quantity(85))]
    return [Work(key, amount, low_price(key, contract, chance)) for key, amount in wanted]

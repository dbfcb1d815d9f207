"""What each superstructure type is made of: pay items, quantities, and the share of the dollars each takes."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from _make.chance import Chance
from _make.county import Bridge
from _make.money import quantity

#: Pounds of bars in a cubic yard: a deck holds 2.2 times what an abutment does (measured on public low bids elsewhere).
SUBSTRUCTURE_BARS_LB_PER_CY = 92.0
DECK_BARS_LB_PER_CY = 2.2 * SUBSTRUCTURE_BARS_LB_PER_CY
#: The line that takes the odd cents, so that a bid adds up to the wanted dollars: the first of these that is there.
BALANCING = ("bearings", "form_finish", "stringers")


@dataclass(frozen=True, slots=True)
class Part:
    """One superstructure line: pay item, bid quantity, and its share of the superstructure dollars before scaling."""

    key: str
    quantity: Decimal
    share: float


def parts(bridge: Bridge, chance: Chance) -> list[Part]:
    """The superstructure's lines, shares jittered and summing to 1."""
    made = _RECIPES[bridge.superstructure](bridge, chance)
    jittered = [Part(p.key, p.quantity, p.share * math.exp(chance.normal(0, 0.10))) for p in made]
    total = sum(part.share for part in jittered)
    return [Part(p.key, p.quantity, p.share / total) for p in jittered]


def width_ft(bridge: Bridge) -> float:
    return bridge.width_in / 12


def area_sf(bridge: Bridge) -> float:
    """Deck area: structure length times out-to-out width."""
    return bridge.length_ft * width_ft(bridge)


def _deck(bridge: Bridge, share: float) -> list[Part]:
    concrete = quantity(area_sf(bridge) * 8 / 12 / 27 * 1.14, 1)
    bars = quantity(float(concrete) * DECK_BARS_LB_PER_CY)
    return [Part("deck_concrete", concrete, 0.70 * share), Part("deck_bars", bars, 0.30 * share)]


def _railing(bridge: Bridge, chance: Chance, share: float) -> Part:
    return Part(chance.pick(("railing", "railing", "barrier")), quantity(2 * bridge.length_ft + 4, 1), share)


def _joints(bridge: Bridge, chance: Chance, share: float) -> list[Part]:
    """Short single spans are built without joints."""
    if bridge.spans == 1 and not (bridge.span_ft > 70 and chance.yes(0.7)):
        return []
    across = 2 * width_ft(bridge) / math.cos(math.radians(bridge.skew_deg))
    return [Part("joint", quantity(across, 1), share)]


def _sealer(bridge: Bridge, chance: Chance, share: float) -> list[Part]:
    roadway_sy = bridge.length_ft * (width_ft(bridge) - 3) / 9
    return [Part("sealer", quantity(roadway_sy), share)] if chance.yes(0.75) else []


def _rolled(bridge: Bridge, chance: Chance) -> list[Part]:
    lines = round(width_ft(bridge) / 6.2)
    pounds = quantity(round(area_sf(bridge) * (15 + 0.14 * bridge.span_ft), -1))
    billed = chance.pick(("one line", "furnish and erect", "one line", "lump"))
    if billed == "lump":
        steel = [Part("rolled_beams_lump", Decimal(1), 0.56)]
    elif billed == "one line":
        steel = [
            Part("rolled_beams", pounds, 0.55),
            Part("shear_studs", quantity(lines * bridge.length_ft * 1.6), 0.012),
        ]
    else:
        steel = [Part("rolled_beams_furnish", pounds, 0.46), Part("steel_erect", Decimal(1), 0.095)]
    return [
        *steel,
        Part("bearings", quantity(2 * lines * bridge.spans), 0.035),
        *_deck(bridge, 0.235),
        _railing(bridge, chance, 0.125),
        *_joints(bridge, chance, 0.030),
        *_sealer(bridge, chance, 0.022),
        *([Part("deck_drains", quantity(2 * bridge.spans), 0.012)] if bridge.spans > 1 else []),
    ]


def _plate(bridge: Bridge, chance: Chance) -> list[Part]:
    lines = round(width_ft(bridge) / 8)
    pounds = quantity(round(area_sf(bridge) * (14 + 0.16 * bridge.span_ft), -1))
    return [
        Part("plate_girders", pounds, 0.50),
        Part("steel_erect", Decimal(1), 0.10),
        Part("shear_studs", quantity(lines * bridge.length_ft * 1.5), 0.012),
        Part("bearings", quantity(lines * (bridge.spans + 1)), 0.035),
        *_deck(bridge, 0.22),
        _railing(bridge, chance, 0.085),
        Part("joint", quantity(2 * width_ft(bridge), 1), 0.035),
        Part("deck_drains", quantity(4), 0.008),
    ]


def _boxes(bridge: Bridge, chance: Chance) -> list[Part]:
    lines = round(width_ft(bridge) / 3)
    feet = quantity(lines * bridge.length_ft, 1)
    if chance.yes(0.35):
        beams = [Part("box_beams_area", quantity(area_sf(bridge)), 0.62)]
    else:
        beams = [Part("box_beams", feet, 0.51), Part("box_beams_erect", feet, 0.10)]
    roadway_sy = quantity(bridge.length_ft * (width_ft(bridge) - 3) / 9)
    if chance.yes(0.5):
        top = [Part("membrane", roadway_sy, 0.045), Part("overlay", roadway_sy, 0.065)]
    else:
        slab = quantity(area_sf(bridge) * 5.5 / 12 / 27, 1)
        bars = quantity(float(slab) * DECK_BARS_LB_PER_CY)
        top = [Part("deck_concrete", slab, 0.12), Part("deck_bars", bars, 0.05)]
    return [
        *beams,
        Part("post_tensioning", Decimal(1), 0.022),
        Part("bearings", quantity(2 * lines * bridge.spans), 0.030),
        *top,
        _railing(bridge, chance, 0.13),
        *_joints(bridge, chance, 0.03),
    ]


def _slab(bridge: Bridge, chance: Chance) -> list[Part]:
    thickness_ft = 0.75 + bridge.span_ft / 40
    concrete = quantity(area_sf(bridge) * thickness_ft / 27, 1)
    return [
        Part("slab_concrete", concrete, 0.47),
        Part("form_finish", Decimal(1), 0.13),
        Part("deck_bars", quantity(float(concrete) * DECK_BARS_LB_PER_CY), 0.235),
        _railing(bridge, chance, 0.15),
        *_sealer(bridge, chance, 0.022),
    ]


def _i_beams(bridge: Bridge, chance: Chance) -> list[Part]:
    lines = round(width_ft(bridge) / 7.2)
    return [
        Part("i_beams", quantity(lines * bridge.length_ft, 1), 0.40),
        Part("i_beams_erect", quantity(lines * bridge.spans), 0.085),
        Part("diaphragms", quantity((lines - 1) * 3 * bridge.spans), 0.025),
        Part("bearings", quantity(2 * lines * bridge.spans), 0.035),
        *_deck(bridge, 0.275),
        _railing(bridge, chance, 0.115),
        *_joints(bridge, chance, 0.035),
        *_sealer(bridge, chance, 0.015),
    ]


def _timber(bridge: Bridge, chance: Chance) -> list[Part]:
    return [
        Part("stringers", quantity(area_sf(bridge) * (0.006 + 0.00012 * bridge.span_ft), 2), 0.44),
        Part("timber_deck", quantity(area_sf(bridge)), 0.33),
        Part("timber_railing", quantity(2 * bridge.length_ft + 4, 1), 0.14),
        Part("overlay", quantity(bridge.length_ft * (width_ft(bridge) - 2) / 9), 0.09),
    ]


_RECIPES: dict[str, Callable[[Bridge, Chance], list[Part]]] = {
    "rolled steel beam": _rolled,
    "steel plate girder": _plate,
    "adjacent box beam": _boxes,
    "concrete slab": _slab,
    "prestressed I-beam": _i_beams,
    "timber": _timber,
}

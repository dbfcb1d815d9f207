"""The firms that bid in the county, named after birds, trees and minerals, and how each file spells them."""

from __future__ import annotations

from _make.chance import Chance

#: Firm and how often it bids.
FIRMS: dict[str, int] = {
    "Lapwing Bridge Builders, Inc.": 8,
    "Whimbrel Structures LLC": 7,
    "Hornbeam & Sons Contracting": 7,
    "Feldspar Heavy Works Co.": 6,
    "Corncrake Constructors, Inc.": 5,
    "Sphalerite Bridge Co.": 5,
    "Wych Elm Contracting LLC": 4,
    "Dunnock Brothers, Inc.": 4,
    "Chalcedony Civil Works": 3,
    "Medlar Bridge & Road Co.": 3,
    "Garganey Construction LLC": 2,
    "Hoopoe Structures, Inc.": 2,
    "Rhodonite Contractors": 2,
    "Sorb Tree Bridge Co.": 1,
}
SUPPLIERS = ("Harrier Steel Works", "Gadwall Precast Co.", "Wollastonite Tub Girders", "Whitebeam Bridge Supply")
ESTIMATE = "Engineer's Estimate"


def firms_for(count: int, chance: Chance) -> list[str]:
    """Different firms, the frequent ones oftener."""
    pool = [firm for firm, weight in FIRMS.items() for _ in range(weight)]
    chosen: list[str] = []
    while len(chosen) < count:
        firm = chance.pick(pool)
        if firm not in chosen:
            chosen.append(firm)
    return chosen


def spelled(firm: str, layout: str) -> str:
    """The firm as a file of this layout spells it: the same firm drifts from file to file, as in life."""
    if layout == "book":
        return firm.upper().replace(",", "").replace(".", "")
    if layout == "money":
        return firm.replace(", Inc.", " Inc").replace("Co.", "Company").replace(" & ", " and ")
    if layout == "ansi":
        return firm.replace("LLC", "L.L.C.")
    return firm

"""The firms that bid in the county, named after birds, trees and minerals, and how each file spells them."""

from __future__ import annotations

from _make.chance import Chance

#: Firm, how often it bids, and its town.
FIRMS: dict[str, tuple[int, str]] = {
    "Lapwing Bridge Builders, Inc.": (8, "Ostrake"),
    "Whimbrel Structures LLC": (7, "Hexley"),
    "Hornbeam & Sons Contracting": (7, "Corvane"),
    "Feldspar Heavy Works Co.": (6, "Tollhurst"),
    "Corncrake Constructors, Inc.": (5, "Ostrake"),
    "Sphalerite Bridge Co.": (5, "Varrow"),
    "Wych Elm Contracting LLC": (4, "Ashlode"),
    "Dunnock Brothers, Inc.": (4, "Kelderby"),
    "Chalcedony Civil Works": (3, "Hexley"),
    "Medlar Bridge & Road Co.": (3, "Mossgate"),
    "Garganey Construction LLC": (2, "Varrow"),
    "Hoopoe Structures, Inc.": (2, "Ploverend"),
    "Rhodonite Contractors": (2, "Tollhurst"),
    "Sorb Tree Bridge Co.": (1, "Brickfall"),
}
SUPPLIERS = ("Harrier Steel Works", "Gadwall Precast Co.", "Wollastonite Tub Girders", "Whitebeam Bridge Supply")
ESTIMATE = "Engineer's Estimate"


def firms_for(count: int, chance: Chance) -> list[str]:
    """Different firms, the frequent ones oftener."""
    pool = [firm for firm, (weight, _) in FIRMS.items() for _ in range(weight)]
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

"""Larkmoor County's names and its inventory of bridges. All invented; no place, stream, road or firm is meant."""

from __future__ import annotations

from dataclasses import dataclass

from _make.chance import Chance

COUNTY = "Larkmoor County"
FIRST_NUMBER, BRIDGES = 101, 400

STREAMS = (
    "Quillfen Creek", "Dorrowby Run", "Thistlemere Ditch", "Ostrake Brook", "Pellan Fork", "Wendry Creek",
    "Skarnle Run", "Hebbin Slough", "Tarrock Branch", "Gawsel Creek", "Mirrowdale Drain", "Pennywort Creek",
    "Ulmsey Brook", "Cattlefrith Run", "Bracksedge Creek", "Yarndle Fork", "Fothering Drain", "Lissom Brook",
)  # fmt: skip
ROADS = (
    "Corvane Road", "Brickfall Road", "Ninebark Lane", "Ostrake Road", "Mossgate Road", "Dunnockfield Road",
    "Old Tollhurst Road", "Hexley Lane", "Varrow Road", "Sandmartin Road", "Greywether Road", "Ploverend Road",
    "Ashlode Road", "Tanners Reach", "Wrenthwaite Road", "Kelderby Road",
)  # fmt: skip

#: Firms are named after birds, trees and minerals; tests hold the names against this list.
NAMESAKES = (
    "Lapwing", "Whimbrel", "Hornbeam", "Feldspar", "Corncrake", "Sphalerite", "Wych Elm", "Dunnock", "Chalcedony",
    "Medlar", "Garganey", "Hoopoe", "Rhodonite", "Sorb Tree", "Harrier", "Gadwall", "Wollastonite", "Whitebeam",
)  # fmt: skip

#: Inventory types as the county writes them, with the years they were built in and how often they are met.
OLD_TYPES = (
    ("timber", 1938, 1988, 15),
    ("rolled steel beam", 1928, 1998, 27),
    ("concrete slab", 1925, 2008, 24),
    ("adjacent box beam", 1958, 2011, 18),
    ("prestressed I-beam", 1964, 2020, 7),
    ("concrete tee beam", 1926, 1962, 6),
    ("truss", 1925, 1941, 2),
    ("steel plate girder", 1955, 1990, 1),
)
_SPANS = {
    "timber": (16, 30), "rolled steel beam": (22, 72), "concrete slab": (16, 38), "adjacent box beam": (26, 78),
    "prestressed I-beam": (45, 105), "concrete tee beam": (24, 44), "truss": (70, 118), "steel plate girder": (80, 120),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Bridge:
    """A bridge of the inventory as it stands. Feet; width is out to out in inches so that 24'-8" is exact."""

    structure_id: str
    name: str
    superstructure: str
    length_ft: float
    width_in: int
    spans: int
    span_ft: float
    skew_deg: int
    year_built: int

    @property
    def width(self) -> str:
        return feet_and_inches(self.width_in)


def feet_and_inches(inches: int) -> str:
    """28'-0" style."""
    return f"{inches // 12}'-{inches % 12}\""


def _old_bridge(number: int) -> Bridge:
    chance = Chance("bridge", number)
    kinds = [kind for kind in OLD_TYPES for _ in range(kind[3])]
    superstructure, first, last, _ = chance.pick(kinds)
    low, high = _SPANS[superstructure]
    span = round(low * (high / low) ** chance.uniform(0, 1))
    spans = 1 if superstructure == "truss" else chance.pick((1, 1, 1, 1, 1, 2, 3))
    width_in = 12 * chance.pick((18, 20, 22, 24, 24, 26, 28)) + chance.pick((0, 0, 0, 4, 6))
    return Bridge(
        structure_id=f"K-{number}",
        name=f"{chance.pick(ROADS)} over {chance.pick(STREAMS)}",
        superstructure=superstructure,
        length_ft=spans * span + chance.pick((0.0, 1.0, 1.5, 2.0)),
        width_in=width_in,
        spans=spans,
        span_ft=float(span),
        skew_deg=chance.pick((0, 0, 0, 0, 10, 15, 20, 30, 45)),
        year_built=chance.whole(first, last),
    )


def inventory() -> dict[str, Bridge]:
    """All bridges by number, before any is replaced. K-117 is the worn-out timber bridge of the lead example."""
    bridges = {f"K-{number}": _old_bridge(number) for number in range(FIRST_NUMBER, FIRST_NUMBER + BRIDGES)}
    bridges["K-117"] = Bridge(
        "K-117", "Brickfall Road over Pennywort Creek", "timber", 57.0, 20 * 12 + 4, 3, 19.0, 0, 1961
    )
    return bridges

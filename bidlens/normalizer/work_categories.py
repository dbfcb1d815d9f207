"""The names of the work categories and what each pays for."""

from __future__ import annotations

from bidlens.errors import BadValue

#: Every work category and what it pays for, in the order of a bridge estimate.
CATEGORY_MEANINGS: dict[str, str] = {
    "beams": "girders of any material furnished and set, with diaphragms, shear studs and post-tensioning",
    "bearings": "bearing pads and devices, sole and masonry plates, their repair",
    "deck": "superstructure concrete, its forming and reinforcement, deck panels, closure pours, deck drains",
    "railing": "parapet, barrier, railing and fence on the bridge, and its concrete end transition",
    "wearing_surface": "overlay, membrane, grooving, penetrating sealer of the deck",
    "expansion_joints": "expansion joints of the bridge, their seals, headers and cover plates",
    "substructure": "abutments, piers, wing walls and footings, their reinforcement and repair",
    "foundation": "piles, shafts, micropiles, cofferdams, tremie seals, permanent sheet piling",
    "structure_excavation": "excavation and backfill for the structure, drains behind it, temporary shoring",
    "removal": "removal of the old bridge or of parts of it",
    "channel": "riprap, slope paving, excavation of the waterway, stream bypass",
    "approach": "approach slab and everything of the road, with its drainage and guardrail",
    "mobilization": "mobilization and demobilization of the contract",
    "traffic": "traffic control, temporary roads and bridges, signs, signals, markings",
    "erosion_control": "silt fence, stormwater, topsoil, seed, planting",
    "utilities": "conduit, lighting, water, sanitary sewer, gas, communications",
    "other": "layout, field office, railroad, walls, culverts, finishes, incentives, time bids",
    "reinforcement_unsplit": "reinforcement that serves super- and substructure alike, split by concrete volume",
    "unclassified": "no rule matched; its dollars are shown, never dropped",
}
WORK_CATEGORIES: tuple[str, ...] = tuple(CATEGORY_MEANINGS)
UNCLASSIFIED = "unclassified"


def check_category(work_category: str) -> None:
    """Raise BadValue unless an item may be placed in this work category by a rule or by hand."""
    if work_category not in WORK_CATEGORIES or work_category == UNCLASSIFIED:
        raise BadValue(
            f"no work category is called “{work_category}”",
            do=f"Use one of {', '.join(name for name in WORK_CATEGORIES if name != UNCLASSIFIED)}.",
        )

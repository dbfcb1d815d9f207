"""The bridge an offer is for: the letter's own geometry first, else the structure list's."""

from __future__ import annotations

import math
from dataclasses import dataclass

import pandas as pd

from bidlens import wording
from bidlens.errors import BadValue
from bidlens.findings import Finding
from bidlens.normalizer import deck_area_sf
from bidlens.proposal.offer import Proposal
from bidlens.proposal.width import along_the_skew, out_to_out

#: Letter and structure list may part by this much before it is worth a look. Common practice, no source.
DIFFERENCE_LIMIT = 0.02


@dataclass(frozen=True, slots=True)
class OfferGeometry:
    """Deck area, and length, width, span and skew where known (NaN where not). Feet, square feet, degrees.

    span_ft : longest span; length over number of spans where nobody states it.
    """

    deck_area_sf: float
    length_ft: float
    width_ft: float
    spans: int
    span_ft: float
    skew_deg: float
    findings: tuple[Finding, ...]


def offer_geometry(proposal: Proposal, structure: pd.Series | None) -> OfferGeometry:
    """Geometry of the bridge an offer is for.

    structure : its row of the structure list, or None where the letter names none.
    Raises BadValue where neither gives a deck area, saying what to add.
    """
    findings: list[Finding] = []
    length = _first(proposal.length_ft, structure, "length_ft")
    width, of_width = out_to_out(proposal, structure)
    findings += of_width
    listed_area = _listed(structure, "deck_area_sf")
    if math.isfinite(length) and math.isfinite(width):
        area = deck_area_sf(length, width)
    elif proposal.deck_area_sf or listed_area > 0:
        area = float(proposal.deck_area_sf or listed_area)
        width = width if math.isfinite(width) else area / length
    else:
        raise _no_area(proposal, length)
    spans = int(_first(proposal.spans, structure, "spans", 1))
    findings += [] if of_width else _where_from(proposal, structure, area)
    findings += along_the_skew(proposal, structure)
    findings += _spans_assumed(proposal, structure)
    return OfferGeometry(
        deck_area_sf=area,
        length_ft=length,
        width_ft=width,
        spans=spans,
        span_ft=_span(proposal, structure, length, spans),
        skew_deg=_first(proposal.skew_deg, structure, "skew_deg"),
        findings=tuple(findings),
    )


def _listed(structure: pd.Series | None, name: str) -> float:
    """A number of the structure list; NaN where it has none."""
    if structure is None or name not in structure or pd.isna(structure[name]):
        return math.nan
    return float(structure[name])


def _first(stated: float | None, structure: pd.Series | None, name: str, otherwise: float = math.nan) -> float:
    """The letter's value, else the list's, else `otherwise`."""
    if stated is not None:
        return float(stated)
    listed = _listed(structure, name)
    return listed if math.isfinite(listed) else otherwise


def _span(proposal: Proposal, structure: pd.Series | None, length: float, spans: int) -> float:
    """Longest span: the letter's; the list's, if the bridge keeps the list's length; else length over spans."""
    if proposal.span_ft is not None:
        return float(proposal.span_ft)
    listed = _listed(structure, "span_ft")
    if proposal.length_ft is None and math.isfinite(listed):
        return listed
    return length / spans


def _no_area(proposal: Proposal, length: float) -> BadValue:
    missing = "out-to-out width" if math.isfinite(length) else "length"
    named = f"structure {proposal.structure} on the structure list has none either" if proposal.structure else ""
    return BadValue(
        f"the proposal of {proposal.supplier} states no {missing}" + (f", and {named}" if named else ""),
        where=proposal.place,
        do="Give length and out-to-out width (not the clear roadway), or name a structure of the list that has them.",
    )


def _where_from(proposal: Proposal, structure: pd.Series | None, area: float) -> list[Finding]:
    """Say which numbers are the list's, and where letter and list part."""
    names = {"length": proposal.length_ft, "out-to-out width": proposal.width_ft}
    from_list = [name for name, stated in names.items() if stated is None]
    if structure is not None and from_list:
        return [
            Finding(
                "geometry_from_list",
                "note",
                f"The {' and '.join(from_list)} of {proposal.structure} are from the structure list; "
                "the letter does not state them.",
            )
        ]
    listed = _listed(structure, "length_ft") * _listed(structure, "width_ft")
    if math.isfinite(listed) and abs(area / listed - 1) > DIFFERENCE_LIMIT:
        return [
            Finding(
                "geometry_differs",
                "note",
                f"The letter's length and width give {wording.number(area)} sf of deck; the bridge on the structure "
                f"list has {wording.number(listed)} sf. The letter's were used.",
                "If the new bridge keeps the old size, ask whether the letter means span and clear roadway.",
            )
        ]
    return []


def _spans_assumed(proposal: Proposal, structure: pd.Series | None) -> list[Finding]:
    """Say where a span had to be worked out."""
    if proposal.span_ft is not None or (proposal.length_ft is None and _listed(structure, "span_ft") > 0):
        return []
    known = proposal.spans is not None or math.isfinite(_listed(structure, "spans"))
    if not known:
        text = "Neither letter nor structure list gives a number of spans; one span over the whole length is assumed."
        return [Finding("spans_not_stated", "check", text, "State spans, or the longest span.")]
    spans = int(_first(proposal.spans, structure, "spans", 1))
    if spans > 1:
        text = f"The longest span is not stated; {spans} equal spans are assumed."
        return [Finding("span_assumed", "note", text, "State the longest span.")]
    return []

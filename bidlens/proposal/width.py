"""Deck width out to out, where a letter gives the clear width between curbs, or measures along the skew."""

from __future__ import annotations

import math

import pandas as pd

from bidlens.findings import Finding
from bidlens.lengths import shown_feet_inches
from bidlens.proposal.offer import Proposal

#: A skew from which a width taken along it is told from one square to the roadway, and how near it must come.
LEAST_SKEW_DEG, NEAR = 10.0, 0.01


def out_to_out(proposal: Proposal, structure: pd.Series | None) -> tuple[float, list[Finding]]:
    """Width out to out: the letter's; its clear width and what the letter says the sides add; the list's; the clear.

    structure : its row of the structure list, or None. NaN where nobody states a width.
    """
    listed = _listed(structure)
    clear, adds = proposal.clear_width_ft, proposal.clear_width_adds_ft
    if proposal.width_ft is not None or clear is None:
        return (proposal.width_ft if proposal.width_ft is not None else listed), []
    clear_words = shown_feet_inches(clear)
    if adds is not None:
        text = (
            f"The letter gives a clear width of {clear_words} and says that the sides add {shown_feet_inches(adds)}; "
            f"{shown_feet_inches(clear + adds)} out to out was used."
        )
        return clear + adds, [Finding("clear_width_converted", "note", text)]
    do = f"Ask {proposal.supplier} for the out-to-out width, or give clear_width_adds: what both sides add."
    if math.isfinite(listed):
        text = (
            f"The letter gives a clear width of {clear_words} and not what the curbs or rails add; the structure "
            f"list's {shown_feet_inches(listed)} out to out was used."
        )
        return listed, [Finding("clear_width_not_converted", "check", text, do)]
    text = (
        f"The letter gives a clear width of {clear_words} and not what the curbs or rails add; it was used as it "
        "stands, so the price per square foot is too high by their share of the deck."
    )
    return clear, [Finding("clear_width_not_converted", "check", text, do)]


def along_the_skew(proposal: Proposal, structure: pd.Series | None) -> list[Finding]:
    """A letter whose width is the list's over the cosine of the skew: it was measured along the skewed end.

    Length along the centerline times width square to it is the deck's area at any skew.
    """
    skew, listed, width = proposal.skew_deg, _listed(structure), proposal.width_ft
    if skew is None and structure is not None and "skew_deg" in structure and pd.notna(structure["skew_deg"]):
        skew = float(structure["skew_deg"])
    if skew is None or width is None or skew < LEAST_SKEW_DEG or skew > 80 or not math.isfinite(listed):
        return []
    along = listed / math.cos(math.radians(skew))
    if abs(width / along - 1) > NEAR or abs(width / listed - 1) <= NEAR:
        return []
    text = (
        f"The letter's width of {shown_feet_inches(width)} is the structure list's {shown_feet_inches(listed)} "
        f"measured along the skew; a deck area from it is {100 * (along / listed - 1):.1f}% too large."
    )
    do = "Give the width square to the roadway; with length along the centerline it is the area at any skew."
    return [Finding("width_along_skew", "check", text, do)]


def _listed(structure: pd.Series | None) -> float:
    if structure is None or "width_ft" not in structure or pd.isna(structure["width_ft"]):
        return math.nan
    return float(structure["width_ft"])

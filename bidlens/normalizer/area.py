"""Deck area: structure length times out-to-out width, with no skew correction."""

from __future__ import annotations

import math

import pandas as pd

from bidlens.errors import BadValue


def deck_area_sf(length_ft: float, width_ft: float) -> float:
    """Deck area in square feet of one structure.

    length_ft : structure length along the centreline, end to end; not the span between bearings.
    width_ft : out-to-out width, square to the centreline; not the clear roadway. Centreline length times square width
        is already the area of a skewed deck, so no cosine is applied.
    Source: 23 CFR 490.411 (deck area is NBI item 49 times item 52).

    Raises BadValue if either is missing or not above zero.
    """
    for name, value in (("length", length_ft), ("out-to-out width", width_ft)):
        if not math.isfinite(value) or value <= 0:
            raise BadValue(f"a {name} of {value} ft gives no deck area", do=f"Give the {name} in feet, above zero.")
    return length_ft * width_ft


def known_deck_area_sf(structures: pd.DataFrame) -> pd.Series:
    """Deck area of each structure: as stated, else length times width; NaN where neither is known. n rows."""
    stated = structures["deck_area_sf"].astype("float64")
    length, width = structures["length_ft"].astype("float64"), structures["width_ft"].astype("float64")
    measured = (length * width).where((length > 0) & (width > 0))
    return stated.where(stated > 0).fillna(measured)

"""The closest past contracts, each brought to the offered bridge in the open: dollars first, then span and size."""

from __future__ import annotations

import numpy as np
import pandas as pd

from bidlens.model import CostModel
from bidlens.normalizer import marks_by_hand

COMPARABLE_COLUMNS = (
    "contract_id", "structure_id", "name", "letting_date", "superstructure", "span_ft", "deck_area_sf", "low_bidder",
    "bidders", "unit_cost", "to_dollars", "to_geometry", "comparable", "offer_ratio", "source_file", "source_sheet",
    "source_row", "by_hand",
)  # fmt: skip
MOST = 6
#: Spans within a step of each other count as equally close: about 10 %.
_SPAN_STEP = 0.10


def closest_contracts(
    history: pd.DataFrame, row: pd.DataFrame, offer_per_sf: float, model: CostModel | None, most: int = MOST
) -> pd.DataFrame:
    """The `most` closest priced structures: same type first, then span, then deck area, then letting date.

    history : HISTORY rows. row : the offered bridge, one row with superstructure, span_ft, deck_area_sf, letting_date.
    offer_per_sf : like-for-like offer; NaN where it could not be made like for like.
    Returns COMPARABLE_COLUMNS: unit_cost as bid + to_dollars + to_geometry = comparable, all $/sf; offer_ratio is the
    offer over comparable less one; by_hand says what of the price was typed or linked by hand, else empty. Where a
    span is not known deck area alone says how close a bridge is. Without a model nothing is restated for geometry
    (NaN).
    """
    priced = history[history["unit_cost_adjusted"].notna()]
    offered = row.iloc[0]
    area_distance = _distance(priced["deck_area_sf"], offered["deck_area_sf"])
    span_distance = _distance(priced["span_ft"], offered["span_ft"]).fillna(area_distance)
    ranked = priced.assign(
        _other_type=priced["superstructure"] != offered["superstructure"],
        _span=np.floor(span_distance / _SPAN_STEP),
        _area=area_distance,
        _days=(priced["letting_date"] - offered["letting_date"]).abs(),
    )
    order = ["_other_type", "_span", "_area", "_days", "contract_id", "structure_id"]
    nearest = ranked.sort_values(order, kind="stable").head(most).reset_index(drop=True)
    return _restated(nearest, offered, offer_per_sf, model)[list(COMPARABLE_COLUMNS)]


def _distance(values: pd.Series, to: float) -> pd.Series:
    """|ln ratio|, NaN where either is not known."""
    return pd.Series(np.abs(np.log(values.astype("float64") / float(to))), index=values.index)


def _restated(nearest: pd.DataFrame, offered: pd.Series, offer_per_sf: float, model: CostModel | None) -> pd.DataFrame:
    adjusted = nearest["unit_cost_adjusted"]
    to_geometry = pd.Series(np.nan, index=nearest.index)
    if model is not None and len(nearest):
        to_geometry = adjusted * (model.geometry_ratio(nearest, offered) - 1)
    comparable = adjusted + to_geometry.fillna(0.0)
    return nearest.assign(
        to_dollars=adjusted - nearest["unit_cost"],
        to_geometry=to_geometry,
        comparable=comparable,
        offer_ratio=offer_per_sf / comparable - 1,
        by_hand=marks_by_hand(nearest),
    )

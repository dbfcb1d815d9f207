"""The frames of the normalizer: their columns, in order, and the type of each."""

from __future__ import annotations

import pandas as pd

from bidlens.normalizer import linking

_DATE, _NUMBER, _TEXT, _ROW = "datetime64[us]", "float64", "str", "Int64"

#: Columns of the history and their types; one row per structure and letting.
HISTORY_COLUMNS = {
    "contract_id": _TEXT, "structure_id": _TEXT, "name": _TEXT, "letting_date": _DATE, "superstructure": _TEXT,
    "deck_area_sf": _NUMBER, "length_ft": _NUMBER, "width_ft": _NUMBER, "spans": _NUMBER, "span_ft": _NUMBER,
    "skew_deg": _NUMBER, "bidders": _NUMBER, "low_bidder": _TEXT, "basis": _TEXT, "basis_usd": _NUMBER,
    "unit_cost": _NUMBER, "letting_quarter": _TEXT, "dollars_of": _TEXT, "index_ratio": _NUMBER,
    "unit_cost_adjusted": _NUMBER, "area_share": _NUMBER, "unclassified_usd": _NUMBER, "source_file": _TEXT,
    "source_sheet": _TEXT, "source_row": _ROW, "typed_usd": _NUMBER, "linked_by": _TEXT, "link_reason": _TEXT,
    "geometry_from": _TEXT,
}  # fmt: skip

#: Those that depend on the quarter whose dollars are asked for.
_RESTATED = ("letting_quarter", "dollars_of", "index_ratio", "unit_cost_adjusted")
#: Columns of prices as bid.
PRICE_COLUMNS = {name: kind for name, kind in HISTORY_COLUMNS.items() if name not in _RESTATED}

#: Columns of the costs by category; one row per structure, letting and work category.
CATEGORY_COST_COLUMNS = {
    "contract_id": _TEXT, "structure_id": _TEXT, "letting_date": _DATE, "superstructure": _TEXT,
    "work_category": _TEXT, "unit_cost": _NUMBER, "unit_cost_adjusted": _NUMBER,
}  # fmt: skip

LEFT_OUT_COLUMNS = dict.fromkeys(linking.LEFT_OUT_COLUMNS, _TEXT)

ITEM_COLUMNS = {
    "contract_id": _TEXT, "letting_date": _DATE, "schedule": _TEXT, "line": _TEXT, "item_code": _TEXT,
    "description": _TEXT, "pay_unit": _TEXT, "quantity": _NUMBER, "unit_price": _NUMBER, "extension": _NUMBER,
    "work_category": _TEXT, "category_rule": _TEXT, "alternate": "boolean", "source_file": _TEXT,
    "source_sheet": _TEXT, "source_row": _ROW, "by_hand": _TEXT,
}  # fmt: skip
LETTING_COLUMNS = {
    "contract_id": _TEXT, "letting_date": _DATE, "status": _TEXT, "bidders": _NUMBER, "low_bidder": _TEXT,
}  # fmt: skip
STRUCTURE_COLUMNS = {
    "structure_id": _TEXT, "contract_id": _TEXT, "letting_date": _DATE, "schedule": _TEXT, "name": _TEXT,
    "superstructure": _TEXT, "deck_area_sf": _NUMBER, "length_ft": _NUMBER, "width_ft": _NUMBER, "spans": _NUMBER,
    "span_ft": _NUMBER, "skew_deg": _NUMBER, "linked_by": _TEXT, "link_reason": _TEXT, "geometry_from": _TEXT,
}  # fmt: skip


def typed(frame: pd.DataFrame, columns: dict[str, str]) -> pd.DataFrame:
    """Those columns in those types, missing ones empty; a new row index from 0."""
    out = frame.reindex(columns=list(columns)).reset_index(drop=True)
    for name in (name for name, kind in columns.items() if kind == _DATE):
        out[name] = pd.to_datetime(out[name])
    return out.astype(columns)

"""How one price per square foot comes about: each factor in its place with its source, multiplying to the number."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from bidlens import quarters, wording
from bidlens.model.priors import REFERENCE_SPAN_FT
from bidlens.reference import CostIndex

#: Decimals at which the printed factors still multiply to the printed number.
_DECIMALS = {"USD": 2, "sf": 1, "$/sf": 2, "ratio": 4}
_AFTER = {"sf": " sf", "$/sf": "/sf"}


@dataclass(frozen=True, slots=True)
class Factor:
    """One step. sign : "", "÷", "×" or "=". unit : USD, sf, $/sf or ratio. source : where the value is from."""

    sign: str
    what: str
    value: float
    unit: str
    source: str

    @property
    def shown(self) -> str:
        """The value as printed."""
        number = wording.number(self.value, _DECIMALS[self.unit])
        return f"{'$' if self.unit in ('USD', '$/sf') else ''}{number}{_AFTER.get(self.unit, '')}"


def chain_of(
    row: Mapping[Any, Any], structure: Mapping[str, Any], index: CostIndex, lines: int, n_model: int | None
) -> list[Factor]:
    """The factors behind one row of the history: dollars, deck area, index, span.

    structure : its row on record. lines : lines of the low bid that the dollars are the sum of. n_model : structures
    the model is fitted to, None where there is none. Signs: start, then ÷ and ×; a line with “=” is where they lead to.
    """
    steps = [
        Factor("", f"dollars of the {row['basis']} basis", row["basis_usd"], "USD", _dollars(row, lines)),
        Factor("÷", "deck area", row["deck_area_sf"], "sf", _area(structure)),
        Factor("=", "as bid", row["unit_cost"], "$/sf", f"let {wording.day(row['letting_date'])}"),
        Factor("×", "cost index", row["index_ratio"], "ratio", _index(row, index)),
        Factor("=", "adjusted", row["unit_cost_adjusted"], "$/sf", f"dollars of {quarters.shown(row['dollars_of'])}"),
    ]
    at_reference = row.get("unit_cost_at_reference_span")
    if n_model and at_reference is not None and pd.notna(at_reference):
        ratio = at_reference / row["unit_cost_adjusted"]
        span = f"from {wording.number(row['span_ft'], 1)} ft to {REFERENCE_SPAN_FT:.0f} ft"
        fitted = f"{span}, as the model of {wording.count(n_model, 'structure')} on record has it"
        steps.append(Factor("×", "span", ratio, "ratio", fitted))
        steps.append(Factor("=", "at the reference span", at_reference, "$/sf", f"span of {REFERENCE_SPAN_FT:.0f} ft"))
    return steps


def _dollars(row: Mapping[Any, Any], lines: int) -> str:
    share = row.get("area_share", 1.0)
    part = f", {wording.number(share * 100, 1)}% of each by deck area" if share < 0.9995 else ""
    return f"sum of {wording.count(lines, 'line')} of the low bid{part}"


def _area(structure: Mapping[str, Any]) -> str:
    """What the file says of the area, and where the structure was read."""
    how = structure.get("area_from")
    how = str(how).replace(" x ", " × ") if how is not None and pd.notna(how) and how else "as stated"
    sides = [structure.get(name) for name in ("length_ft", "width_ft")]
    if all(side is not None and pd.notna(side) for side in sides):
        how += f" ({wording.number(float(sides[0]), 2)} ft × {wording.number(float(sides[1]), 2)} ft)"  # type: ignore[arg-type]
    place = [str(structure["source_file"])]
    if pd.notna(structure.get("source_row")):
        place.append(f"row {int(structure['source_row'])}")
    return f"{how}; {', '.join(place)}"


def _index(row: Mapping[Any, Any], index: CostIndex) -> str:
    if index.is_none:
        return "no cost index is used; prices stand as bid"
    let, base = row["letting_quarter"], row["dollars_of"]
    values = (
        f"{wording.number(index.at(base), 4)} in {quarters.shown(base)} over {wording.number(index.at(let), 4)} in "
    )
    forecast = index.forecast_from and quarters.position(let) >= quarters.position(index.forecast_from)
    return f"{values}{quarters.shown(let)}{' (forecast)' if forecast else ''}, {index.title}"

"""Forecasts kept and held against what was let: how often prices fell inside their ranges."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from bidlens import wording
from bidlens.program.plan import FIXED_COSTS, ProgramList

if TYPE_CHECKING:
    from bidlens.program.forecast import ProgramForecast

_LISTED = ["structure_id", "superstructure", "deck_area_sf", "span_ft", "skew_deg", "letting_date", *FIXED_COSTS]
_AMOUNTS = ("p10", "p50", "p80", "p90", "mean")
#: Bridges let before a hit rate says anything.
ENOUGH = 10
NOT_YET, LET_LATER = "not let yet", "let in a later year, not counted"


@dataclass(frozen=True, slots=True, eq=False)
class Held:
    """Forecasts kept against what was let.

    bridges : one row per bridge of each forecast: forecast_id, structure_id, superstructure, letting_date, p10 p50 p80
        p90 (dollars of the contract alone), contract_id, let_on, let_usd, inside (P10 to P90), below_p80, said (where
        it is not counted, why), deck_area_sf and let_area_sf.
    totals : one row per forecast: forecast_id, made_at, year, years, basis, bridges, let, inside, below_p80, p10 p50
        p80 p90 of its total, let_usd and total_inside, total_below_p80 (missing until every bridge is let).
    """

    bridges: pd.DataFrame
    totals: pd.DataFrame

    @property
    def counted(self) -> pd.DataFrame:
        """The bridges that were let in the years of their forecast."""
        return self.bridges[self.bridges["inside"].notna()]

    def as_dict(self) -> dict[str, Any]:
        """The public form."""
        counted = self.counted
        return {
            "forecasts": self.totals,
            "bridges": self.bridges,
            "let": len(counted),
            "inside_p10_p90": int(counted["inside"].sum()),
            "below_p80": int(counted["below_p80"].sum()),
            "said": said(self),
        }


def fingerprint(plan: ProgramList) -> str:
    """Text that is the same for the same bridges, types, sizes, lettings and costs, in any order."""
    rows = plan.frame[_LISTED].sort_values("structure_id").to_csv(index=False, float_format="%.6g")
    return hashlib.sha256(f"{rows}{plan.contingency_ratio:g}".encode()).hexdigest()[:16]


def rows_to_keep(found: ProgramForecast) -> pd.DataFrame:
    """A forecast as rows: one a bridge, and one with an empty structure_id for the total."""
    frame = found.structures
    bridges = frame[["structure_id", "superstructure", "letting_date", "deck_area_sf", *_AMOUNTS]]
    bridges = bridges.assign(fixed_usd=found.plan.fixed_usd)
    total = {"structure_id": "", **found.total.as_dict(), "deck_area_sf": frame["deck_area_sf"].sum()}
    total["fixed_usd"] = found.plan.fixed_usd.sum()
    rows = pd.concat([bridges, pd.DataFrame([total])], ignore_index=True)
    return rows.assign(
        list_fingerprint=fingerprint(found.plan),
        year=found.year,
        years=found.plan.years,
        basis=found.basis,
        mobilization=found.mobilization is not None,
        index_title=found.index_title,
        contingency_ratio=found.plan.contingency_ratio,
        budget_usd=found.budget.usd if found.budget else None,
        runs=found.runs,
        seed=found.seed,
    )


def held_against(kept: pd.DataFrame, let: Mapping[tuple[str, bool], pd.DataFrame]) -> Held:
    """Hold forecasts against what was let.

    kept : rows of the table `forecast`. let : unit-cost histories by basis and whether mobilization was added.
    A bridge counts once it is let after the forecast was made and in its years: by the link between structure and
    contract, at the low bid as it was. Costs beside the contract and contingency are taken off the forecast first.
    """
    rows = [_held_bridge(row, let) for row in kept[kept["structure_id"] != ""].to_dict("records")]
    columns = [
        "forecast_id", "structure_id", "superstructure", "letting_date", "p10", "p50", "p80", "p90", "contract_id",
        "let_on", "let_usd", "inside", "below_p80", "said", "deck_area_sf", "let_area_sf",
    ]  # fmt: skip
    bridges = pd.DataFrame(rows, columns=columns)
    bridges = bridges.astype({"inside": "boolean", "below_p80": "boolean", "contract_id": "str", "said": "str"})
    totals = [_held_total(row, bridges) for row in kept[kept["structure_id"] == ""].to_dict("records")]
    heads = [
        "forecast_id", "made_at", "year", "years", "basis", "bridges", "let", "inside", "below_p80", "p10", "p50",
        "p80", "p90", "let_usd", "total_inside", "total_below_p80",
    ]  # fmt: skip
    table = pd.DataFrame(totals, columns=heads)
    return Held(bridges, table.astype({"total_inside": "boolean", "total_below_p80": "boolean"}))


def _contract_part(row: Mapping[Any, Any]) -> dict[str, float]:
    """The amounts without costs beside the contract and contingency."""
    return {name: (row[name] - row["fixed_usd"]) / (1 + row["contingency_ratio"]) for name in _AMOUNTS[:4]}


def _held_bridge(row: Mapping[Any, Any], let: Mapping[tuple[str, bool], pd.DataFrame]) -> dict[str, Any]:
    expected = _contract_part(row)
    out: dict[str, Any] = {
        **{name: row[name] for name in ("forecast_id", "structure_id", "superstructure", "letting_date")},
        **expected,
        "deck_area_sf": row["deck_area_sf"],
        "said": NOT_YET,
    }
    history = let[(row["basis"], bool(row["mobilization"]))]
    earliest = max(pd.Timestamp(row["made_at"]).normalize() + pd.Timedelta(days=1), pd.Timestamp(row["year"], 1, 1))
    own = history[(history["structure_id"] == row["structure_id"]) & (history["letting_date"] >= earliest)]
    if own.empty:
        return out
    first = own.sort_values("letting_date").iloc[0]
    usd = float(first["basis_usd"])
    out |= {"contract_id": first["contract_id"], "let_on": first["letting_date"], "let_usd": usd}
    out |= {"let_area_sf": float(first["deck_area_sf"]), "said": ""}
    if first["letting_date"].year > row["year"] + row["years"] - 1:
        return {**out, "said": LET_LATER}
    return {**out, "inside": expected["p10"] <= usd <= expected["p90"], "below_p80": usd <= expected["p80"]}


def _held_total(row: Mapping[Any, Any], bridges: pd.DataFrame) -> dict[str, Any]:
    own = bridges[bridges["forecast_id"] == row["forecast_id"]]
    counted = own[own["inside"].notna()]
    expected = _contract_part(row)
    whole = len(own) == len(counted)
    usd = float(counted["let_usd"].sum()) if whole else np.nan
    return {
        **{name: row[name] for name in ("forecast_id", "made_at", "year", "years", "basis")},
        **expected,
        "bridges": len(own),
        "let": len(counted),
        "inside": int(counted["inside"].sum()),
        "below_p80": int(counted["below_p80"].sum()),
        "let_usd": usd,
        "total_inside": bool(expected["p10"] <= usd <= expected["p90"]) if whole else pd.NA,
        "total_below_p80": bool(usd <= expected["p80"]) if whole else pd.NA,
    }


def said(held: Held) -> str:
    """What the forecasts kept were worth, in a sentence or two; honest where nothing has been let."""
    if held.totals.empty:
        return "No forecast is kept yet. Keep one, and next year's bids will show whether its ranges held."
    n, counted = len(held.totals), held.counted
    kept = f"{wording.count(n, 'forecast')} kept"
    if counted.empty:
        first = int(held.totals["year"].min())
        return (
            f"{kept}; no bridge of {'it' if n == 1 else 'them'} has been let since, so nothing can be said of "
            f"{'its' if n == 1 else 'their'} ranges. Import the bid tabs from {first} on, linked to their structures."
        )
    bridges = f"{kept}; of {wording.count(len(counted), 'bridge')} let since, "
    text = (
        f"{bridges}{int(counted['inside'].sum())} came in between P10 and P90 (8 in 10 are meant to) and "
        f"{int(counted['below_p80'].sum())} below P80 (8 in 10)."
    )
    if (whole := held.totals[held.totals["total_inside"].notna()]).shape[0]:
        text += (
            f" Of {wording.count(len(whole), 'list')} let to the last bridge, {int(whole['total_inside'].sum())} came "
            f"in between P10 and P90, {int(whole['total_below_p80'].sum())} below P80."
        )
    return text + (f" Fewer than {ENOUGH} bridges say little." if len(counted) < ENOUGH else "")

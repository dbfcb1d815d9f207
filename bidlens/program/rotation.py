"""Whether the pace of replacement keeps up with the inventory: steady-state arithmetic, the age profile for near years.

The service life is the user's assumption. A 75-year design life is the period loads are derived for (AASHTO LRFD
1.2), not an expected life.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bidlens.errors import BadValue
from bidlens.findings import Unavailable
from bidlens.program.backlog import Backlog, ages_of, backlog_of, near_pace

SERVICE_LIFE_YEARS = (75.0, 100.0)
PERIOD_YEARS, PERIODS = 5, 5
_LIVES = (10.0, 300.0)


@dataclass(frozen=True, slots=True, eq=False)
class Rotation:
    """The inventory against the pace of replacement.

    inventory : bridges. replaced : those let from first_year to last_year; per_year their pace.
    implied_years : how long each bridge must serve at that pace; None without a replacement on record.
    needed_per_year : steady-state pace for the longer and for the shorter service life.
    profile : from, to (years), reaching (bridges that reach the shorter service life in them).
    overdue : those past it before the first period. age_unknown : bridges without a build year, in no period.
    by_type : superstructure, bridges, age_median (years, NaN if unknown).
    ages : bridges by age, see `backlog.ages_of`. near_per_year : pace that leaves no bridge past the shorter life after
        20 years, by the age profile. backlogs : at the pace on record and, where asked for, at that of the list.
    """

    inventory: int
    replaced: int
    first_year: int
    last_year: int
    per_year: float
    implied_years: float | None
    service_life_years: tuple[float, float]
    needed_per_year: tuple[float, float]
    profile: pd.DataFrame
    overdue: int
    age_unknown: int
    by_type: pd.DataFrame
    ages: pd.DataFrame
    near_per_year: float
    backlogs: tuple[Backlog, ...]


def replacements_needed(bridges: int, service_life_years: float) -> float:
    """Replacements a year that renew `bridges` within a service life, as if ages were spread evenly (steady state)."""
    return bridges / service_life_years


def rotation_years(bridges: int, per_year: float) -> float | None:
    """Years each bridge must serve if `per_year` are replaced each year; None if none are."""
    return bridges / per_year if per_year > 0 else None


def rotation_of(
    inventory: pd.DataFrame,
    replaced: pd.DataFrame,
    from_year: int,
    service_life_years: tuple[float, float] = SERVICE_LIFE_YEARS,
    list_per_year: float | None = None,
) -> Rotation | Unavailable:
    """Hold the inventory against the pace on record.

    inventory : structure_id, year_built, superstructure; the last row of a structure counts.
    replaced : structure_id, letting_date of bridges let. from_year : first year of the age profile.
    list_per_year : bridges a year the owner means to let.
    Raises BadValue for service lives that cannot be.
    """
    low, high = check_service_life(service_life_years)
    bridges = inventory.drop_duplicates("structure_id", keep="last")
    if bridges.empty:
        return Unavailable("no structure list is on record")
    let = replaced.dropna(subset=["letting_date"]).drop_duplicates(["structure_id", "letting_date"])
    years = pd.to_datetime(let["letting_date"]).dt.year
    if years.empty:
        return Unavailable("no letting on record is tied to a structure")
    first, last = int(years.min()), int(years.max())
    pace = len(let) / (last - first + 1)
    built = pd.to_numeric(bridges["year_built"], errors="coerce").to_numpy(dtype=float, na_value=np.nan)
    profile, overdue = _profile(built, low, from_year)
    return Rotation(
        inventory=len(bridges),
        replaced=len(let),
        first_year=first,
        last_year=last,
        per_year=pace,
        implied_years=rotation_years(len(bridges), pace),
        service_life_years=(low, high),
        needed_per_year=(replacements_needed(len(bridges), high), replacements_needed(len(bridges), low)),
        profile=profile,
        overdue=overdue,
        age_unknown=int(np.isnan(built).sum()),
        by_type=_by_type(bridges, built, from_year),
        ages=ages_of(built, from_year),
        near_per_year=near_pace(built, low, from_year),
        backlogs=tuple(backlog_of(built, low, from_year, each) for each in (pace, list_per_year) if each is not None),
    )


def check_service_life(years: tuple[float, float]) -> tuple[float, float]:
    """The shorter and the longer service life. Raises BadValue unless both are 10 to 300 years, in this order."""
    low, high = (float(value) for value in years)
    if not _LIVES[0] <= low <= high <= _LIVES[1]:
        raise BadValue(
            f"a service life of {low:g} to {high:g} years cannot be used",
            do=f"Give the shorter first, both between {_LIVES[0]:g} and {_LIVES[1]:g} years.",
        )
    return low, high


def _profile(built: np.ndarray, service_life: float, from_year: int) -> tuple[pd.DataFrame, int]:
    """Bridges that reach the service life in each five years, and those past it before."""
    reach = built + service_life
    starts = [from_year + PERIOD_YEARS * place for place in range(PERIODS)]
    counts = [int(((reach >= start) & (reach < start + PERIOD_YEARS)).sum()) for start in starts]
    ends = [start + PERIOD_YEARS - 1 for start in starts]
    return pd.DataFrame({"from": starts, "to": ends, "reaching": counts}), int((reach < from_year).sum())


def _by_type(bridges: pd.DataFrame, built: np.ndarray, year: int) -> pd.DataFrame:
    table = pd.DataFrame({"superstructure": bridges["superstructure"].to_numpy(), "age": year - built})
    grouped = table.groupby("superstructure", dropna=False)["age"].agg(["size", "median"]).reset_index()
    named = grouped.rename(columns={"size": "bridges", "median": "age_median"})
    return named.sort_values(["bridges", "superstructure"], ascending=[False, True]).reset_index(drop=True)

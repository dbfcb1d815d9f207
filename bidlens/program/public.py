"""The public form of a forecast: names and keys other programs rely on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from bidlens.findings import Unavailable
from bidlens.program.budget import LEVELS

if TYPE_CHECKING:
    from bidlens.program.forecast import ProgramForecast
    from bidlens.program.rotation import Rotation

_STRUCTURE = [
    "structure_id", "name", "priority", "superstructure", "alternatives", "letting_date", "deck_area_sf", "span_ft",
    "p10", "p50", "p80", "p90", "mean", "grade", "reason", "running_p80",
]  # fmt: skip


def record_of(found: ProgramForecast) -> dict[str, Any]:
    """Everything a forecast says, for JSON."""
    growth, added = found.index_growth, found.mobilization
    return {
        "year": found.year,
        "years": found.plan.years,
        "dollars_of": found.dollars_of,
        "basis": found.basis,
        "structures": found.structures[_STRUCTURE],
        "total": found.total.as_dict(),
        "sum_of_p80": found.sum_of_p80,
        "p80_error": found.p80_error,
        "stress": found.stress.as_dict() if found.stress else None,
        "budget": _budget(found),
        "schedule": _schedule(found),
        "cost_of_waiting_a_year": found.waiting.as_dict(),
        "changes": found.changes,
        "alternatives": found.alternatives,
        "rotation": {**_rotation(found.rotation), "budget_needed": found.pace_budget},
        "drivers": found.drivers[["source", "p10", "p90", "narrower"]],
        "index": found.index_title,
        "index_growth": growth.per_year if growth else None,
        "index_growth_range": [growth.low, growth.high] if growth else None,
        "mobilization_share": [added.share, added.low, added.high] if added else None,
        "contingency_ratio": found.plan.contingency_ratio,
        "runs": found.runs,
        "seed": found.seed,
        "findings": [finding.as_dict() for finding in found.findings],
    }


def _budget(found: ProgramForecast) -> dict[str, Any]:
    budget, names = found.budget, found.structures["structure_id"]
    return {
        "usd": budget.usd if budget else None,
        "chance_covers": budget.chance_covers if budget else None,
        **{f"structures_covered_at_p{level}": budget.covered[level] if budget else None for level in LEVELS},
        "fitting_by_priority": list(names.iloc[list(budget.by_priority)]) if budget else None,
        "most_bridges": list(names.iloc[list(budget.most_bridges)]) if budget else None,
    }


def _schedule(found: ProgramForecast) -> dict[str, Any] | None:
    laid_out = found.schedule
    if laid_out is None:
        return None
    return {
        "years": laid_out.years,
        "bridges": laid_out.bridges,
        "fits_no_year": list(laid_out.left),
        "carries_over": laid_out.carries_over,
        "as_planned": laid_out.planned.as_dict(),
        "cost_of_waiting": laid_out.waiting.as_dict(),
    }


def _rotation(rotation: Rotation | Unavailable) -> dict[str, Any]:
    if isinstance(rotation, Unavailable):
        nothing = dict.fromkeys(("inventory", "per_year", "implied_years", "needed_per_year"))
        return {**nothing, "reason": rotation.reason}
    return {
        "inventory": rotation.inventory,
        "per_year": rotation.per_year,
        "implied_years": rotation.implied_years,
        "needed_per_year": list(rotation.needed_per_year),
        "near_per_year": rotation.near_per_year,
        "service_life_years": list(rotation.service_life_years),
        "replaced": rotation.replaced,
        "first_year": rotation.first_year,
        "last_year": rotation.last_year,
        "age_unknown": rotation.age_unknown,
        "past_service_life": rotation.overdue,
        "age_profile": rotation.profile,
        "ages": rotation.ages,
        "backlog": [
            {"per_year": each.per_year, "clears": each.clears, "grows": each.grows, "path": each.path}
            for each in rotation.backlogs
        ],
    }

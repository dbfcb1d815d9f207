"""The forecast of one program: each bridge, the whole list, the budget, the stress line, where the doubt is from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from bidlens import quarters
from bidlens.findings import Finding, Unavailable
from bidlens.model import CostModel, forecast_index
from bidlens.normalizer import UnitCostHistory
from bidlens.program import budget as budgets
from bidlens.program.doubts import doubts_of
from bidlens.program.drivers import drivers_of
from bidlens.program.plan import ProgramList
from bidlens.program.rotation import Rotation
from bidlens.program.simulate import asked, simulate
from bidlens.program.spread import Spread, quantile_error, spread_of, spreads_of
from bidlens.reference import CostIndex

#: Runs and seed when none are asked for.
RUNS, SEED = 10_000, 1
#: A program is priced on whole bridges or whole contracts.
BASES = ("contract", "bridge")


@dataclass(frozen=True, slots=True)
class IndexGrowth:
    """Growth of the cost index a year from its last published quarter to the last letting: middle, 1 in 10, 9 in 10."""

    per_year: float
    low: float
    high: float
    from_quarter: str
    to_quarter: str


@dataclass(frozen=True, slots=True, eq=False)
class ProgramForecast:
    """What the bridges of one year will cost, in dollars of each bridge's own letting.

    structures : one row per bridge in the owner's order: the columns of the list, p10 p50 p80 p90 mean (dollars),
        grade, reason (see `_judged`), of_type (priced structures of its type), running_p80 (of all down to this one).
    sum_of_p80 : the bridges' own P80s added up, which is not the P80 of the total. p80_error : half the 19-in-20
        range of the total's P80 that the number of runs leaves. stress : the total if 2021-23 happened again from the
        last published quarter; None where every letting is inside the index. drivers : see `drivers_of`.
    totals : drawn totals, `runs` dollars.
    """

    plan: ProgramList
    basis: str
    dollars_of: str
    index_title: str
    contracts: int
    first_year: int
    last_year: int
    structures: pd.DataFrame
    total: Spread
    sum_of_p80: float
    p80_error: float
    stress: Spread | None
    budget: budgets.BudgetAnswer | None
    drivers: pd.DataFrame
    rotation: Rotation | Unavailable
    index_growth: IndexGrowth | None
    findings: tuple[Finding, ...]
    totals: np.ndarray
    runs: int
    seed: int

    @property
    def year(self) -> int:
        return self.plan.year

    def as_dict(self) -> dict[str, Any]:
        """The public form."""
        growth, budget = self.index_growth, self.budget
        columns = [
            "structure_id", "name", "priority", "superstructure", "letting_date", "deck_area_sf", "span_ft", "p10",
            "p50", "p80", "p90", "mean", "grade", "reason", "running_p80",
        ]  # fmt: skip
        return {
            "year": self.year,
            "dollars_of": self.dollars_of,
            "basis": self.basis,
            "structures": self.structures[columns],
            "total": self.total.as_dict(),
            "sum_of_p80": self.sum_of_p80,
            "p80_error": self.p80_error,
            "stress": self.stress.as_dict() if self.stress else None,
            "budget": self._budget_record(budget),
            "rotation": _rotation_record(self.rotation),
            "drivers": self.drivers[["source", "p10", "p90", "narrower"]],
            "index_growth": growth.per_year if growth else None,
            "index_growth_range": [growth.low, growth.high] if growth else None,
            "contingency_ratio": self.plan.contingency_ratio,
            "runs": self.runs,
            "seed": self.seed,
            "findings": [finding.as_dict() for finding in self.findings],
        }

    def _budget_record(self, budget: budgets.BudgetAnswer | None) -> dict[str, Any]:
        names = self.structures["structure_id"]
        return {
            "usd": budget.usd if budget else None,
            "chance_covers": budget.chance_covers if budget else None,
            **{
                f"structures_covered_at_p{level}": budget.covered[level] if budget else None for level in budgets.LEVELS
            },
            "fitting_by_priority": list(names.iloc[list(budget.by_priority)]) if budget else None,
            "most_bridges": list(names.iloc[list(budget.most_bridges)]) if budget else None,
        }


def forecast(
    plan: ProgramList,
    history: UnitCostHistory,
    model: CostModel,
    index: CostIndex,
    rotation: Rotation | Unavailable,
    *,
    budget_usd: float | None = None,
    runs: int = RUNS,
    seed: int = SEED,
) -> ProgramForecast:
    """Forecast a checked list. The same seed gives the same numbers.

    Raises BadValue for a budget that is not above zero and for runs or seed out of bounds.
    """
    if budget_usd is not None:
        budgets.check_budget(budget_usd)
    simulation = simulate(plan, model, runs, seed)
    running = budgets.running_quantiles(simulation.dollars)
    structures = _structures(plan, model, simulation.dollars, running[budgets.LEVELS.index(80)])
    totals, total = simulation.totals, spread_of(simulation.totals)
    sum_of_p80 = float(structures["p80"].sum())
    stress = _stress(plan, simulation.dollars, index)
    budget = budgets.against_budget(simulation.dollars, running, budget_usd) if budget_usd is not None else None
    used = history.frame
    return ProgramForecast(
        plan=plan,
        basis=history.basis,
        dollars_of=_dollars_of(plan.frame["letting_date"]),
        index_title=history.index_title,
        contracts=int(used[["contract_id", "letting_date"]].drop_duplicates().shape[0]),
        first_year=int(used["letting_date"].dt.year.min()),
        last_year=int(used["letting_date"].dt.year.max()),
        structures=structures,
        total=total,
        sum_of_p80=sum_of_p80,
        p80_error=quantile_error(totals, 0.80),
        stress=stress,
        budget=budget,
        drivers=drivers_of(plan, model, runs, seed),
        rotation=rotation,
        index_growth=index_growth(index, plan.frame["letting_date"]),
        findings=(*doubts_of(structures, total, sum_of_p80, stress, history.basis, rotation), *plan.findings),
        totals=totals,
        runs=runs,
        seed=seed,
    )


def _structures(plan: ProgramList, model: CostModel, dollars: np.ndarray, running_p80: np.ndarray) -> pd.DataFrame:
    frame = plan.frame
    judged = _judged(plan, model)
    of_type = frame["superstructure"].map(model.types).fillna(0).astype(int)
    spreads = spreads_of(dollars, frame.index)
    return pd.concat([frame, spreads, judged], axis=1).assign(of_type=of_type, running_p80=running_p80)


def _judged(plan: ProgramList, model: CostModel) -> pd.DataFrame:
    """Grade and reason of each bridge by the history alone.

    As if let at the last letting on record to a usual number of bidders: the doubt about the cost index and about
    bidders is shared by the whole list, stands in its range, and says nothing about one bridge.
    """
    last = model.rows.geometry.dates.max()
    bidders = float(np.nanmedian(model.rows.geometry.bidders)) if len(model.rows.frame) else np.nan
    return model.predict(asked(plan).assign(letting_date=last, bidders=bidders))[["grade", "reason"]]


def _dollars_of(lettings: pd.Series) -> str:
    """The letting quarter, or the first and the last: every bridge is in dollars of its own letting."""
    first, last = (quarters.quarter_of(date) for date in (lettings.min(), lettings.max()))
    return first if first == last else f"{first}-{last}"


def _ahead(index: CostIndex, lettings: pd.Series) -> np.ndarray:
    """Quarters past the last published one, m values, 0 when inside."""
    last = quarters.position(index.last_published)
    return np.array([max(quarters.position(quarter) - last, 0) for quarter in quarters.quarters_of(lettings)])


def _stress(plan: ProgramList, dollars: np.ndarray, index: CostIndex) -> Spread | None:
    """The total if the index rose as in 2021-23: every contract times the stress line over the forecast's middle."""
    ahead = _ahead(index, plan.frame["letting_date"])
    if not ahead.any():
        return None
    found = forecast_index(index, int(ahead.max()))
    ratio = np.concatenate([[1.0], found.stress / found.median])[ahead]
    fixed = plan.fixed_usd
    return spread_of((dollars - fixed) @ ratio + fixed.sum())


def index_growth(index: CostIndex, lettings: pd.Series) -> IndexGrowth | None:
    """How fast the index is forecast to grow up to the last letting; None where that is published."""
    ahead = int(_ahead(index, lettings).max())
    if not ahead:
        return None
    found, last = forecast_index(index, ahead), index.at(index.last_published)
    middle, low, high = (
        float((value / last) ** (4 / ahead) - 1)
        for value in (found.median[-1], found.quantile(0.10)[-1], found.quantile(0.90)[-1])
    )
    return IndexGrowth(middle, low, high, index.last_published, quarters.step(index.last_published, ahead))


def _rotation_record(rotation: Rotation | Unavailable) -> dict[str, Any]:
    if isinstance(rotation, Unavailable):
        nothing = dict.fromkeys(("inventory", "per_year", "implied_years", "needed_per_year"))
        return {**nothing, "reason": rotation.reason}
    return {
        "inventory": rotation.inventory,
        "per_year": rotation.per_year,
        "implied_years": rotation.implied_years,
        "needed_per_year": list(rotation.needed_per_year),
        "service_life_years": list(rotation.service_life_years),
        "replaced": rotation.replaced,
        "first_year": rotation.first_year,
        "last_year": rotation.last_year,
        "age_unknown": rotation.age_unknown,
        "past_service_life": rotation.overdue,
        "age_profile": rotation.profile,
    }

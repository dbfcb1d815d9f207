"""The forecast of one program: each bridge, the whole list, the budget, the years, the pace, the doubt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from bidlens.errors import BadValue
from bidlens.findings import Finding, Unavailable
from bidlens.model import CostModel
from bidlens.normalizer import UnitCostHistory
from bidlens.program import budget as budgets
from bidlens.program.ahead import IndexGrowth, dollars_of, index_growth, stress
from bidlens.program.backlog import NEAR_YEARS
from bidlens.program.changes import a_year_later, alternatives_table, changes_of
from bidlens.program.doubts import doubts_of
from bidlens.program.drivers import drivers_of
from bidlens.program.mobilization import MobilizationShare
from bidlens.program.plan import ProgramList
from bidlens.program.public import record_of
from bidlens.program.rotation import Rotation
from bidlens.program.schedule import Schedule, schedule, yearly
from bidlens.program.simulate import asked, futures_of
from bidlens.program.spread import Spread, quantile_error, spread_of, spreads_of
from bidlens.reference import CostIndex

#: Runs and seed when none are asked for.
RUNS, SEED = 10_000, 1
#: A program is priced on whole bridges or whole contracts.
BASES = ("contract", "bridge")


@dataclass(frozen=True, slots=True, eq=False)
class ProgramForecast:
    """What the bridges of a program will cost, in dollars of each bridge's own letting.

    structures : one row per bridge in the owner's order: the columns of the list, p10 p50 p80 p90 mean (dollars),
        grade, reason (see `_judged`), of_type (priced structures of its type), running_p80 (of all down to this one).
        In a program of several years each bridge in the year it is let; those that fit no year are left out.
    sum_of_p80 : the bridges' own P80s added up, which is not the P80 of the total. p80_error : half the 19-in-20
        range of the total's P80 that the number of runs leaves. stress : the total if 2021-23 happened again from the
        last published quarter; None where every letting is inside the index. drivers : see `drivers_of`.
    budget : of the whole list against the one budget, or all yearly ones. schedule : None for a single year.
    waiting : what letting all of it a year later adds, in the same futures.
    changes, alternatives : see `changes.py`. pace_budget : dollars a year that a pace of replacement needs, see
        `_pace_budget`. mobilization : where it was added to bridge items. totals : drawn totals, `runs` dollars.
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
    schedule: Schedule | None
    waiting: Spread
    changes: pd.DataFrame
    alternatives: pd.DataFrame
    drivers: pd.DataFrame
    rotation: Rotation | Unavailable
    pace_budget: pd.DataFrame
    index_growth: IndexGrowth | None
    mobilization: MobilizationShare | None
    findings: tuple[Finding, ...]
    totals: np.ndarray
    runs: int
    seed: int

    @property
    def year(self) -> int:
        return self.plan.year

    @property
    def span(self) -> str:
        """“2027”, or “2027–2030”."""
        return str(self.year) if self.plan.years == 1 else f"{self.year}–{self.plan.last_year}"

    def as_dict(self) -> dict[str, Any]:
        """The public form."""
        return record_of(self)


def forecast(
    plan: ProgramList,
    history: UnitCostHistory,
    model: CostModel,
    index: CostIndex,
    rotation: Rotation | Unavailable,
    *,
    budget_usd: float | Sequence[float] | None = None,
    carries_over: bool = True,
    mobilization: MobilizationShare | None = None,
    runs: int = RUNS,
    seed: int = SEED,
) -> ProgramForecast:
    """Forecast a checked list. The same seed gives the same numbers.

    budget_usd : dollars for the list, of a program of several years a year: one amount, or one for each.
    carries_over : money not spent in one year is there in the next.
    Raises BadValue for a budget that is not above zero, for runs or seed out of bounds, and where no bridge fits the
    yearly budgets.
    """
    given = None if budget_usd is None else yearly(_each(budget_usd), plan.years)
    futures = futures_of(plan, model, runs, seed)
    laid_out = schedule(futures, given, carries_over=carries_over) if plan.years > 1 else None
    if laid_out:
        plan = _as_let(plan, laid_out)
        futures = futures.of(plan)
    dollars = futures.as_planned()
    running = budgets.running_quantiles(dollars)
    structures = _structures(plan, model, dollars, running[budgets.LEVELS.index(80)])
    totals = dollars.sum(axis=1)
    total, all_money = spread_of(totals), None if given is None else float(sum(given))
    sum_of_p80 = float(structures["p80"].sum())
    later = a_year_later(futures)
    again = stress(plan, dollars, index)
    used = history.frame
    return ProgramForecast(
        plan=plan,
        basis=history.basis,
        dollars_of=dollars_of(plan.frame["letting_date"]),
        index_title=history.index_title,
        contracts=int(used[["contract_id", "letting_date"]].drop_duplicates().shape[0]),
        first_year=int(used["letting_date"].dt.year.min()),
        last_year=int(used["letting_date"].dt.year.max()),
        structures=structures,
        total=total,
        sum_of_p80=sum_of_p80,
        p80_error=quantile_error(totals, 0.80),
        stress=again,
        budget=None if all_money is None else budgets.against_budget(dollars, running, all_money),
        schedule=laid_out,
        waiting=spread_of((later - dollars[: len(later)]).sum(axis=1)),
        changes=changes_of(futures, dollars, later, all_money),
        alternatives=alternatives_table(futures),
        drivers=drivers_of(futures, totals),
        rotation=rotation,
        pace_budget=_pace_budget(totals / len(plan.frame), rotation),
        index_growth=index_growth(index, plan.frame["letting_date"]),
        mobilization=mobilization,
        findings=(
            *plan.findings,
            *doubts_of(structures, total, sum_of_p80, again, history.basis, mobilization, rotation, laid_out),
        ),
        totals=totals,
        runs=runs,
        seed=seed,
    )


def _each(budget_usd: float | Sequence[float]) -> list[float]:
    return [float(usd) for usd in budget_usd] if isinstance(budget_usd, Sequence) else [float(budget_usd)]


def _as_let(plan: ProgramList, laid_out: Schedule) -> ProgramList:
    """The list with every bridge in the year it is let, without those that fit none."""
    let = laid_out.bridges["year"].notna().to_numpy(dtype=bool)
    if not let.any():
        raise BadValue(
            "no bridge of the list fits a yearly budget with 80 chances of 100",
            do="Give more dollars a year, or leave the budget out to see what the list costs.",
        )
    moved = laid_out.bridges["letting_date"].where(let, plan.frame["letting_date"])
    return replace(plan, frame=plan.frame.assign(letting_date=moved)[let].reset_index(drop=True))


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


def _pace_budget(per_bridge: np.ndarray, rotation: Rotation | Unavailable) -> pd.DataFrame:
    """Dollars a year that some paces of replacement need at the average cost of the bridges of the list.

    per_bridge : drawn dollars, `runs` values. Columns: what, per_year (bridges), p10 p50 p80 p90 mean (dollars a year).
    """
    paces: list[tuple[str, float]] = []
    if isinstance(rotation, Rotation):
        shorter, longer = rotation.service_life_years
        few, many = rotation.needed_per_year
        paces = [(f"steady state, {longer:g}-year life", few)]
        paces += [(f"steady state, {shorter:g}-year life", many)] if shorter != longer else []
        paces += [(f"next {NEAR_YEARS} years by age, {shorter:g}-year life", rotation.near_per_year)]
        paces += [("pace on record", rotation.per_year)]
    rows = [{"what": what, "per_year": pace, **spread_of(per_bridge * pace).as_dict()} for what, pace in paces]
    return pd.DataFrame(rows, columns=["what", "per_year", *Spread.__slots__])

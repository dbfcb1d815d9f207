"""Several years: which bridge is let in which year under yearly budgets, in dollars of each letting.

The owner's order is kept: every year takes bridges from the top of what is left, and passes over one that does not fit.
A bridge fits as long as, with 80 chances of 100, the money through that year covers all that is let through it. Money
not spent carries over unless the budgets say otherwise; so does an overrun.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bidlens import wording
from bidlens.errors import BadValue
from bidlens.program.budget import check_budget
from bidlens.program.simulate import Futures, later_by
from bidlens.program.spread import Spread, spread_of, spreads_of

#: How sure a year must be of its money before it takes one bridge more.
SURE = 0.80


@dataclass(frozen=True, slots=True, eq=False)
class Schedule:
    """The list laid out over years.

    years : one row per year: year, budget_usd, bridges (how many), p10 p50 p80 p90 mean (spent in it), unspent_p10
        unspent_p50 unspent_p90 (money left at its end; below zero: overspent), chance_covers (of all money through it
        over all spent through it; of its own without carrying over). Without budgets money and chances are NaN.
    bridges : one row per bridge in the owner's order: structure_id, planned (year), year (missing: fits no
        year), letting_date, p10 p50 p80 p90 mean, postponed (years after the one planned).
    total : all that is let, in dollars of each letting. planned : the same bridges each in its planned year; waiting :
        what the postponing costs, in the same futures. left : bridges that fit no year.
    """

    years: pd.DataFrame
    bridges: pd.DataFrame
    total: Spread
    planned: Spread
    waiting: Spread
    carries_over: bool
    left: tuple[str, ...]


def yearly(budgets: Sequence[float], years: int) -> tuple[float, ...]:
    """One budget for every year: the one given for all, or one a year. Raises BadValue for another number of them."""
    checked = [check_budget(usd) for usd in budgets]
    if len(checked) == 1:
        return tuple(checked * years)
    if len(checked) != years:
        raise BadValue(
            f"{wording.count(len(checked), 'budget')} given for {wording.count(years, 'year')}",
            do="Give one amount for all years, or one for each.",
        )
    return tuple(checked)


def schedule(futures: Futures, budgets: Sequence[float] | None, *, carries_over: bool = True) -> Schedule:
    """Lay a list out over its years; each bridge in its planned year where no budgets are given.

    budgets : dollars a year, as `yearly` gives them.
    """
    plan = futures.plan
    planned = (plan.frame["letting_date"].dt.year - plan.year).to_numpy(dtype=int)
    chosen = planned if budgets is None else _chosen(futures, planned, budgets, carries_over)
    let = np.flatnonzero(chosen >= 0)
    postponed = np.where(chosen >= 0, chosen - planned, 0)
    dollars = futures.later(let, postponed[let])
    on_plan = futures.later(let, 0) if postponed.any() else dollars
    spent = np.stack([dollars[:, chosen[let] == year].sum(axis=1) for year in range(plan.years)], axis=1)
    return Schedule(
        years=_years(plan.year, spent, np.bincount(chosen[let], minlength=plan.years), budgets, carries_over),
        bridges=_bridges(futures, chosen, postponed, dollars),
        total=spread_of(dollars.sum(axis=1)),
        planned=spread_of(on_plan.sum(axis=1)),
        waiting=spread_of((dollars - on_plan).sum(axis=1)),
        carries_over=carries_over,
        left=tuple(plan.frame["structure_id"][chosen < 0]),
    )


def _chosen(futures: Futures, planned: np.ndarray, budgets: Sequence[float], carries_over: bool) -> np.ndarray:
    """The year of each bridge, counted from the first; -1 where it fits none."""
    chosen = np.full(len(planned), -1)
    spent, money = np.zeros(futures.runs), 0.0
    for year, usd in enumerate(budgets):
        money = money + usd if carries_over else usd
        spent = spent if carries_over else np.zeros(futures.runs)
        ready = np.flatnonzero((chosen < 0) & (planned <= year))
        dollars = futures.later(ready, year - planned[ready])
        for column, place in enumerate(ready):
            trial = spent + dollars[:, column]
            if np.quantile(trial, SURE) <= money:
                chosen[place], spent = year, trial
    return chosen


def _years(
    first: int, spent: np.ndarray, count: np.ndarray, budgets: Sequence[float] | None, carries_over: bool
) -> pd.DataFrame:
    years = spent.shape[1]
    table = pd.DataFrame({"year": np.arange(first, first + years), "bridges": count})
    table.insert(1, "budget_usd", np.nan if budgets is None else list(budgets))
    table = pd.concat([table, spreads_of(spent, table.index)], axis=1)
    unspent = np.full_like(spent, np.nan)
    if budgets is not None:
        left = np.asarray(budgets, dtype=float) - spent
        unspent = np.cumsum(left, axis=1) if carries_over else left
    low, middle, high = np.quantile(unspent, [0.10, 0.50, 0.90], axis=0)
    covers = np.nan if budgets is None else (unspent >= 0).mean(axis=0)
    return table.assign(unspent_p10=low, unspent_p50=middle, unspent_p90=high, chance_covers=covers)


def _bridges(futures: Futures, chosen: np.ndarray, postponed: np.ndarray, dollars: np.ndarray) -> pd.DataFrame:
    plan, let = futures.plan, np.flatnonzero(chosen >= 0)
    moved = later_by(plan.frame["letting_date"], postponed)
    table = pd.DataFrame(
        {
            "structure_id": plan.frame["structure_id"],
            "planned": plan.frame["letting_date"].dt.year,
            "year": pd.Series(chosen + plan.year, dtype="Int64").where(chosen >= 0),
            "letting_date": moved.where(chosen >= 0),
            "postponed": pd.Series(postponed, dtype="Int64").where(chosen >= 0),
        }
    )
    return pd.concat([table, spreads_of(dollars, table.index[let]).reindex(table.index)], axis=1)

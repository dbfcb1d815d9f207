"""Many futures of a program at once: every draw is one county, one market and one cost index for all its bridges."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bidlens.errors import BadValue
from bidlens.model import CostModel
from bidlens.program.plan import ProgramList

#: Prices drawn in one go, and the most kept: for the sake of memory.
AT_ONCE, MOST_AMOUNTS = 500_000, 25_000_000
FEWEST_RUNS = 100
_ASKED = ["superstructure", "deck_area_sf", "span_ft", "skew_deg", "letting_date"]


@dataclass(frozen=True, slots=True, eq=False)
class Simulation:
    """Drawn dollars, runs by m, bridges in the order of the list; fixed costs and contingency are in them."""

    dollars: np.ndarray
    seed: int

    @property
    def runs(self) -> int:
        return len(self.dollars)

    @property
    def totals(self) -> np.ndarray:
        """Cost of the whole list, one a run."""
        return np.asarray(self.dollars.sum(axis=1))


def asked(plan: ProgramList) -> pd.DataFrame:
    """The bridges as the model takes them: number of bidders unknown."""
    return plan.frame[_ASKED]


def simulate(plan: ProgramList, model: CostModel, runs: int, seed: int, without: Collection[str] = ()) -> Simulation:
    """Draw what every bridge of the list costs, `runs` times.

    The same seed gives the same numbers whatever the order of the list: bridges are drawn in the order of their names.
    without : sources of doubt held at their middle; see `CostModel.draw`.
    Raises BadValue for too few runs, more than memory allows, or a seed below zero.
    """
    bridges = len(plan.frame)
    most = MOST_AMOUNTS // bridges
    if not FEWEST_RUNS <= runs <= most:
        raise BadValue(
            f"{runs:,} runs of {bridges:,} bridges cannot be drawn", do=f"Use {FEWEST_RUNS} to {most:,} runs."
        )
    if seed < 0:
        raise BadValue(f"the seed is {seed}", do="Use a whole number of zero or more.")
    order = np.argsort(plan.frame["structure_id"].to_numpy(dtype=str), kind="stable")
    structures = asked(plan).iloc[order].reset_index(drop=True)
    area = structures["deck_area_sf"].to_numpy() * (1 + plan.contingency_ratio)
    rng = np.random.default_rng(seed)
    dollars = np.empty((runs, bridges))
    chunk = max(AT_ONCE // bridges, 1)
    for start in range(0, runs, chunk):
        count = min(chunk, runs - start)
        dollars[start : start + count, order] = model.draw(structures, count, rng, without) * area
    dollars += plan.fixed_usd
    return Simulation(dollars, seed)

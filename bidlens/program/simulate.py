"""Many futures of a program at once: every draw is one county, one market and one cost index for all its bridges."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from bidlens.errors import BadValue
from bidlens.model import CostModel
from bidlens.program.plan import ProgramList

#: Prices drawn in one go, and the most kept: for the sake of memory.
AT_ONCE, MOST_AMOUNTS = 500_000, 25_000_000
#: Runs drawn in one go: always as many, so that a run is the same future whatever is asked of it.
RUNS_AT_ONCE = 1_000
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


@dataclass(frozen=True, slots=True, eq=False)
class Futures:
    """The futures of one list: ask what its bridges cost in them as planned, a year later, or as another type.

    Run 7 is the same county, market, index and luck of each bridge whatever is asked, so that two answers differ by
    what was changed and not by chance. names : of all bridges of the first list, sorted. Get one from `futures_of`.
    """

    plan: ProgramList
    model: CostModel
    runs: int
    seed: int
    names: np.ndarray

    def of(self, plan: ProgramList) -> Futures:
        """The same futures for a list that holds some of these bridges, or lets them at other times."""
        return replace(self, plan=plan)

    def few(self, runs: int) -> Futures:
        """The first `runs` of these futures, at most."""
        return replace(self, runs=min(runs, self.runs))

    def as_planned(self, without: Collection[str] = ()) -> np.ndarray:
        """Dollars of every bridge of the list, runs by m. without : see `CostModel.draw`."""
        return self.dollars(np.arange(len(self.plan.frame)), without=without)

    def later(self, places: Sequence[int] | np.ndarray, years: int | np.ndarray = 1) -> np.ndarray:
        """Dollars of these bridges let a number of years later than planned, runs by len(places)."""
        places = np.asarray(places, dtype=int)
        planned = self.plan.frame["letting_date"].iloc[places].reset_index(drop=True)
        return self.dollars(places, letting_date=later_by(planned, years))

    def dollars(self, places: np.ndarray, without: Collection[str] = (), **changed: pd.Series) -> np.ndarray:
        """Dollars of the bridges at these places of the list, runs by len(places).

        A place may stand several times. changed : columns of the list in place of those planned, one value a place.
        """
        out = np.empty((self.runs, len(places)))
        if not len(places):
            return out
        asked, letting, bridges = self._asked(places, changed)
        area = asked["deck_area_sf"].to_numpy() * (1 + self.plan.contingency_ratio)
        runs = min(RUNS_AT_ONCE, max(AT_ONCE // bridges, 1))
        columns = max(bridges, AT_ONCE // runs)
        for first in range(0, len(places), columns):
            some = slice(first, first + columns)
            rng = np.random.default_rng(self.seed)
            together = self.model.together(asked.iloc[some], letting=letting[some], lettings=bridges)
            for start in range(0, self.runs, runs):
                drawn = together.draw(runs, rng, without)
                end = min(start + runs, self.runs)
                out[start:end, some] = drawn[: end - start] * area[some]
        return out + self.plan.fixed_usd[places]

    def _asked(self, places: np.ndarray, changed: dict[str, pd.Series]) -> tuple[pd.DataFrame, np.ndarray, int]:
        """Rows for the model, which bridge each is by its place among all names, and how many names there are."""
        frame = self.plan.frame
        known_as = np.searchsorted(self.names, frame["structure_id"].to_numpy(dtype=str))
        asked = frame[_ASKED].iloc[places].reset_index(drop=True)
        asked = asked.assign(**{name: values.to_numpy() for name, values in changed.items()})
        return asked, known_as[places], len(self.names)


def later_by(dates: pd.Series, years: int | np.ndarray) -> pd.Series:
    """The same days some years later."""
    steps = np.broadcast_to(np.asarray(years, dtype=int), len(dates))
    moved = [date + pd.DateOffset(years=int(step)) for date, step in zip(dates, steps, strict=True)]
    return pd.Series(moved, dtype="datetime64[us]")


def asked(plan: ProgramList) -> pd.DataFrame:
    """The bridges as the model takes them: number of bidders unknown."""
    return plan.frame[_ASKED]


def futures_of(plan: ProgramList, model: CostModel, runs: int, seed: int) -> Futures:
    """The futures of a list. The same seed gives the same numbers whatever the order of the list.

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
    return Futures(plan, model, runs, seed, np.sort(plan.frame["structure_id"].to_numpy(dtype=str)))


def simulate(plan: ProgramList, model: CostModel, runs: int, seed: int, without: Collection[str] = ()) -> Simulation:
    """Draw what every bridge of the list costs, `runs` times.

    without : sources of doubt held at their middle; see `CostModel.draw`. Raises as `futures_of`.
    """
    return Simulation(futures_of(plan, model, runs, seed).as_planned(without), seed)

"""Totals of a program of 20 bridges let in the year after the history, drawn together, against what was paid."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from bidlens.model import fit_cost_model
from tests.benchmarks.worlds import draw_world

DRAWS = 2000
#: Chance that the total stays below its stated P80, and share of totals inside their 90 % range.
BELOW_P80, INSIDE_90_LEAST = (0.73, 0.87), 0.84

Figure = tuple[str, int, str, float, float, float]


def judge_programs(worlds: int, seed: int, sizes: tuple[int, ...] = (25, 60, 150)) -> Iterator[Figure]:
    """kind, rows, item, seen, low, high for every size of history."""
    for rows in sizes:
        rng = np.random.default_rng([seed, rows, 77])
        below, inside = [], []
        for _ in range(worlds):
            world = draw_world(rng, rows)
            area = world.target["deck_area_sf"].to_numpy()
            drawn = fit_cost_model(world.history, world.index).draw(world.target, DRAWS, rng) @ area
            paid = float(world.actual @ area)
            low, p80, high = np.quantile(drawn, [0.05, 0.80, 0.95])
            below.append(paid <= p80)
            inside.append(low <= paid <= high)
        yield "clean", rows, f"n = {rows}, chance below P80", float(np.mean(below)), *BELOW_P80
        yield "clean", rows, f"n = {rows}, inside 90 % range", float(np.mean(inside)), INSIDE_90_LEAST, 1.0

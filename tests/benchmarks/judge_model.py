"""Judge the model on invented counties against its acceptance figures, beside the indexed type mean of a spreadsheet.

    python -m tests.benchmarks.judge_model --worlds 200

Prints one line an acceptance figure: what was measured, the limits, pass or falls short. About a second a world
on one core; the limits are meant for 200 worlds or more.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable, Iterator
from typing import NamedTuple

import numpy as np
import pandas as pd

from tests.benchmarks import methods
from tests.benchmarks.program_judge import judge_programs
from tests.benchmarks.scores import score
from tests.benchmarks.worlds import KINDS, draw_world

SIZES = (12, 25, 60, 150)

#: Limits by kind of world: 90 % coverage at n = 12, 25, 60 and 150; of thin and unseen types; and the ratios.
COVERAGE_90 = {
    "clean": {12: (0.87, 0.96), 25: (0.87, 0.95), 60: (0.87, 0.94), 150: (0.87, 0.94)},
    "bad rows": dict.fromkeys(SIZES, (0.88, 0.975)),
    "hostile": dict.fromkeys(SIZES, (0.86, 0.965)),
}
THIN_LEAST = {"clean": 0.86, "bad rows": 0.86, "hostile": 0.85}
UNSEEN_LEAST = {"clean": 0.86, "bad rows": 0.86, "hostile": 0.80}
ERROR_RATIO_MOST = {"clean": 0.94, "bad rows": 0.92, "hostile": 0.92}
CRPS_RATIO_MOST = {"clean": 0.89, "bad rows": 0.84, "hostile": 0.82}
WINKLER_RATIO_MOST = {
    "clean": {12: 0.75, 25: 0.80, 60: 0.84, 150: 0.87},
    "bad rows": dict.fromkeys(SIZES, 0.70),
    "hostile": dict.fromkeys(SIZES, 0.65),
}


class Line(NamedTuple):
    """One acceptance figure of one cell."""

    kind: str
    rows: int
    item: str
    seen: float
    low: float
    high: float

    @property
    def holds(self) -> bool:
        return bool(self.low <= self.seen <= self.high)


def run_cell(
    kind: str, rows: int, worlds: int, seed: int, method: Callable[..., methods.Foretold] = methods.model
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Scores of a method and of the type mean on the same worlds, one row per foretold letting."""
    rng = np.random.default_rng([seed, rows, KINDS.index(kind)])
    ours, plain = [], []
    for _ in range(worlds):
        world = draw_world(rng, rows, kind)
        ours.append(score(world, method(world)))
        plain.append(score(world, methods.type_mean(world)))
    return pd.concat(ours, ignore_index=True), pd.concat(plain, ignore_index=True)


def acceptance(kind: str, rows: int, ours: pd.DataFrame, plain: pd.DataFrame) -> Iterator[Line]:
    """Every acceptance figure of one cell."""
    thin, unseen = ours["of_type"].between(1, 4), ours["of_type"] == 0

    def ratio(column: str, how: str, which: pd.Series | slice = slice(None)) -> float:
        return float(ours.loc[which, column].agg(how) / plain.loc[which, column].agg(how))

    def line(item: str, seen: float, low: float, high: float) -> Line:
        return Line(kind, rows, item, float(seen), low, high)

    yield line("90 % coverage", ours["inside90"].mean(), *COVERAGE_90[kind][rows])
    yield line("90 % coverage, thin types", ours.loc[thin, "inside90"].mean(), THIN_LEAST[kind], 1.0)
    yield line("90 % coverage, unseen type", ours.loc[unseen, "inside90"].mean(), UNSEEN_LEAST[kind], 1.0)
    yield line("median error, ratio", ratio("error", "median"), 0.0, ERROR_RATIO_MOST[kind])
    yield line("CRPS, ratio", ratio("crps", "mean"), 0.0, CRPS_RATIO_MOST[kind])
    yield line("Winkler 90, ratio", ratio("winkler90", "mean"), 0.0, WINKLER_RATIO_MOST[kind][rows])
    yield line("failures", ours["failed"].sum(), 0, 0)
    if kind == "clean":
        yield line("80 % coverage", ours["inside80"].mean(), 0.76, 0.88)
        yield line("share below P05", ours["below05"].mean(), 0.015, 0.085)
        yield line("share above P95", ours["above95"].mean(), 0.015, 0.085)
        yield line("Winkler 90, thin types, ratio", ratio("winkler90", "mean", thin), 0.0, 0.75)
        yield line("sum of means / sum paid", ours["mean"].sum() / ours["actual"].sum(), 0.93, 1.06)


def main(argv: list[str] | None = None) -> int:
    """Run every cell and print; the exit code is 1 if a figure falls short."""
    parser = argparse.ArgumentParser(description="Judge the cost model on invented counties.")
    parser.add_argument("--worlds", type=int, default=200)
    parser.add_argument("--seed", type=int, default=20)
    parser.add_argument("--method", choices=["model", "ordinary", "type_mean"], default="model")
    asked = parser.parse_args(argv)
    started, short = time.perf_counter(), 0
    for kind in KINDS:
        for rows in SIZES:
            cell = run_cell(kind, rows, asked.worlds, asked.seed, getattr(methods, asked.method))
            plain_error = cell[1]["error"].median()
            print(f"\n{kind}, n = {rows}: median error {cell[0]['error'].median():.1%}, type mean {plain_error:.1%}")
            short += _show(list(acceptance(kind, rows, *cell)))
    if asked.method == "model":
        print("\nprograms of 20 bridges, clean")
        short += _show([Line(*figure) for figure in judge_programs(asked.worlds, asked.seed)])
    print(f"\n{asked.worlds} worlds a cell, {time.perf_counter() - started:.0f} s; {short or 'no'} figures fall short")
    return 1 if short else 0


def _show(lines: list[Line]) -> int:
    for line in lines:
        limits = f"{line.low:g} to {line.high:g}"
        print(f"  {line.item:32s} {line.seen:8.3f}   {limits:16s} {'pass' if line.holds else 'FALLS SHORT'}")
    return sum(not line.holds for line in lines)


if __name__ == "__main__":
    sys.exit(main())

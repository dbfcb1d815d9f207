"""Do the ranges of a like-for-like price hold what the work then costs? Run: python -m tests.benchmarks.judge_scope

Invented counties: the cost of each kind of work is lognormal about its county's own middle, with its own scatter; a
letter leaves out deck, railing and wearing surface, and the truth is its price plus what that work costs on this
bridge. Shown: how often the 80 % range holds the truth (76 to 86 % is asked), and whether offers said to be cheaper
with a chance of p are so p of the time (within 5 points, in five bands). Counties differ widely in their
middles and letters in their prices; two letters leave out different work, so that no doubt is shared.
"""

from __future__ import annotations

import sys

import numpy as np

from bidlens.proposal.adjustment import scope_rules
from bidlens.proposal.spread import chance_below, spread_of, total_points

ROWS = (3, 4, 6, 10, 20)
MIDDLES = (36.0, 22.0, 5.0)
SCATTERS = (0.2, 0.35, 0.5)
#: How far counties differ in the middle of a kind of work (log scale), and letters in their price ($/sf).
COUNTIES_DIFFER, LETTERS_DIFFER = 0.6, 30.0
QUOTED = 95.0
LOW, HIGH, POINTS_OFF = 0.76, 0.86, 0.05


def worlds(n: int, rows: int, rng: np.random.Generator) -> tuple[float, np.ndarray, np.ndarray]:
    """Coverage over n counties of so many rows; stated chances that the first of two offers is cheaper; how it went."""
    rule = scope_rules()["spread"]
    held, chances, cheaper = [], [], []
    for _ in range(n):
        totals, truths = [], []
        for usual in (MIDDLES, MIDDLES[:1]):
            scatter = rng.choice(SCATTERS, len(usual))
            middles = np.array(usual) * np.exp(COUNTIES_DIFFER * rng.standard_normal(len(usual)))
            quoted = QUOTED + sum(MIDDLES) - sum(usual) + rng.normal(0, LETTERS_DIFFER)
            past = middles * np.exp(scatter * rng.standard_normal((rows, len(usual))))
            spreads = [spread_of(past[:, place], (str(place), "x"), **rule) for place in range(len(usual))]
            totals.append(total_points(quoted, spreads))
            truths.append(quoted + float((middles * np.exp(scatter * rng.standard_normal(len(usual)))).sum()))
        low, high = np.quantile(totals[0], [0.1, 0.9])
        held.append(low <= truths[0] <= high)
        chances.append(chance_below(*totals))
        cheaper.append(truths[0] < truths[1])
    return float(np.mean(held)), np.array(chances), np.array(cheaper)


def main(n: int = 1500) -> int:
    """Print the tables; 1 where a figure is outside what is asked."""
    rng = np.random.default_rng(1)
    failed = False
    all_chances, all_cheaper = [], []
    print("rows  80 % range holds the truth")
    for rows in ROWS:
        coverage, chances, cheaper = worlds(n, rows, rng)
        all_chances.append(chances)
        all_cheaper.append(cheaper)
        failed |= not LOW <= coverage <= HIGH
        print(f"{rows:4d}  {100 * coverage:5.1f} %")
    chances, cheaper = np.concatenate(all_chances), np.concatenate(all_cheaper)
    print("\nchance stated   was cheaper   n")
    for low in (0.0, 0.2, 0.4, 0.6, 0.8):
        band = (chances >= low) & (chances < low + 0.2 if low < 0.8 else chances <= 1)
        stated, was = float(chances[band].mean()), float(cheaper[band].mean())
        failed |= abs(stated - was) > POINTS_OFF
        print(f"{100 * stated:11.1f} %   {100 * was:9.1f} %   {int(band.sum())}")
    print("\noutside what is asked" if failed else "\nas asked")
    return int(failed)


if __name__ == "__main__":
    sys.exit(main())

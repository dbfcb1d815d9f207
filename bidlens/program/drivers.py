"""What the doubt about a total comes from: each source switched off in turn, all else drawn as it was."""

from __future__ import annotations

import numpy as np
import pandas as pd

from bidlens.program.simulate import Futures

#: Runs that are enough to compare ranges; the full number would cost five times as long for no better answer.
RUNS = 2000
WORDS = {
    "index": "where the cost index goes",
    "market": "the market of the letting year",
    "model": "what size, span and type cost here",
    "scatter": "each letting's own ups and downs",
}


def drivers_of(futures: Futures, totals: np.ndarray) -> pd.DataFrame:
    """Sources of doubt, the strongest first: source, words, p10, p90 (of the total without it), narrower (ratio).

    totals : of the list in these futures. narrower : by how much the range from P10 to P90 of the total shrinks when
    the source is held at its middle.
    """
    few = futures.few(RUNS)
    whole = np.quantile(totals[: few.runs], [0.10, 0.90])
    rows = []
    for source, words in WORDS.items():
        low, high = np.quantile(few.as_planned((source,)).sum(axis=1), [0.10, 0.90])
        rows.append((source, words, low, high, 1 - (high - low) / (whole[1] - whole[0])))
    table = pd.DataFrame(rows, columns=["source", "words", "p10", "p90", "narrower"])
    return table.sort_values("narrower", ascending=False, kind="stable").reset_index(drop=True)

"""Plain ways to foretell a price, set beside the model in the look back: what a spreadsheet would do.

Each takes the usable rows of a history and two masks, the rows known and the rows to foretell, and gives $/sf of each
letting's own day; NaN where the method cannot be applied.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from bidlens.model.geometry import Terms
from bidlens.model.rows import Rows

#: Columns of the look back and what each method is called.
METHODS = {
    "p50": "this model",
    "type_mean": "average of the type, by the index",
    "last_three_years": "average of the type, last three years as bid",
    "ordinary": "ordinary regression, a level a type",
}
RECENT_YEARS = 3
#: Rows beyond the number of coefficients that an ordinary regression is asked to have; judgement, no source.
SPARE_ROWS = 3


def type_means(rows: Rows, before: np.ndarray, now: np.ndarray) -> np.ndarray:
    """Mean price of the type before, brought to each letting by the index; of all types where it is new."""
    in_one_dollar = pd.Series(np.exp(rows.log_cost))
    own = _own_or_all(in_one_dollar, rows.type_code, before, now)
    return np.asarray(own * _level(rows)[now])


def last_three_years(rows: Rows, before: np.ndarray, now: np.ndarray) -> np.ndarray:
    """Mean price of the type in the last three years as bid, brought nowhere; of all types where it had none then.

    NaN where nothing was let in those years.
    """
    year = int(rows.year[now].min()) if now.any() else 0
    recent = before & (rows.year >= year - RECENT_YEARS)
    as_bid = rows.frame["unit_cost"].astype(float)
    if not recent.any():
        return np.full(int(now.sum()), np.nan)
    return _own_or_all(as_bid, rows.type_code, recent, now)


def ordinary_regression(rows: Rows, terms: Terms, before: np.ndarray, now: np.ndarray) -> np.ndarray:
    """Ordinary least squares on ln $/sf by the index: span, deck area, bidders, skew, and a level for each type.

    NaN for all where the rows known are fewer than the coefficients and three; for a new type the mean of the levels.
    Terms that do not vary among the rows known are left out.
    """
    shared = np.column_stack([terms.span, terms.area, terms.bidders, terms.skew, terms.span_squared])
    varies = np.ptp(shared[before], axis=0) > 1e-12
    types = np.eye(len(rows.types))[rows.type_code]
    known = types[before].any(axis=0)
    design = np.hstack([shared[:, varies], types[:, known]])
    fitted, _, rank, _ = np.linalg.lstsq(design[before], rows.log_cost[before], rcond=None)
    if before.sum() < rank + SPARE_ROWS or rank < design.shape[1]:
        return np.full(int(now.sum()), np.nan)
    new = ~types[:, known].any(axis=1)
    design[np.ix_(new, range(int(varies.sum()), design.shape[1]))] = 1 / known.sum()
    return np.asarray(np.exp(design[now] @ fitted) * _level(rows)[now])


def _own_or_all(prices: pd.Series, type_code: np.ndarray, known: np.ndarray, now: np.ndarray) -> np.ndarray:
    means = prices[known].groupby(type_code[known]).mean()
    return pd.Series(type_code[now]).map(means).fillna(float(prices[known].mean())).to_numpy(dtype=float)


def _level(rows: Rows) -> np.ndarray:
    """The index at each letting, up to one factor; 1 where prices are taken as they stand."""
    return np.asarray(rows.frame["unit_cost"].to_numpy(dtype=float) / np.exp(rows.log_cost))

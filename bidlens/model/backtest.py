"""How well the model would have foretold a county's own past lettings, beside the plain mean of the type."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import bdtr

from bidlens import wording
from bidlens.findings import Finding
from bidlens.model import priors
from bidlens.model.cost_model import fit_cost_model
from bidlens.model.levels import as_cost_index
from bidlens.model.rows import Rows, read_rows
from bidlens.reference import CostIndex

LETTING_COLUMNS = (
    "contract_id", "structure_id", "letting_date", "superstructure", "unit_cost", "p05", "p50", "p95", "type_mean",
    "inside", "grade",
)  # fmt: skip
#: Fewer foretold lettings than this say little; judgement, no source.
TOO_FEW = 20


@dataclass(frozen=True, slots=True, eq=False)
class Backtest:
    """The past foretold year by year, each year from everything let before it.

    n : lettings foretold. median_abs_error : median of |expected / actual - 1|, and the same for the type mean.
    coverage_90 : share of actual prices inside their 9-in-10 range. All three NaN when n is 0.
    lettings : one row per letting, oldest first, with `LETTING_COLUMNS`; $/sf in the dollars modelled.
    """

    n: int
    median_abs_error: float
    coverage_90: float
    type_mean_median_abs_error: float
    lettings: pd.DataFrame
    findings: list[Finding]


def backtest(history: pd.DataFrame, index: CostIndex | pd.DataFrame | None = None) -> Backtest:
    """Foretell every past letting year from the years before it, as far as four priced structures were on record.

    Arguments as for `fit_cost_model`. The index is taken as published today, and the number of bidders as it turned
    out: what is tested is the price, not the forecast of the index or of competition. The comparison is the mean of the
    same type's prices, brought to the letting by the index; of all prices where the type was new.
    """
    rows, _, _ = read_rows(history, as_cost_index(index))
    years = np.unique(rows.year)
    pieces = [_foretold(history, index, rows, int(year)) for year in years]
    lettings = pd.concat([_no_lettings(), *(piece for piece in pieces if len(piece))], ignore_index=True)
    error = _median_error(lettings, "p50")
    plain = _median_error(lettings, "type_mean")
    count, inside = len(lettings), int(lettings["inside"].sum())
    coverage = inside / count if count else float("nan")
    return Backtest(count, error, coverage, plain, lettings, _findings(count, inside, error, plain))


def _foretold(history: pd.DataFrame, index: CostIndex | pd.DataFrame | None, rows: Rows, year: int) -> pd.DataFrame:
    """Lettings of one year as foretold from the years before; empty where those hold too little."""
    before, now = rows.year < year, rows.year == year
    if before.sum() < priors.ROWS_FOR_PREDICTION:
        return _no_lettings()
    model = fit_cost_model(history.iloc[rows.position[before]], index)
    actual = rows.frame[now]
    table = model.predict(actual).assign(type_mean=_type_means(rows, before, now))
    out = actual[["contract_id", "structure_id", "letting_date", "superstructure", "unit_cost"]].join(table)
    inside = (out["unit_cost"] >= out["p05"]) & (out["unit_cost"] <= out["p95"])
    return out.assign(inside=inside)[list(LETTING_COLUMNS)]


def _type_means(rows: Rows, before: np.ndarray, now: np.ndarray) -> np.ndarray:
    """Mean price of the type before, in the dollars of each letting now; of all types where it is new."""
    in_one_dollar = pd.Series(np.exp(rows.log_cost))
    means = in_one_dollar[before].groupby(rows.type_code[before]).mean()
    own = pd.Series(rows.type_code[now]).map(means).fillna(float(in_one_dollar[before].mean())).to_numpy(dtype=float)
    level = rows.frame["unit_cost"].to_numpy(dtype=float)[now] / np.exp(rows.log_cost[now])
    return np.asarray(own * level)


def _no_lettings() -> pd.DataFrame:
    kinds = {"letting_date": "datetime64[us]", "inside": "bool"}
    texts = ("contract_id", "structure_id", "superstructure", "grade")
    kinds |= {name: "str" if name in texts else "float64" for name in LETTING_COLUMNS if name not in kinds}
    return pd.DataFrame({name: pd.Series(dtype=kinds[name]) for name in LETTING_COLUMNS})


def _median_error(lettings: pd.DataFrame, column: str) -> float:
    if lettings.empty:
        return float("nan")
    return float((lettings[column] / lettings["unit_cost"] - 1).abs().median())


def _findings(count: int, inside: int, error: float, plain: float) -> list[Finding]:
    if not count:
        text = f"No letting year has {priors.ROWS_FOR_PREDICTION} priced structures before it; nothing can be foretold."
        return [Finding("backtest_not_possible", "check", text, "Import older bid tabs.")]
    found = []
    low, high = usual_count(count)
    if count < TOO_FEW:
        text = (
            f"Only {wording.count(count, 'past letting')} could be foretold: too few to mean much. "
            f"{inside} of {count} fell inside their 9-in-10 range; chance alone gives anything from {low} to {high}."
        )
        found.append(Finding("backtest_thin", "check", text))
    if not low <= inside <= high:
        way = "narrow" if inside < low else "wide"
        text = f"{inside} of {count} past prices fell inside their 9-in-10 range; the ranges were too {way} here."
        found.append(Finding("backtest_ranges", "check", text, "Read the ranges with that in mind."))
    if error >= plain:
        text = f"The plain type mean did as well: it missed by {_percent(plain)}, the model by {_percent(error)}."
        found.append(Finding("backtest_no_better", "note", text))
    return found


def _percent(ratio: float) -> str:
    return f"{wording.number(ratio * 100)}%"


def usual_count(count: int, chance: float = 0.90) -> tuple[int, int]:
    """Fewest and most of `count` that fall inside by chance, 19 times in 20, if each does with this chance."""
    up_to = bdtr(np.arange(count + 1, dtype=float), count, chance)
    return int(np.searchsorted(up_to, 0.025)), int(np.searchsorted(up_to, 0.975))

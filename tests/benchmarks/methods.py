"""Plain methods to set beside the model: the indexed type mean of a spreadsheet, and ordinary regression with dummies.

Each takes a world and gives seven quantiles of $/sf for its target lettings, m by 7, and the mean.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import pandas as pd
from scipy.special import ndtri, stdtrit

from bidlens import quarters
from bidlens.model import fit_cost_model
from tests.benchmarks.worlds import World

PROBABILITIES = np.array([0.05, 0.10, 0.25, 0.50, 0.75, 0.90, 0.95])
NAMES = ["p05", "p10", "p25", "p50", "p75", "p90", "p95"]


class Foretold(NamedTuple):
    quantiles: np.ndarray
    mean: np.ndarray


def model(world: World) -> Foretold:
    """The model under test, through its public surface."""
    table = fit_cost_model(world.history, world.index).predict(world.target)
    return Foretold(table[NAMES].to_numpy(), table["mean"].to_numpy())


def type_mean(world: World) -> Foretold:
    """Mean indexed price of the type (all types where it is new), spread by the type's own scatter from two rows on."""
    past = np.log(world.history["unit_cost"].to_numpy()) - _log_index(world, "history")
    now = _log_index(world, "target")
    kind, new_kind = world.history["superstructure"].to_numpy(), world.target["superstructure"].to_numpy()
    middles, spreads = np.empty(len(now)), np.empty(len(now))
    for which, name in enumerate(new_kind):
        own = past[kind == name]
        pool = own if len(own) else past
        middles[which] = np.log(np.exp(pool).mean())
        enough = own if len(own) >= 2 else past
        spreads[which] = enough.std(ddof=1)
    logs = (now + middles)[:, None] + ndtri(PROBABILITIES) * spreads[:, None]
    return Foretold(np.exp(logs), np.exp(now + middles))


def ordinary(world: World) -> Foretold:
    """Ordinary regression with a dummy a type and classic t prediction intervals; pooled level for a new type."""
    past = np.log(world.history["unit_cost"].to_numpy()) - _log_index(world, "history")
    types = sorted(set(world.history["superstructure"]))
    here, there = _dummies(world.history, types), _dummies(world.target, types)
    new = ~world.target["superstructure"].isin(types).to_numpy()
    there[new, 5:] = 1 / len(types)
    inverse = np.linalg.pinv(here.T @ here)
    fitted = inverse @ here.T @ past
    df = max(len(past) - np.linalg.matrix_rank(here), 1)
    variance = float(np.sum((past - here @ fitted) ** 2)) / df
    spread = np.sqrt(variance * (1 + np.einsum("ij,jk,ik->i", there, inverse, there)))
    middle = there @ fitted + _log_index(world, "target")
    logs = middle[:, None] + stdtrit(df, PROBABILITIES) * spread[:, None]
    return Foretold(np.exp(logs), np.exp(middle + variance / 2))


def _dummies(frame: pd.DataFrame, types: list[str]) -> np.ndarray:
    log_span = np.log(frame["span_ft"] / 60)
    shared = [
        log_span,
        np.log(frame["deck_area_sf"] / 2000),
        frame["bidders"] - 5,
        (frame["skew_deg"] / 30) ** 2,
        log_span**2,
    ]
    own = [frame["superstructure"] == name for name in types]
    return np.column_stack([np.asarray(column, dtype=float) for column in [*shared, *own]])


def _log_index(world: World, which: str) -> np.ndarray:
    frame = getattr(world, which)
    return np.log([world.index.at(quarter) for quarter in quarters.quarters_of(frame["letting_date"])])

"""What mobilization adds to bridge items: the share of past contracts, and how far it varied."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

_KEY = ["contract_id", "letting_date", "structure_id"]


@dataclass(frozen=True, slots=True)
class MobilizationShare:
    """Mobilization over the other work of past contracts: all of them together, and 1 in 10 and 9 in 10 of them.

    It is in the prices a forecast learns from, structure by structure, and not added afterwards.
    """

    share: float
    low: float
    high: float
    contracts: int


def mobilization_share(with_it: pd.DataFrame, without: pd.DataFrame) -> MobilizationShare | None:
    """The share, from one unit-cost history with mobilization in proportion and one without; None if they share none.

    Both : contract_id, letting_date, structure_id, basis_usd.
    """
    both = with_it[[*_KEY, "basis_usd"]].merge(without[[*_KEY, "basis_usd"]], on=_KEY, validate="1:1")
    sums = both.groupby(_KEY[:2])[["basis_usd_x", "basis_usd_y"]].sum()
    if sums.empty:
        return None
    ratio = sums["basis_usd_x"] / sums["basis_usd_y"] - 1
    low, high = np.quantile(ratio, [0.10, 0.90])
    whole = float(sums["basis_usd_x"].sum() / sums["basis_usd_y"].sum() - 1)
    return MobilizationShare(whole, float(low), float(high), len(sums))

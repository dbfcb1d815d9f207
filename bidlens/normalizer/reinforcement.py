"""Bars that serve deck and substructure alike, split by the concrete bid for each.

deck share = w Vdeck / (w Vdeck + Vsub), w = 2.2: a deck holds about 2.2 times the bars of an abutment by volume. The
ratio was measured on public low bids of two states (2.2 and 2.3). A split is an assumption, so the share and the
volumes are shown; without volumes nothing is split.
"""

from __future__ import annotations

import re
from collections.abc import Hashable
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from bidlens import wording
from bidlens.findings import Finding
from bidlens.normalizer.bases import cost_rules
from bidlens.normalizer.linking import SCHEDULE

UNSPLIT = "reinforcement_unsplit"


def deck_share(deck_cy: float, substructure_cy: float) -> float:
    """Share of the bars that goes to the deck, from cubic yards of concrete; NaN where both are zero."""
    weighted = cost_rules()["reinforcement"]["deck_weight"] * deck_cy
    total = weighted + substructure_cy
    return weighted / total if total > 0 else float("nan")


def concrete_volumes(items: pd.DataFrame) -> pd.DataFrame:
    """Cubic yards of deck and substructure concrete bid in each schedule that bids unsplit bars.

    items : SCHEDULE columns, work_category, pay_unit, quantity, description, extension.
    Returns one row per such schedule: SCHEDULE columns, deck_cy, substructure_cy, deck_share, unsplit_usd. The share
    is NaN where a side has work but no cubic yards, or where neither side has work. Subfootings and seals do not
    count: they carry few bars.
    """
    unsplit = items[items["work_category"] == UNSPLIT].groupby(SCHEDULE)["extension"].sum().rename("unsplit_usd")
    sides = items[items["work_category"].isin(["deck", "substructure"])]
    cubic_yards = sides["quantity"].where(_is_concrete_volume(sides), 0.0)
    by_side = sides.assign(cy=cubic_yards, lines=1.0).pivot_table(
        index=SCHEDULE, columns="work_category", values=["cy", "lines"], aggfunc="sum", fill_value=0.0
    )
    wanted = pd.MultiIndex.from_product([["cy", "lines"], ["deck", "substructure"]])
    by_side = by_side.reindex(columns=wanted, fill_value=0.0).reindex(unsplit.index, fill_value=0.0)
    deck, sub = by_side["cy", "deck"].to_numpy(float), by_side["cy", "substructure"].to_numpy(float)
    unmeasured = ((by_side["lines", "deck"] > 0) & (deck == 0)) | ((by_side["lines", "substructure"] > 0) & (sub == 0))
    share = np.array([deck_share(d, s) for d, s in zip(deck, sub, strict=True)], dtype=float)
    share = np.where(unmeasured.to_numpy(bool), np.nan, share)
    return unsplit.to_frame().assign(deck_cy=deck, substructure_cy=sub, deck_share=share).reset_index()


def _is_concrete_volume(rows: pd.DataFrame) -> pd.Series:
    rules = cost_rules()["reinforcement"]
    excluded = "|".join(re.escape(word) for word in rules["not_concrete_volume"])
    is_excluded = rows["description"].str.contains(excluded, case=False, na=False)
    return (rows["pay_unit"] == rules["volume_unit"]) & ~is_excluded


@dataclass(frozen=True, slots=True, eq=False)
class SplitItems:
    """items : the rows given, each unsplit row with known volumes now two (deck, substructure), and `split_share`.

    volumes : as `concrete_volumes` gives them.
    """

    items: pd.DataFrame
    volumes: pd.DataFrame
    findings: list[Finding]


def split_reinforcement(items: pd.DataFrame) -> SplitItems:
    """Split unsplit bars between deck and substructure where the schedule's concrete volumes are known.

    The two rows of a split line carry its extension whole and say their part in `split_share`, so that each still
    leads to its source line; every other row has 1.
    """
    volumes = concrete_volumes(items)
    whole = items.assign(split_share=1.0)
    by_row = whole[SCHEDULE].merge(volumes[[*SCHEDULE, "deck_share"]], on=SCHEDULE, how="left", validate="m:1")
    share = by_row["deck_share"].set_axis(items.index)
    to_split = (items["work_category"] == UNSPLIT) & share.notna()
    bars = whole[to_split]
    parts = [
        whole[~to_split],
        bars.assign(work_category="deck", split_share=share[to_split]),
        bars.assign(work_category="substructure", split_share=1 - share[to_split]),
    ]
    out = pd.concat([part for part in parts if len(part)]).sort_index(kind="stable") if len(items) else whole
    return SplitItems(out[out["split_share"] > 0], volumes, [_split_finding(row) for row in volumes.to_dict("records")])


def _split_finding(row: dict[Hashable, Any]) -> Finding:
    where = f"Contract {row['contract_id']}" + (f", schedule {row['schedule']}" if row["schedule"] else "")
    bars = f"{wording.usd(row['unsplit_usd'])} of reinforcement for deck and substructure together"
    if pd.isna(row["deck_share"]):
        return Finding(
            "reinforcement_not_split",
            "check",
            f"{where}: {bars} cannot be split, since the cubic yards of concrete are not bid for both. "
            "It counts in the bridge cost and not in the superstructure cost, which is too low by its deck part.",
            "Place the item in deck or substructure by hand if you know which it is.",
            contract_id=row["contract_id"],
        )
    return Finding(
        "reinforcement_split",
        "note",
        f"{where}: {bars} was split by concrete volume, {wording.number(100 * row['deck_share'])}% to the deck "
        f"({wording.number(row['deck_cy'])} cy of deck, {wording.number(row['substructure_cy'])} cy of substructure).",
        contract_id=row["contract_id"],
    )

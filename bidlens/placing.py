"""Placing a pay item in a work category by hand, and what that moves: seen before it is done, and taken back after."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import pandas as pd

from bidlens import indexes, normalizer, quarters, store
from bidlens.reference import CostIndex

_LINE = ["contract_id", "letting_date", "schedule", "line"]
_PRICE = ["basis", "contract_id", "letting_date", "structure_id"]


@dataclass(frozen=True, slots=True, eq=False)
class PlacingEffect:
    """What a decision moves.

    lines : the lines that change, columns of `lines_of_pay_item` and to_category. usd : their dollars in low bids.
    prices : basis, contract_id, letting_date, structure_id, superstructure, before, after ($/sf in dollars of
        `dollars_of`; missing where the structure has no price), change (ratio), one row per price that changes.
    priced : prices looked at that stay as they are included, all bases together.
    """

    lines: pd.DataFrame
    usd: float
    prices: pd.DataFrame
    priced: int
    dollars_of: str


class Placing:
    """The part of `Database` that places pay items by hand."""

    store: store.Store

    def overrides(self) -> pd.DataFrame:
        """Pay items placed by hand, with reason and day."""
        return store.ask(self.store, "overrides")

    def place_item(self, item_code: str, description: str, pay_unit: str, work_category: str, reason: str) -> int:
        """Place a pay item in a work category by hand; wins over every rule. Returns the lines it moved."""
        normalizer.check_category(work_category)
        decided_at = dt.datetime.now(dt.UTC).replace(tzinfo=None)
        return store.apply_override(
            self.store, item_code, description, pay_unit, work_category, reason, decided_at=decided_at
        )

    def withdraw_item(self, item_code: str, description: str, pay_unit: str) -> int:
        """Take a decision by hand back; the rules place the item again. Returns the lines it moved."""
        aliases, none = store.ask(self.store, "item_aliases"), pd.DataFrame()
        return store.remove_override(
            self.store, item_code, description, pay_unit,
            lambda items: normalizer.categorize_as_known(items, aliases, none),
        )  # fmt: skip

    def placing_effect(
        self, item_code: str, description: str, pay_unit: str, work_category: str | None, index: CostIndex
    ) -> PlacingEffect:
        """What placing a pay item would move; work_category None: what taking its decision back would.

        index : to show prices in dollars of its last published quarter. Nothing is stored.
        """
        key = {"item_code": item_code, "description": description, "pay_unit": pay_unit}
        lines = store.ask(self.store, "lines_of_pay_item", **key)
        to = self._by_rule(lines, key) if work_category is None else pd.Series(work_category, lines.index, dtype="str")
        moved = lines.assign(to_category=to)
        moved = moved[moved["to_category"] != moved["work_category"]].reset_index(drop=True)
        items = self._items_of(moved["contract_id"])
        new = moved.set_index(_LINE)["to_category"].reindex(pd.MultiIndex.from_frame(items[_LINE])).to_numpy()
        after = items.assign(work_category=items["work_category"].where(pd.isna(new), pd.Series(new, items.index)))
        was, dollars_of = self._prices(items, index)
        will, _ = self._prices(after, index)
        both = was.merge(will, on=[*_PRICE, "superstructure"], how="outer", suffixes=("_was", "_will"), validate="1:1")
        both = both.rename(columns={"price_was": "before", "price_will": "after"})
        same = (both["before"] - both["after"]).abs() < 0.005
        changed = both[~same].assign(change=lambda rows: rows["after"] / rows["before"] - 1)
        usd = float(moved["low_bid_usd"].sum())
        return PlacingEffect(moved, usd, changed.reset_index(drop=True), len(both), dollars_of)

    def _by_rule(self, lines: pd.DataFrame, key: dict[str, str]) -> pd.Series:
        """Where the rules, and other decisions that fit, would place the lines once this decision is gone."""
        decided = normalizer.categorize(lines)
        others = self.overrides()
        own = pd.Series(True, others.index)
        for name, value in key.items():
            own &= others[name] == value.strip()
        return normalizer.apply_overrides(lines, decided, others[~own])["work_category"]

    def _items_of(self, contracts: pd.Series) -> pd.DataFrame:
        items = store.ask(self.store, "low_bid_items")
        return items[items["contract_id"].isin(contracts)].reset_index(drop=True)

    def _prices(self, items: pd.DataFrame, index: CostIndex) -> tuple[pd.DataFrame, str]:
        """$/sf of the structures these items pay for, on every basis, and the quarter of the dollars."""
        lettings = store.ask(self.store, "lettings")
        let = list(quarters.quarters_of(lettings["letting_date"]).dropna())
        mine = lettings[lettings["contract_id"].isin(items["contract_id"])]
        structures = store.ask(self.store, "structures_with_contract")
        structures = structures[structures["contract_id"].isin(items["contract_id"])]
        base = indexes.base_quarter(index, None, let)
        found = normalizer.unit_cost_histories(
            items, mine, structures, indexes.reaching(index, let), list(normalizer.load_bases()), base
        )
        frames = [one.frame.assign(price=one.frame["unit_cost_adjusted"]) for one in found.values()]
        return pd.concat(frames, ignore_index=True)[[*_PRICE, "superstructure", "price"]], base

"""The unit-cost history: what each structure cost per square foot of deck, as bid and in dollars of one quarter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import pandas as pd

from bidlens import quarters
from bidlens.findings import Finding
from bidlens.normalizer import escalation
from bidlens.normalizer.bases import DEFAULT_BASIS, basis_named
from bidlens.normalizer.columns import CATEGORY_COST_COLUMNS, HISTORY_COLUMNS, LEFT_OUT_COLUMNS, typed
from bidlens.normalizer.linking import STRUCTURE
from bidlens.normalizer.prices import StructurePrices, prices_on
from bidlens.reference import CostIndex


@dataclass(frozen=True, slots=True, eq=False)
class UnitCostHistory:
    """Unit costs on one basis in dollars of one quarter.

    frame : HISTORY_COLUMNS, one row per structure and letting, in letting order; $/sf of deck. typed_usd : dollars of
        the basis that rest on unit prices typed by hand; linked_by, link_reason, geometry_from : how the structure came
        to its contract and its size, see `by_hand`.
    category_costs : CATEGORY_COST_COLUMNS for the same structures; every category their schedules bid, in $/sf.
    left_out : contract_id, structure_id, reason; every structure given is in `frame` or here.
    """

    frame: pd.DataFrame
    category_costs: pd.DataFrame
    basis: str
    dollars_of: str
    index_title: str
    findings: list[Finding] = field(default_factory=list)
    left_out: pd.DataFrame = field(default_factory=lambda: typed(pd.DataFrame(), LEFT_OUT_COLUMNS))


def unit_cost_history(
    items: pd.DataFrame,
    lettings: pd.DataFrame,
    structures: pd.DataFrame,
    index: CostIndex,
    basis: str = DEFAULT_BASIS,
    dollars_of: str | None = None,
    *,
    include_mobilization: bool = False,
) -> UnitCostHistory:
    """What each structure cost per square foot of deck on one basis, as bid and in dollars of one quarter.

    items : the low responsive bidder's priced lines, with work_category.
    lettings : one row per contract and letting, with status, bidders and low_bidder.
    structures : structures with the contract that paid for them; letting_date and schedule may be missing.
    index : reaching every letting date, by forecast if need be.
    dollars_of : quarter the adjusted prices are in; the last published quarter of the index when None.
    include_mobilization : add the contract's mobilization in proportion to the dollars of the basis.
    Raises BadValue for an unknown basis, MissingReference for a quarter outside the index.
    """
    found = unit_cost_histories(
        items, lettings, structures, index, [basis], dollars_of, include_mobilization=include_mobilization
    )
    return found[basis]


def unit_cost_histories(
    items: pd.DataFrame,
    lettings: pd.DataFrame,
    structures: pd.DataFrame,
    index: CostIndex,
    bases: Sequence[str],
    dollars_of: str | None = None,
    *,
    include_mobilization: bool = False,
) -> dict[str, UnitCostHistory]:
    """`unit_cost_history` on several bases by name: what they share is worked out once."""
    wanted = [basis_named(basis) for basis in bases]
    prices = prices_on(wanted, items, lettings, structures, include_mobilization=include_mobilization)
    return {name: restated(one, index, dollars_of) for name, one in prices.items()}


def restated(prices: StructurePrices, index: CostIndex, dollars_of: str | None = None) -> UnitCostHistory:
    """`unit_cost_history` of structures that are priced already."""
    base_quarter = quarters.parse_quarter(dollars_of) if dollars_of else index.last_published
    index.at(base_quarter)
    frame = restated_frame(prices.frame, index, base_quarter)
    findings = [*prices.findings, *escalation.index_findings(frame, index)]
    left_out = typed(prices.left_out, LEFT_OUT_COLUMNS)
    category_costs = _category_costs(prices.paid.lines, frame)
    return UnitCostHistory(frame, category_costs, prices.basis.name, base_quarter, index.title, findings, left_out)


def restated_frame(frame: pd.DataFrame, index: CostIndex, dollars_of: str) -> pd.DataFrame:
    """The frame of `StructurePrices`, or some of its rows, as that of a history in dollars of a quarter."""
    return typed(escalation.with_adjusted_cost(frame, index, dollars_of), HISTORY_COLUMNS)


def ratio_of_sums(frame: pd.DataFrame, unit_cost: str = "unit_cost") -> float:
    """Average $/sf of several structures: all their dollars over all their deck area. NaN where there is none.

    unit_cost : column of $/sf to average; rows without it do not count. The plain mean of unit costs, or of the
    averages of several types, is not an average cost. Source: FHWA bridge replacement cost submittal criteria.
    """
    known = frame[unit_cost].notna() & frame["deck_area_sf"].notna()
    cost, deck = frame[unit_cost][known], frame["deck_area_sf"][known]
    area = float(deck.sum())
    return float((cost * deck).sum()) / area if area > 0 else float("nan")


def _category_costs(lines: pd.DataFrame, frame: pd.DataFrame) -> pd.DataFrame:
    """$/sf by work category of the structures in `frame`, as bid and adjusted."""
    by_category = lines.groupby([*STRUCTURE, "work_category"])["dollars"].sum().reset_index()
    facts = frame[[*STRUCTURE, "superstructure", "deck_area_sf", "index_ratio"]]
    joined = by_category.merge(facts, on=STRUCTURE, how="inner", validate="m:1")
    unit_cost = joined["dollars"] / joined["deck_area_sf"]
    priced = joined.assign(unit_cost=unit_cost, unit_cost_adjusted=unit_cost * joined["index_ratio"])
    return typed(priced[priced["dollars"] != 0], CATEGORY_COST_COLUMNS)

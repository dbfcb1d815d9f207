"""Which lines of which letting pay for each structure, and with how many dollars: the same for every basis."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from bidlens.findings import Finding
from bidlens.normalizer import costs, linking
from bidlens.normalizer.columns import ITEM_COLUMNS, LETTING_COLUMNS, STRUCTURE_COLUMNS, typed
from bidlens.normalizer.linking import STRUCTURE


@dataclass(frozen=True, slots=True, eq=False)
class PaidLines:
    """Structures linked to their lettings and to the lines that pay for them: what every basis and quarter starts from.

    items : lines that count. structures : one row each, still in play. lines : structure x line, with dollars.
    lettings : as given, in their types.
    """

    lettings: pd.DataFrame
    items: pd.DataFrame
    structures: pd.DataFrame
    lines: pd.DataFrame
    left_out: pd.DataFrame
    findings: list[Finding]


def paid_lines(
    items: pd.DataFrame, lettings: pd.DataFrame, structures: pd.DataFrame, *, whole_contract: bool
) -> PaidLines:
    """Link structures to lettings and schedules and hand each the lines that pay for it.

    Frames as for `unit_cost_history`. whole_contract : all lines of a contract are handed out, as for such a basis.
    """
    items, lettings = typed(items, ITEM_COLUMNS), typed(lettings, LETTING_COLUMNS)
    structures = typed(structures, STRUCTURE_COLUMNS)
    with_contract = structures[structures["contract_id"].fillna("") != ""]
    with_contract = with_contract.assign(schedule=with_contract["schedule"].fillna("")).reset_index(drop=True)
    of_these = items[items["contract_id"].isin(with_contract["contract_id"])]
    base = linking.without_alternates(of_these.assign(schedule=of_these["schedule"].fillna("")), with_contract)
    counted = costs.cost_lines(base.frame)
    let = linking.link_lettings(with_contract, lettings)
    scheduled = linking.link_schedules(let.frame, counted.items, whole_contract=whole_contract)
    shared = linking.share_by_area(scheduled.frame)
    lines = costs.lines_of_structures(counted.items, shared.frame)
    smallest_share = shared.frame.groupby(STRUCTURE)["area_share"].min().rename("area_share").reset_index()
    one_each = shared.frame.drop(columns=["area_share", "schedule"]).drop_duplicates(STRUCTURE)
    return PaidLines(
        lettings,
        counted.items,
        one_each.merge(smallest_share, on=STRUCTURE, how="left", validate="1:1"),
        lines.items,
        pd.concat([let.left_out, scheduled.left_out, shared.left_out], ignore_index=True),
        [*base.findings, *counted.findings, *let.findings, *shared.findings, *lines.findings],
    )

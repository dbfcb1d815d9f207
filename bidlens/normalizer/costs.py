"""The priced lines that pay for each structure, and the dollars they come to by category and by basis."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from bidlens import wording
from bidlens.findings import Finding
from bidlens.normalizer.bases import CostBasis
from bidlens.normalizer.categories import is_time_bid
from bidlens.normalizer.linking import LETTING, SCHEDULE, STRUCTURE
from bidlens.normalizer.reinforcement import split_reinforcement

MOBILIZATION = "mobilization"
UNCLASSIFIED = "unclassified"
#: Above this part of a contract's dollars, items without a work category are worth a look. Common practice, no source.
UNCLASSIFIED_LIMIT = 0.05
_LINE_ORDER = [*LETTING, "source_file", "source_sheet", "source_row", "schedule", "line"]


@dataclass(frozen=True, slots=True, eq=False)
class CostLines:
    """items : the lines that count, in the order of their source; a line without a price or for time is not one."""

    items: pd.DataFrame
    findings: list[Finding]


def cost_lines(items: pd.DataFrame) -> CostLines:
    """Leave out time bids, which rank bids and are paid to nobody, and lines without a price. Say what went."""
    ordered = items.sort_values(_LINE_ORDER, kind="stable").reset_index(drop=True)
    time = is_time_bid(ordered).to_numpy(bool)
    unpriced = ordered["extension"].isna().to_numpy(bool) & ~time
    findings = [
        Finding(
            "time_bid_left_out",
            "note",
            f"Contract {contract_id}: {wording.usd(usd)} bid for time is in no cost; it ranks bids and is not paid.",
            contract_id=contract_id,
        )
        for contract_id, usd in _by_letting(ordered[time], "sum")
        if usd
    ]
    findings += [
        Finding(
            "line_without_price",
            "check",
            f"Contract {contract_id}: {wording.count(int(lines), 'line')} of the low bid without a price left out.",
            "Look at the bid tab: the cost may be too low.",
            contract_id=contract_id,
        )
        for contract_id, lines in _by_letting(ordered[unpriced], "size")
    ]
    return CostLines(ordered[~time & ~unpriced].reset_index(drop=True), findings)


def _by_letting(lines: pd.DataFrame, what: str) -> list[tuple[str, float]]:
    """The contract of each letting with the sum of its extensions, or their number."""
    of_letting = lines.groupby(LETTING)["extension"].agg(what).rename("value").reset_index()
    return list(zip(of_letting["contract_id"], of_letting["value"], strict=True))


def lines_of_structures(items: pd.DataFrame, payments: pd.DataFrame) -> CostLines:
    """Every line that pays for a structure, with the structure's share of it and its dollars.

    items : lines that count. payments : one row per structure and schedule, with area_share.
    Returns one row per structure and line (a line of unsplit bars gives two), with share and dollars.
    """
    paying = items.merge(payments[SCHEDULE].drop_duplicates(), on=SCHEDULE, how="inner", validate="m:1")
    split = split_reinforcement(paying)
    owed = payments[[*STRUCTURE, "schedule", "area_share"]]
    lines = owed.merge(split.items, on=SCHEDULE, how="inner", validate="m:m")
    share = lines["area_share"] * lines["split_share"]
    lines = lines.assign(share=share, dollars=share * lines["extension"]).drop(columns=["split_share", "area_share"])
    return CostLines(lines, split.findings)


def mobilization_lines(items: pd.DataFrame, lines: pd.DataFrame, basis: CostBasis) -> pd.DataFrame:
    """The contract's mobilization lines, each structure's share being its basis dollars over all other dollars.

    items : lines that count. lines : as `lines_of_structures` gives them. Same columns as `lines`; empty on the
    whole-contract basis, which holds mobilization already.
    """
    if basis.whole_contract:
        return lines.iloc[:0]
    is_mobilization = items["work_category"] == MOBILIZATION
    others = items[~is_mobilization].groupby(LETTING)["extension"].sum().rename("others").reset_index()
    mine = (
        lines[basis.includes(lines["work_category"])].groupby(STRUCTURE)["dollars"].sum().rename("mine").reset_index()
    )
    share = mine.merge(others, on=LETTING, how="left", validate="m:1")
    share = share.assign(share=share["mine"] / share["others"]).drop(columns=["mine", "others"])
    added = share.merge(items[is_mobilization], on=LETTING, how="inner", validate="m:m")
    return added.assign(dollars=added["share"] * added["extension"])[lines.columns]


def unclassified_findings(items: pd.DataFrame, kept: pd.DataFrame) -> list[Finding]:
    """Contracts of the history where items without a work category are above UNCLASSIFIED_LIMIT of the dollars."""
    mine = items.merge(kept[LETTING].drop_duplicates(), on=LETTING, how="inner", validate="m:1")
    unclassified = mine["extension"].where(mine["work_category"] == UNCLASSIFIED, 0.0)
    sums = mine.assign(unclassified=unclassified).groupby(LETTING)[["unclassified", "extension"]].sum().reset_index()
    over = sums[sums["unclassified"] > UNCLASSIFIED_LIMIT * sums["extension"]]
    return [
        Finding(
            "unclassified_dollars",
            "check",
            f"Contract {row['contract_id']}: {wording.usd(row['unclassified'])}, "
            f"{wording.number(100 * row['unclassified'] / row['extension'])}% of its dollars, is in no work category "
            "and in no basis but the whole contract.",
            "Place those pay items in a work category under Records.",
            contract_id=row["contract_id"],
        )
        for row in over.to_dict("records")
    ]

"""What a reader of a review must know of it: what is left out, what is not given and why."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from bidlens import wording
from bidlens.findings import Finding, Unavailable
from bidlens.letting.change import ChangeExplained
from bidlens.letting.competition import CONCENTRATION_FROM, Competition
from bidlens.letting.contracts import let
from bidlens.letting.price_index import MATCHED_FROM, BeyondIndex
from bidlens.letting.triggers import Trigger

CHANGE_NOT_EXPLAINED = "change_not_explained"


def findings(
    period: str,
    mine: pd.DataFrame,
    counted: Competition,
    beyond: BeyondIndex | Unavailable,
    index: pd.DataFrame,
) -> list[Finding]:
    """The doubts of a review. period : its years in words. mine : its lettings. index : the county's price index."""
    if mine.empty:
        text = f"no letting of {period} is on record"
        return [Finding("nothing_let", "check", text, "Import the bid tabs of those years.")]
    return [*_left_out(mine, counted), *_not_given(beyond, index)]


def _left_out(mine: pd.DataFrame, counted: Competition) -> Iterator[Finding]:
    rejected = int((mine["status"] == "rejected").sum())
    if rejected:
        text = f"{rejected} of {len(mine)} lettings had all bids rejected; listed, in no count"
        yield Finding("rejected_left_out", "note", text)
    without = int(let(mine)["estimate_usd"].isna().sum())
    if without:
        text = f"{without} of {counted.contracts} contracts have no whole engineer's estimate to be compared with"
        yield Finding("no_estimate", "note", text, "Import bid tabs that carry the estimate.")
    unlisted = let(mine)["bids"].gt(let(mine)["listed_bids"])
    if unlisted.any():
        n = wording.count(int(unlisted.sum()), "contract")
        text = f"for {n} the file says how many bids came in and lists fewer; money left and spread are of those listed"
        yield Finding("bids_not_listed", "note", text)


def of_change(mine: pd.DataFrame, change: ChangeExplained | Unavailable) -> list[Finding]:
    """That the change of the average $/sf is not explained, and why, where it is not. mine : the lettings reviewed."""
    if mine.empty or not isinstance(change, Unavailable):
        return []
    return [Finding(CHANGE_NOT_EXPLAINED, "note", f"why the average $/sf changed is {change}")]


def _not_given(beyond: BeyondIndex | Unavailable, index: pd.DataFrame) -> Iterator[Finding]:
    if isinstance(beyond, Unavailable):
        yield Finding("same_work_not_given", "note", f"the change of prices for the same work is {beyond}")
    broken = index[index["link"].isna()].iloc[1:]
    if len(broken):
        years = ", ".join(str(one) for one in broken["year"])
        least = f"fewer than {MATCHED_FROM} pay items in common with the year before"
        yield Finding("index_broken", "note", f"the county price index has no link to {years}: {least}")


def concentration(hhi: float | None, awards: int, trigger: Trigger) -> list[Finding]:
    """Whether awards are concentrated beyond the setting, with the caution that belongs to it; none while it is off."""
    if not trigger.on:
        return []
    limit = trigger.value("highly_above")
    if hhi is None:
        text = f"concentration of awards is not given: {awards} on record, it takes {CONCENTRATION_FROM}"
        return [Finding("concentration_not_given", "note", text)]
    if hhi <= limit:
        return []
    alike = 10_000 / awards
    text = (
        f"low dollars are concentrated: the sum of squared percent shares is {wording.number(hhi)}, the setting "
        f"{wording.number(limit)}; {awards} equal awards to as many firms would give {wording.number(alike)}, and the "
        "measure is one of whole markets"
    )
    return [Finding("concentration", "check", text, "Ask what kept other firms away; it is no evidence of anything.")]

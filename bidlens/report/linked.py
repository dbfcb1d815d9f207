"""What the command on links between contracts and structures says in a terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pandas as pd

from bidlens.report.answers import records
from bidlens.report.terminal import paragraph, table
from bidlens.wording import count, day, number, usd


def links_answer(without: pd.DataFrame, suggestions: pd.DataFrame, said: pd.DataFrame) -> str:
    """Contracts with bridge work and no structure, structures that contracts name, and what was said by hand."""
    parts = [_without(without), _suggested(suggestions)]
    if len(said):
        rows = [
            (row.contract_id, day(row.letting_date), row.structure_id, row.schedule or "whole", stands(row),
             size_words(row), row.reason, day(row.decided_at))
            for row in records(said)
        ]  # fmt: skip
        head = ("contract", "let", "structure", "schedule", "", "by hand", "why", "when")
        parts.append("Said by hand\n" + table(head, rows, "", 48))
    return "\n\n".join(parts)


def stands(row: Any) -> str:
    """Whether one row of what was said by hand links or unlinks, and whether it has effect now."""
    word = "linked" if row.linked else "unlinked"
    return word if row.in_use else f"{word}; contract not on record now"


def size_words(row: Any) -> str:
    """Type and size said by hand, in a few words."""
    kind = row.superstructure if isinstance(row.superstructure, str) else ""
    sizes = [
        f"{name} {number(float(value), 1)} ft"
        for name, value in (("length", row.length_ft), ("width", row.width_ft), ("span", row.span_ft))
        if pd.notna(value)
    ]
    return ", ".join(filter(None, (kind, *sizes))) or "as listed"


def _without(frame: pd.DataFrame) -> str:
    if frame.empty:
        return paragraph("Every contract with bridge work in its low bid has a structure.")
    rows = [
        (row.contract_id, day(row.letting_date), usd(row.bridge_usd), row.low_bidder, row.description or "")
        for row in records(frame)
    ]
    said = (
        f"{count(len(frame), 'contract')} with {usd(frame['bridge_usd'].sum())} of bridge work in low bids and no "
        "structure linked: they are in no cost per square foot."
    )
    head = ("contract", "let", "bridge work", "low bidder", "work")
    return paragraph(said) + "\n\n" + table(head, rows, "llrll")


def _suggested(frame: pd.DataFrame) -> str:
    if frame.empty:
        return paragraph("No contract names a structure on record that it is not linked to.")
    rows = [
        (row.contract_id, day(row.letting_date), row.structure_id, ", ".join(row.schedules) or "whole",
         f"{row.found_in}: {row.text}", f"LOOK: reads like {row.also_fits} too" if row.also_fits else "")
        for row in records(frame)
    ]  # fmt: skip
    said = (
        f"{count(len(frame), 'structure')} named by contracts and not linked. Nothing is linked until you say so: "
        "bidlens links --link CONTRACT STRUCTURE --because REASON"
    )
    head = ("contract", "let", "structure", "schedule", "named in", "")
    return paragraph(said) + "\n\n" + table(head, rows, "", 60)


def linked_said(contract_id: str, structure_id: str, schedules: Sequence[str]) -> str:
    """What a link does."""
    part = f", schedule {' and '.join(schedules)}" if schedules else ""
    return (
        f"{structure_id} is linked to contract {contract_id}{part}, by hand; its price per square foot says so. "
        "Structures that no schedule tells apart share the dollars by deck area."
    )


def unlinked_said(contract_id: str, structure_id: str) -> str:
    """What unlinking does."""
    return f"{structure_id} is not linked to contract {contract_id} any more; what the file says stays on record."


def taken_back_said(contract_id: str, structure_id: str, was_link: bool) -> str:
    """What taking one back does."""
    what = "The link by hand" if was_link else "The word against a link"
    return f"{what} of {structure_id} and contract {contract_id} is taken back; what the files say holds."

"""Sheets of a bid tab that only repeat the bidders' totals: a check on what was added up, never a second count."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bidlens.findings import Finding
from bidlens.ingest import cells
from bidlens.ingest.doubts import CENT, usd
from bidlens.ingest.grid import Cell, Grid
from bidlens.ingest.headers import words_of
from bidlens.ingest.tabulation import Tabulation


def compare_totals(done: Tabulation, others: Sequence[Grid]) -> Iterator[Finding]:
    """Bidders whose row on another visible sheet holds amounts, none of them their total as read or as corrected.

    Of files with one letting alone: in others a name does not say which contract is meant.
    """
    if len(done.lettings) != 1:
        return
    bids = {words_of(bid["bidder"]): bid for _, bid in done.bids.iterrows()}
    for grid in others:
        for index, row in enumerate(grid.rows):
            bid = next(
                (bids[words] for cell in row if isinstance(cell, str) and (words := words_of(cell)) in bids), None
            )
            amounts = [] if bid is None else _amounts(row)
            if bid is None or not amounts:
                continue
            own = (int(bid["as_read"]), int(bid["corrected"]))
            if min(abs(amount - total) for amount in amounts for total in own) <= CENT:
                continue
            text = (
                f"contract {bid['contract_id']}: {bid['bidder']}: the sheet “{grid.sheet}” gives {usd(max(amounts))}, "
                f"the items add up to {usd(own[1])}"
            )
            do = "Look whether items are missing, or the award rests on other schedules (--award)."
            yield Finding("summary_total_differs", "check", text, do, grid.place(index), str(bid["contract_id"]))


def _amounts(row: list[Cell]) -> list[int]:
    """The amounts of a row in whole cents; places and percents, below 100 dollars, are none."""
    found = []
    for cell in row:
        try:
            value = cells.number(cell, 2)
        except ValueError:
            continue
        if value is not None and abs(value) >= 100:
            found.append(int(value * 100))
    return found

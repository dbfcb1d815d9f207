"""Contracts of which a file gives totals and no items: they become contracts and bids, and never an item.

What such a file cannot give is not made up: no unit cost can be worked out from it, and a Finding says so.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
import pandas as pd
import pyarrow as pa

from bidlens.batch import Batch
from bidlens.errors import BadValue, Place
from bidlens.findings import Finding
from bidlens.ingest import totals
from bidlens.ingest.doubts import look_over_totals, usd
from bidlens.ingest.tabulation import LETTING, Tabulation


@dataclass(frozen=True, slots=True)
class BidTotal:
    """One bid: totals in whole cents, None where the file gives none. row : in the file, from 1."""

    bidder: str
    as_read: int | None
    corrected: int | None
    row: int
    status: str = "responsive"

    def both(self) -> tuple[int, int]:
        """As read and as corrected, each standing for the other where one is missing."""
        first = self.corrected if self.as_read is None else self.as_read
        second = self.as_read if self.corrected is None else self.corrected
        return first or 0, second or 0


@dataclass(slots=True, eq=False)
class LettingTotal:
    """One contract. bids_stated : bids received where the file says so; estimate : in whole cents."""

    contract_id: str
    letting_date: dt.date
    row: int
    sheet: str = ""
    status: str = "not stated"
    work: str = ""
    bids_stated: int | None = None
    estimate: int | None = None
    bids: list[BidTotal] = field(default_factory=list)


def batch_of(
    lettings: Sequence[LettingTotal],
    file: str,
    sha256: str,
    layout: str,
    rows_read: int,
    aside: pd.DataFrame,
    findings: Sequence[Finding],
) -> Batch:
    """The contracts and bids as the stored tables. Raises BadValue where a bidder stands twice in one contract."""
    _refuse_doubles(lettings, file)
    done = _ranked(lettings, file)
    return Batch(
        source_file=file,
        sha256=sha256,
        kind="bid-tab",
        layout=layout,
        rows_read=rows_read,
        contracts=len(lettings),
        tables=_tables(done),
        set_aside=aside,
        findings=[
            _no_items(lettings, file),
            *findings,
            *look_over_totals(done),
            *_totals_differ(lettings, file),
            *_competition(lettings, file),
        ],
    )


def _refuse_doubles(lettings: Sequence[LettingTotal], file: str) -> None:
    for letting in lettings:
        seen: set[str] = set()
        for bid in letting.bids:
            if bid.bidder in seen:
                raise BadValue(
                    f"the bidder “{bid.bidder}” stands twice in contract {letting.contract_id}",
                    where=Place(file, letting.sheet or None, bid.row),
                    do="Keep one of the rows and import again; nothing was imported from this file.",
                )
            seen.add(bid.bidder)


def _ranked(lettings: Sequence[LettingTotal], file: str) -> Tabulation:
    """The lettings and bids numbered and ranked, as of a tabulation without rows and items."""
    heads = pd.DataFrame(
        {
            "contract_id": [letting.contract_id for letting in lettings],
            "letting_date": totals.column(pa.array([letting.letting_date for letting in lettings], pa.date32())),
            "description": [letting.work or None for letting in lettings],
            "status": [letting.status for letting in lettings],
            "bids_stated": pd.array([letting.bids_stated for letting in lettings], dtype="Int64"),
            "estimate_total": _dollars([letting.estimate for letting in lettings]),
            "source_sheet": [letting.sheet for letting in lettings],
            "source_row": [letting.row for letting in lettings],
        }
    )
    flat = [(number, letting, bid) for number, letting in enumerate(lettings) for bid in letting.bids]
    number = np.array([at for at, _, _ in flat], dtype=np.int64)
    as_read, corrected = (np.array([bid.both()[which] for _, _, bid in flat], dtype=np.int64) for which in (0, 1))
    ranked = np.array([bid.status == "responsive" for _, _, bid in flat], dtype=bool)
    bids = pd.DataFrame(
        {
            "letting": number,
            "contract_id": [letting.contract_id for _, letting, _ in flat],
            "letting_date": totals.column(pa.array([letting.letting_date for _, letting, _ in flat], pa.date32())),
            "bidder": [bid.bidder for _, _, bid in flat],
            "status": [bid.status for _, _, bid in flat],
            "as_read": as_read,
            "corrected": corrected,
            "rank_as_read": totals.ranks(as_read, number, ranked),
            "rank_corrected": totals.ranks(corrected, number, ranked),
            "source_sheet": [letting.sheet for _, letting, _ in flat],
            "source_row": [bid.row for _, _, bid in flat],
        }
    )
    spellings = pd.DataFrame({"bidder": bids["bidder"].unique(), "spelling": bids["bidder"].unique()})
    return Tabulation(file, pd.DataFrame(), heads, pd.DataFrame(), bids, spellings)


def _dollars(cents: Sequence[int | None]) -> pd.api.extensions.ExtensionArray:
    missing = np.array([value is None for value in cents], dtype=bool)
    return totals.column(totals.money(np.array([value or 0 for value in cents], dtype=np.int64), missing))


def _tables(done: Tabulation) -> dict[str, pd.DataFrame]:
    source = ["source_sheet", "source_row"]
    every = np.zeros(len(done.bids), dtype=bool)
    bids = done.bids[[*LETTING, "bidder", "status", "rank_as_read", "rank_corrected", *source]].assign(
        total_as_read=totals.column(totals.money(done.bids["as_read"].to_numpy(), every)),
        total_corrected=totals.column(totals.money(done.bids["corrected"].to_numpy(), every)),
        source_file=done.file,
    )
    return {"contract": done.lettings.assign(source_file=done.file), "bid": bids, "bidder": done.spellings}


# --- findings -----------------------------------------------------------------------------------------------------


def _no_items(lettings: Sequence[LettingTotal], file: str) -> Finding:
    count = len(lettings)
    told = f"{count:,} {'contract comes' if count == 1 else 'contracts come'} with totals and no items"
    return Finding(
        "contract_without_items",
        "check",
        f"{told}; bids and competition are kept, no unit cost can be worked out",
        "For unit costs ask the agency for the tabulation by item.",
        Place(file),
    )


def _totals_differ(lettings: Sequence[LettingTotal], file: str) -> Iterator[Finding]:
    for letting in lettings:
        for bid in letting.bids:
            as_read, corrected = bid.both()
            if as_read != corrected:
                text = (
                    f"contract {letting.contract_id}: {bid.bidder}: read at {usd(as_read)}, {usd(corrected)} as "
                    "corrected; the corrected total is used"
                )
                place = Place(file, letting.sheet or None, bid.row)
                yield Finding("total_corrected", "check", text, place=place, contract_id=letting.contract_id)


def _competition(lettings: Sequence[LettingTotal], file: str) -> Iterator[Finding]:
    for letting in lettings:
        in_order = sum(bid.status == "responsive" for bid in letting.bids)
        count = in_order if letting.bids_stated is None else letting.bids_stated
        place = Place(file, letting.sheet or None, letting.row)
        name = letting.contract_id
        if count == 0 or not in_order:
            yield Finding("no_bids", "check", f"contract {name} has no responsive bid", "", place, name)
        elif count == 1:
            yield Finding("single_bid", "note", f"contract {name} has a single responsive bid", "", place, name)
        elif count > len(letting.bids):
            text = f"contract {name} received {count} bids, of which the file names {len(letting.bids)}"
            yield Finding("bids_not_listed", "note", text, "", place, name)

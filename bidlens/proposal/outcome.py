"""What became of a supplier's offer, and what was really paid for the same bridge, on the same basis."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from typing import Any

import pandas as pd

from bidlens import quarters, wording
from bidlens.findings import Unavailable
from bidlens.normalizer import UnitCostHistory
from bidlens.proposal.check import ProposalCheck
from bidlens.tables.decisions import OUTCOMES

#: Decks that differ by more than this are said to.
_SAME_DECK = 0.02


@dataclass(frozen=True, slots=True)
class Outcome:
    """One outcome on record. outcome : of OUTCOMES. on : day of the decision. contract_id : None if none is named."""

    outcome: str
    on: dt.date
    reason: str
    contract_id: str | None = None
    letting_date: dt.date | None = None

    @property
    def words(self) -> str:
        """Accepted, in contract B-1; let instead, in contract B-2; declined; expired."""
        return OUTCOMES[self.outcome] + (f", contract {self.contract_id}" if self.contract_id else "")

    def as_dict(self) -> dict[str, Any]:
        """The public form."""
        return {name: getattr(self, name) for name in self.__slots__}


def status_words(outcome: Outcome | None, valid_until: dt.date | None, today: dt.date | None) -> str:
    """The outcome in words; open, and past its last day where it is."""
    if outcome is not None:
        return outcome.words
    return "open, past its last day" if valid_until and today and valid_until < today else "open"


@dataclass(frozen=True, slots=True)
class Paid:
    """What was paid beside what was offered: $/sf of one basis, in dollars of one quarter.

    ratio : offered over paid, less one. offered_from, paid_from : where each was read. structure_ids : those the
    contract's price is of; several together where none is the offer's own. text : all of it in words.
    """

    contract_id: str
    letting_date: dt.date
    low_bidder: str
    structure_ids: tuple[str, ...]
    offered_per_sf: float
    paid_per_sf: float
    ratio: float
    basis: str
    dollars_of: str
    offered_from: str
    paid_from: str
    text: str

    def as_dict(self) -> dict[str, Any]:
        """The public form."""
        return {name: getattr(self, name) for name in self.__slots__}


def paid_beside_offer(check: ProposalCheck, outcome: Outcome, history: UnitCostHistory) -> Paid | Unavailable:
    """The low bid of the contract an offer led to, beside the like-for-like offer, on the basis of both.

    history : priced on the check's basis. Unavailable where no contract is named, it has no price on this basis, or the
    offer none like for like.
    """
    if outcome.contract_id is None:
        return Unavailable("no contract is named with the outcome")
    rows = _rows_of(check, outcome, history)
    if rows.empty:
        return Unavailable(f"contract {outcome.contract_id} has no price on the {history.basis} basis")
    if not math.isfinite(check.like_for_like_per_sf):
        return Unavailable("the offer could not be made like for like")
    area = float(rows["deck_area_sf"].sum())
    paid = float((rows["unit_cost_adjusted"] * rows["deck_area_sf"]).sum()) / area
    ratio = check.like_for_like_per_sf / paid - 1
    first = rows.iloc[0]
    return Paid(
        contract_id=outcome.contract_id,
        letting_date=first["letting_date"].date(),
        low_bidder=str(first["low_bidder"]),
        structure_ids=tuple(str(one) for one in rows["structure_id"]),
        offered_per_sf=check.like_for_like_per_sf,
        paid_per_sf=paid,
        ratio=ratio,
        basis=history.basis,
        dollars_of=history.dollars_of,
        offered_from=str(check.proposal.place or "typed in"),
        paid_from=f"{first['source_file']}, row {int(first['source_row'])}",
        text=_words(check, first, paid, ratio, area, len(rows)),
    )


def _rows_of(check: ProposalCheck, outcome: Outcome, history: UnitCostHistory) -> pd.DataFrame:
    """The contract's priced structures: the offer's own where it is among them, else all."""
    frame = history.frame.dropna(subset=["unit_cost_adjusted"])
    rows = frame[frame["contract_id"] == outcome.contract_id]
    if outcome.letting_date is not None:
        rows = rows[rows["letting_date"] == pd.Timestamp(outcome.letting_date)]
    own = rows[rows["structure_id"] == check.proposal.structure]
    return own if len(own) else rows


def _words(check: ProposalCheck, row: pd.Series, paid: float, ratio: float, area: float, structures: int) -> str:
    apart = wording.percent(abs(ratio)).lstrip("+")
    stands = "level with it" if apart == "0%" else f"{apart} {'above' if ratio > 0 else 'below'} it"
    together = f" for {structures} structures together" if structures > 1 else ""
    deck = ""
    if abs(area / check.deck_area_sf - 1) > _SAME_DECK:
        deck = f" The deck let is {wording.number(area)} sf, the one offered {wording.number(check.deck_area_sf)} sf."
    offered = wording.per_sf(check.like_for_like_per_sf)
    return (
        f"{row['low_bidder']} bid {wording.per_sf(paid)} low in contract {row['contract_id']}{together}, let "
        f"{wording.month(row['letting_date'])}; the offer, like for like, was {offered}, "
        f"{stands} ({check.basis} basis, dollars of {quarters.shown(check.dollars_of)}).{deck}"
    )

"""Questions about several offers at once, and about a history without contracts the engineer sets aside."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pandas as pd

from bidlens import model, proposal, wording, workflow
from bidlens.database import DEFAULT_BASIS, Database, PricedHistory
from bidlens.errors import BadValue, NotOnRecord
from bidlens.findings import Finding, Unavailable, worst_first
from bidlens.proposal.side_by_side import FEWEST, MOST


@dataclass(frozen=True, slots=True, eq=False)
class Comparison:
    """Offers held against one history. side : None for one offer, or more than can be shown side by side.

    priced : the history they were held against, without the contracts left out.
    """

    checks: tuple[proposal.ProposalCheck, ...]
    side: proposal.SideBySide | None
    life: proposal.ServiceLife | None
    priced: PricedHistory

    def as_dict(self) -> dict[str, Any] | None:
        """The public form; None where there is nothing beside the single checks."""
        if self.side is None and self.life is None:
            return None
        said: dict[str, Any] = {} if self.side is None else self.side.as_dict()
        return said | {"service_life": None if self.life is None else self.life.as_dict()}


def compare(
    db: Database,
    offers: Sequence[proposal.Proposal],
    basis: str = DEFAULT_BASIS,
    dollars_of: str | None = None,
    *,
    today: dt.date | None = None,
    priced: PricedHistory | None = None,
    exclude: Mapping[str, str] | None = None,
    rate: float | None = None,
    life_years: float | None = None,
    lives: Mapping[str, float] | None = None,
) -> Comparison:
    """Every offer held against the same history, and beside each other.

    exclude : contracts left out of the history, each with its reason. rate : 0.03 is 3 %; with it, or a life, what each
    costs a year is worked out. life_years : for all; lives : by proposal_id, where the user assumes another.
    """
    priced = priced or db.price_history(basis, dollars_of)
    used = without_contracts(priced, exclude) if exclude else priced
    with db.store.open():  # one opening of the record for all offers
        checks = [workflow.check_proposal(db, offer, basis, today=today, priced=used) for offer in offers]
        if exclude:
            whole = [workflow.check_proposal(db, offer, basis, today=today, priced=priced) for offer in offers]
            checks = [_with_effect(check, before, exclude) for check, before in zip(checks, whole, strict=True)]
    side = proposal.side_by_side(checks, used.model) if FEWEST <= len(checks) <= MOST else None
    life = None
    if rate is not None or life_years is not None or lives:
        rate = proposal.DEFAULT_RATE if rate is None else rate
        life = proposal.service_life(checks, rate, life_years or proposal.DEFAULT_LIFE_YEARS, lives)
    return Comparison(tuple(checks), side, life, used)


def compare_files(db: Database, paths: Sequence[Path], **asked: Any) -> Comparison:
    """`compare` for every proposal in the files."""
    offers = workflow.to_compare([offer for path in paths for offer in workflow.read_proposals(path)])
    return compare(db, offers, **asked)


def without_contracts(priced: PricedHistory, exclude: Mapping[str, str]) -> PricedHistory:
    """The history and its model without some contracts. Raises NotOnRecord for one that has no price on this basis."""
    frame = priced.history.frame
    for contract, reason in exclude.items():
        if not reason.strip():
            raise BadValue(f"no reason is given to leave out {contract}", do="Say why it is no comparison.")
        if not (frame["contract_id"] == contract).any():
            raise NotOnRecord(f"no price of contract {contract} is on record on the {priced.history.basis} basis")
    return only_lettings(priced, ~frame["contract_id"].isin(list(exclude)))


def only_lettings(priced: PricedHistory, kept: pd.Series) -> PricedHistory:
    """The history with the rows kept alone, and a model fitted to them. kept : a truth value a row of its frame."""
    left = priced.history.frame[kept].reset_index(drop=True)
    costs, key = priced.history.category_costs, ["contract_id", "letting_date"]
    known = pd.MultiIndex.from_frame(costs[key]).isin(pd.MultiIndex.from_frame(left[key]))
    history = replace(priced.history, frame=left, category_costs=costs[known].reset_index(drop=True))
    if left.empty:
        return PricedHistory(
            history, None, Unavailable("no structure is left with a price on this basis"), priced.index
        )
    return PricedHistory(history, model.fit_cost_model(left, index=priced.index), None, priced.index)


def _with_effect(
    check: proposal.ProposalCheck, before: proposal.ProposalCheck, exclude: Mapping[str, str]
) -> proposal.ProposalCheck:
    """The check with a finding that says what was left out, why, and what it changed."""
    named = "; ".join(f"{contract} ({reason.strip()})" for contract, reason in exclude.items())
    text = f"Left out by you: {named}. {_change(check, before)}"
    finding = Finding("left_out_by_you", "note", text, "The record keeps them; only this check leaves them out.")
    return replace(check, findings=tuple(worst_first([*check.findings, finding])))


def _change(check: proposal.ProposalCheck, before: proposal.ProposalCheck) -> str:
    if check.expected is None or before.expected is None or check.percentile is None or before.percentile is None:
        return "Too little is left, or was there, to say what that changes."
    middles = f"{wording.per_sf(before.expected['p50'], 1)} to {wording.per_sf(check.expected['p50'], 1)}"
    shares = f"{wording.number(100 * before.percentile)} to {wording.number(100 * check.percentile)}"
    verdict = "the verdict stays" if check.verdict.code == before.verdict.code else "the verdict changes"
    return f"The middle goes from {middles}, the lettings that would come in lower from {shares} in 100; {verdict}."

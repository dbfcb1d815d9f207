"""Questions about the letters on record: what became of each, what was paid, and a supplier's offers over time."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

import pandas as pd

from bidlens import comparing, proposal, workflow
from bidlens.database import DEFAULT_BASIS, Database, PricedHistory
from bidlens.errors import BidlensError
from bidlens.proposal.letter import Letter
from bidlens.proposal.outcome import Outcome, paid_beside_offer
from bidlens.proposal.over_time import Beside, beside_expected, of_a_supplier, same_supplier


def letters(
    db: Database,
    basis: str = DEFAULT_BASIS,
    dollars_of: str | None = None,
    *,
    index_name: str | None = None,
    priced: PricedHistory | None = None,
) -> list[Letter]:
    """Every proposal on record, by date of the letter, those without a date last.

    priced : a history already computed on this basis, to save the work.
    """
    priced = priced or db.price_history(basis, dollars_of, index_name=index_name)
    offers = sorted(db.proposals(), key=lambda one: (one.date or dt.date.max, one.proposal_id))
    outcomes = outcomes_of(db.proposal_outcomes())
    before: dict[dt.date, PricedHistory] = {}
    with db.store.open():  # one opening of the record for all letters
        return [_letter(db, offer, outcomes.get(offer.proposal_id), priced, before) for offer in offers]


def outcomes_of(rows: pd.DataFrame) -> dict[str, Outcome]:
    """Outcomes recorded, by proposal. rows : as `Database.proposal_outcomes` gives them."""
    known: dict[str, Outcome] = {}
    for row in rows.to_dict("records"):
        contract = None if pd.isna(row["contract_id"]) else str(row["contract_id"])
        let = None if pd.isna(row["letting_date"]) else _day(row["letting_date"])
        known[row["proposal_id"]] = Outcome(row["outcome"], _day(row["outcome_date"]), row["reason"], contract, let)
    return known


def by_supplier(found: Sequence[Letter]) -> dict[str, list[Letter]]:
    """The letters of each supplier, spellings that differ in case and blanks together; named as written last."""
    groups: dict[str, list[Letter]] = {}
    for letter in found:
        groups.setdefault(same_supplier(letter.offer.supplier), []).append(letter)
    return {group[-1].offer.supplier: group for group in groups.values()}


def words_of(found: Sequence[Letter]) -> list[str]:
    """One sentence a supplier."""
    return [
        of_a_supplier(supplier, [(one.offer.date, one.then) for one in group])
        for supplier, group in by_supplier(found).items()
    ]


def _letter(
    db: Database,
    offer: proposal.Proposal,
    outcome: Outcome | None,
    priced: PricedHistory,
    before: dict[dt.date, PricedHistory],
) -> Letter:
    n = len(priced.frame)
    try:
        check = workflow.check_proposal(db, offer, priced.history.basis, priced=priced, brief=True)
    except BidlensError as problem:
        declined = Beside(n, why_not=problem.what)
        return Letter(offer, outcome, None, problem.what, declined, declined, None)
    paid = None if outcome is None or outcome.contract_id is None else paid_beside_offer(check, outcome, priced.history)
    return Letter(offer, outcome, check, "", _then(db, offer, priced, before), beside_expected(check, n), paid)


def _then(
    db: Database, offer: proposal.Proposal, priced: PricedHistory, before: dict[dt.date, PricedHistory]
) -> Beside:
    """Beside the lettings before the letter's date alone; the cost index is the one of today."""
    if offer.date is None:
        return Beside(0, why_not="the letter has no date")
    if offer.date not in before:
        before[offer.date] = comparing.only_lettings(priced, priced.frame["letting_date"] < pd.Timestamp(offer.date))
    known = before[offer.date]
    try:
        check = workflow.check_proposal(db, offer, priced.history.basis, priced=known, brief=True)
    except BidlensError as problem:
        return Beside(len(known.frame), why_not=problem.what)
    return beside_expected(check, len(known.frame))


def _day(moment: pd.Timestamp) -> dt.date:
    return pd.Timestamp(moment).date()

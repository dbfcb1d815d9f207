"""The letters on record in words: what became of each, what was paid, and each supplier's offers over time."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import TYPE_CHECKING

from bidlens import quarters
from bidlens.findings import Unavailable
from bidlens.proposal.outcome import Paid
from bidlens.report.terminal import WIDTH, paragraph, plain, table
from bidlens.tables.decisions import OUTCOMES
from bidlens.wording import NOT_GIVEN, count, day, per_sf, percent

if TYPE_CHECKING:
    from bidlens.proposal.letter import Letter
    from bidlens.proposal.over_time import Beside

THEN, NOW = "lettings before it", "all lettings"
#: What the two columns rest on.
HOW = (
    f"“{THEN}”: beside what the lettings before the letter's date lead to expect. “{NOW}”: with all on record, later "
    "ones among them. The cost index is today's in both."
)


def letters_answer(found: Sequence[Letter], said: Sequence[str], today: dt.date) -> str:
    """Every letter with its outcome and where it stood, then what was paid, then a sentence a supplier."""
    if not found:
        return "No proposal is on record."
    decided = sum(one.outcome is not None for one in found)
    parts = [paragraph(f"{count(len(found), 'letter')} on record, {decided} with an outcome.")]
    checked = next((one.check for one in found if one.check), None)
    if checked:
        parts.append(f"{checked.basis} basis · dollars of {quarters.shown(checked.dollars_of)} · {checked.index_title}")
    head = ("proposal", "supplier", "written", "type", "like for like", THEN, NOW, "outcome")
    parts += ["", table(head, [letter_row(one, today) for one in found], "llllrrrl", 34), "", paragraph(HOW)]
    paid = [f"{one.offer.proposal_id}: {paid_words(one.paid)}" for one in found if one.paid is not None]
    if paid:
        parts += ["", "Offered and paid", *(paragraph(line) for line in paid)]
    return "\n".join([*parts, "", "Supplier by supplier", "─" * WIDTH, *(paragraph(line) for line in said)])


def letter_row(one: Letter, today: dt.date) -> tuple[str, ...]:
    """Proposal, supplier, day, type, $/sf, its two places, outcome."""
    offer = one.offer
    return (
        plain(offer.proposal_id),
        plain(offer.supplier),
        day(offer.date) if offer.date else NOT_GIVEN,
        plain(offer.superstructure),
        NOT_GIVEN if one.check is None else per_sf(one.check.like_for_like_per_sf),
        beside_words(one.then),
        beside_words(one.now),
        plain(one.status(today)),
    )


def beside_words(one: Beside) -> str:
    """+11% of n = 42, or not given."""
    return f"{NOT_GIVEN} (n = {one.n})" if one.ratio is None else f"{percent(one.ratio)} (n = {one.n})"


def paid_words(paid: Paid | Unavailable) -> str:
    """An offer beside what was paid, with both sources."""
    if isinstance(paid, Paid):
        return f"{paid.text} Offer: {paid.offered_from}. Bid: {paid.paid_from}."
    return f"What was paid is {paid}."


def recorded_answer(proposal_id: str, outcome: str, on: dt.date, contract_id: str | None) -> str:
    """What was recorded."""
    where = f", contract {contract_id}" if contract_id else ""
    return paragraph(f"Recorded: {proposal_id} was {OUTCOMES[outcome]} on {day(on)}{where}.")


def forgotten_answer(proposal_id: str, outcome: str) -> str:
    """What was taken back."""
    return paragraph(f"Taken back: {proposal_id} is open again; it was {OUTCOMES[outcome]}.")

"""What became of a supplier's proposal: kept beside the letter, never in it, and taken back at will."""

from __future__ import annotations

import datetime as dt

from bidlens.errors import BadValue
from bidlens.store.connection import Store, transaction
from bidlens.store.links import letting_of, refuse
from bidlens.store.statements import statement
from bidlens.tables.decisions import OUTCOMES, WITH_CONTRACT

_LISTED = "See the letters on record (bidlens offers)."


def record_outcome(
    store: Store,
    proposal_id: str,
    outcome: str,
    reason: str,
    on: dt.date,
    contract_id: str | None = None,
    letting_date: dt.date | None = None,
    *,
    decided_at: dt.datetime,
) -> None:
    """Record the outcome of a proposal on record; an earlier one is replaced.

    on : day of the decision. contract_id : a contract on record, for an offer accepted or let instead; of several
    lettings of it the last is meant where letting_date does not say. decided_at : when it is written down, UTC.
    Raises NotOnRecord for a proposal or contract that is not there, BadValue for an unknown outcome, an empty reason,
    or a contract where the outcome has none.
    """
    if outcome not in OUTCOMES:
        raise BadValue(f"no outcome is called “{outcome}”", do=f"Use one of: {', '.join(OUTCOMES)}.")
    if not reason.strip():
        raise BadValue("the reason is empty", do="Say why; the reason is kept and shown.")
    if contract_id and outcome not in WITH_CONTRACT:
        raise BadValue(
            f"an offer that is {OUTCOMES[outcome]} became no contract", do="Leave the contract out, or say let_instead."
        )
    moment = decided_at.astimezone(dt.UTC).replace(tzinfo=None) if decided_at.tzinfo else decided_at
    with store.open(write=True) as cursor, transaction(cursor):
        known = [name for (name,) in cursor.execute("SELECT DISTINCT proposal_id FROM proposal").fetchall()]
        if proposal_id not in known:
            refuse("proposal", proposal_id, known, _LISTED)
        let = letting_of(cursor, contract_id, letting_date) if contract_id else None
        values = {
            "proposal_id": proposal_id, "outcome": outcome, "outcome_date": on, "contract_id": contract_id or None,
            "letting_date": let, "reason": reason.strip(), "decided_at": moment,
        }  # fmt: skip
        cursor.execute(statement("saving/outcome"), values)


def forget_outcome(store: Store, proposal_id: str) -> str:
    """Take an outcome back. Returns what it was. Raises NotOnRecord if none was recorded."""
    with store.open(write=True) as cursor, transaction(cursor):
        said = dict(cursor.execute("SELECT proposal_id, outcome FROM proposal_outcome").fetchall())
        if proposal_id not in said:
            refuse("outcome of the proposal", proposal_id, list(said), _LISTED)
        cursor.execute("DELETE FROM proposal_outcome WHERE proposal_id = $1", [proposal_id])
    return str(said[proposal_id])

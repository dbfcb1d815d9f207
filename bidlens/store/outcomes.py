"""What became of a supplier's proposal: kept beside the letter, never in it, and taken back at will."""

from __future__ import annotations

import datetime as dt
import difflib
from typing import NoReturn

import duckdb

from bidlens.decision_tables import OUTCOMES, WITH_CONTRACT
from bidlens.errors import BadValue, NotOnRecord
from bidlens.store.connection import Store, transaction
from bidlens.store.statements import statement


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
            _refuse("proposal", proposal_id, known)
        let = _letting(cursor, contract_id, letting_date) if contract_id else None
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
            _refuse("outcome of the proposal", proposal_id, list(said))
        cursor.execute("DELETE FROM proposal_outcome WHERE proposal_id = $1", [proposal_id])
    return str(said[proposal_id])


def _letting(cursor: duckdb.DuckDBPyConnection, contract_id: str, letting_date: dt.date | None) -> dt.date:
    """The letting meant. Raises NotOnRecord for one that is not there."""
    lettings = cursor.execute("SELECT contract_id, letting_date FROM contract ORDER BY letting_date").fetchall()
    days: list[dt.date] = [day for name, day in lettings if name == contract_id]
    if not days:
        _refuse("contract", contract_id, sorted({name for name, _ in lettings}))
    if letting_date is None or letting_date in days:
        return letting_date or days[-1]
    when = ", ".join(f"{day:%d %b %Y}" for day in days)
    raise NotOnRecord(f"contract {contract_id} was not let on {letting_date:%d %b %Y}", do=f"On record: {when}.")


def _refuse(what: str, name: str, known: list[str]) -> NoReturn:
    near = difflib.get_close_matches(name, known, 3, 0.5)
    do = f"Near it: {', '.join(f'“{one}”' for one in near)}." if near else "“bidlens offers” lists what there is."
    raise NotOnRecord(f"no {what} “{name}” is on record", do=do)

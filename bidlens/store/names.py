"""Spellings of a bidder confirmed to be one firm: kept beside the rows as read, shown, and taken back at will."""

from __future__ import annotations

import datetime as dt
import difflib

import duckdb

from bidlens.errors import BadValue, NotOnRecord
from bidlens.findings import Finding
from bidlens.store.ask import run
from bidlens.store.connection import Store, transaction
from bidlens.store.statements import question, statement


def confirm_alias(store: Store, spelling: str, bidder: str, reason: str, *, decided_at: dt.datetime) -> list[Finding]:
    """Show and count one spelling as another bidder from now on, in later imports too. The rows keep what was read.

    spelling, bidder : as they stand in the bids, letter by letter. decided_at : when, UTC.
    An earlier decision on the spelling is replaced. Returns a finding for each letting in which both bid: there they
    are kept apart.
    Raises NotOnRecord for a name that has no bid, BadValue for an empty reason or a name that would stand for itself.
    """
    if not reason.strip():
        raise BadValue("the reason is empty", do="Say how you know that both are one firm.")
    with store.open(write=True) as cursor, transaction(cursor):
        known = [name for (name,) in cursor.execute("SELECT DISTINCT bidder FROM bid").fetchall()]
        for name in (spelling, bidder):
            if name not in known:
                raise _unknown(name, known)
        _check_no_circle(cursor, spelling, bidder)
        values = {"spelling": spelling, "bidder": bidder, "reason": reason.strip(), "decided_at": _utc(decided_at)}
        cursor.execute(statement("saving/alias"), values)
        apart = run(cursor, question("bidders_kept_apart").sql).to_pylist()
        ends = cursor.execute("SELECT DISTINCT confirmed_as FROM bidder_known WHERE bidder = $1", [spelling]).fetchall()
    return [kept_apart(row) for row in apart if (row["bidder"],) in ends]


def forget_alias(store: Store, spelling: str) -> str:
    """Take a confirmed spelling back; it stands for itself again. Returns the bidder it was shown as.

    Raises NotOnRecord if nothing was decided on it.
    """
    with store.open(write=True) as cursor, transaction(cursor):
        aliases = dict(cursor.execute("SELECT spelling, bidder FROM bidder_alias").fetchall())
        if spelling not in aliases:
            raise _undecided(spelling, list(aliases))
        cursor.execute("DELETE FROM bidder_alias WHERE spelling = $1", [spelling])
    return str(aliases[spelling])


def kept_apart(row: dict[str, object]) -> Finding:
    """The finding on one row of the question `bidders_kept_apart`."""
    return Finding(
        "bidders_kept_apart",
        "check",
        f"contract {row['contract_id']}: two bids confirmed to be of one bidder are kept apart: {row['spellings']}",
        "Look whether they are one firm. If not, forget the spelling.",
        contract_id=str(row["contract_id"]),
    )


def _check_no_circle(cursor: duckdb.DuckDBPyConnection, spelling: str, bidder: str) -> None:
    aliases = dict(cursor.execute("SELECT spelling, bidder FROM bidder_alias").fetchall())
    aliases.pop(spelling, None)
    end = bidder
    for _ in range(len(aliases) + 1):
        if end == spelling:
            raise BadValue(
                f"“{spelling}” would stand for itself", do="Confirm the other way round, or forget a spelling first."
            )
        if end not in aliases:
            return
        end = aliases[end]


def _unknown(name: str, known: list[str]) -> NotOnRecord:
    near = difflib.get_close_matches(name, known, 3, 0.6)
    do = (
        f"Near it: {', '.join(f'“{one}”' for one in near)}." if near else "See the spellings on record (bidlens names)."
    )
    return NotOnRecord(f"no bid of “{name}” is on record", do=do)


def _undecided(spelling: str, decided: list[str]) -> NotOnRecord:
    near = difflib.get_close_matches(spelling, decided, 3, 0.6)
    do = f"Confirmed and near it: {', '.join(f'“{one}”' for one in near)}." if near else ""
    return NotOnRecord(f"nothing was confirmed on the spelling “{spelling}”", do=do)


def _utc(moment: dt.datetime) -> dt.datetime:
    return moment.astimezone(dt.UTC).replace(tzinfo=None) if moment.tzinfo else moment

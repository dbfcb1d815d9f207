"""Structures linked to contracts by hand, and links of files that do not count: kept beside the rows, reversible.

A link belongs to no import. The view `linked_structure` joins it to what the files say; nothing else looks at it.
"""

from __future__ import annotations

import datetime as dt
import difflib
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any, NoReturn

import duckdb

from bidlens.errors import BadValue, NotOnRecord
from bidlens.store.ask import run
from bidlens.store.connection import Store, transaction
from bidlens.store.statements import question, statement


@dataclass(frozen=True, slots=True)
class NewBridge:
    """What the engineer says of the bridge that was built; None: as the structure list has it. Feet."""

    superstructure: str | None = None
    length_ft: float | None = None
    width_ft: float | None = None
    span_ft: float | None = None
    spans: int | None = None

    @property
    def missing(self) -> list[str]:
        """What a bridge that is not on any list still lacks."""
        needed = {"type": self.superstructure, "length": self.length_ft, "out-to-out width": self.width_ft}
        return [name for name, value in needed.items() if value is None]


AS_LISTED = NewBridge()


def link_structure(
    store: Store,
    contract_id: str,
    letting_date: dt.date | None,
    structure_id: str,
    schedules: Sequence[str],
    bridge: NewBridge,
    reason: str,
    *,
    decided_at: dt.datetime,
) -> None:
    """Say that a contract paid for a structure; links of files between the two, and earlier ones by hand, give way.

    letting_date : the last letting of the contract when None. schedules : those that pay for it alone; none: all that
    no other structure names, shared by deck area where there are several. bridge : the bridge built.
    Raises NotOnRecord for a contract, letting, schedule or structure that is not there; BadValue for an empty reason,
    a size that cannot be, or where the structure list only has the bridge that was there before and type, length and
    width of the new one are not all given.
    """
    for name in ("length_ft", "width_ft", "span_ft", "spans"):
        value = getattr(bridge, name)
        if value is not None and not 0 < value < 1e5:
            raise BadValue(f"a {name.removesuffix('_ft')} of {value} cannot be", do="Give a number above zero.")
    with store.open(write=True) as cursor, transaction(cursor):
        let = letting_of(cursor, contract_id, letting_date)
        _check_schedules(cursor, contract_id, let, schedules)
        _forget(cursor, contract_id, let, structure_id)
        for schedule in dict.fromkeys(schedules or ("",)):
            _keep(cursor, contract_id, let, structure_id, schedule, True, bridge, reason, decided_at)
        _check_bridge(cursor, contract_id, let, structure_id, bridge)


def unlink_structure(
    store: Store,
    contract_id: str,
    letting_date: dt.date | None,
    structure_id: str,
    reason: str,
    *,
    decided_at: dt.datetime,
) -> None:
    """Say that a contract did not pay for a structure: links between the two do not count. Raises as linking does."""
    with store.open(write=True) as cursor, transaction(cursor):
        let = letting_of(cursor, contract_id, letting_date)
        linked = run(cursor, question("structures_with_contract").sql).to_pylist()
        mine = [
            row for row in linked
            if row["contract_id"] == contract_id and row["letting_date"] in (None, let)
            and row["structure_id"] == structure_id
        ]  # fmt: skip
        if not mine:
            known = sorted({str(row["structure_id"]) for row in linked if row["contract_id"] == contract_id})
            refuse(f"link between contract {contract_id} and structure", structure_id, known)
        _forget(cursor, contract_id, let, structure_id)
        _keep(cursor, contract_id, let, structure_id, "", False, AS_LISTED, reason, decided_at)


def take_back_link(store: Store, contract_id: str, letting_date: dt.date | None, structure_id: str) -> bool:
    """Take back what was said of a structure and a contract by hand: what the files say holds again.

    letting_date : the last letting spoken of when None. Returns whether it was a link (True) or the word against one.
    Raises NotOnRecord if nothing was said.
    """
    with store.open(write=True) as cursor, transaction(cursor):
        said = cursor.execute(
            "SELECT max(letting_date) FROM structure_link WHERE contract_id = $1 AND structure_id = $2",
            [contract_id, structure_id],
        ).fetchall()
        gone = _forget(cursor, contract_id, letting_date or said[0][0], structure_id)
        if not gone:
            raise NotOnRecord(f"nothing was said by hand of contract {contract_id} and structure {structure_id}")
    return gone[0]


def letting_of(cursor: duckdb.DuckDBPyConnection, contract_id: str, letting_date: dt.date | None) -> dt.date:
    """The letting of a contract that is meant, the last one when no day is given. Raises NotOnRecord if not there."""
    lettings = cursor.execute("SELECT contract_id, letting_date FROM contract ORDER BY letting_date").fetchall()
    days: list[dt.date] = [day for name, day in lettings if name == contract_id]
    if not days:
        refuse("contract", contract_id, sorted({name for name, _ in lettings}))
    if letting_date is None or letting_date in days:
        return letting_date or days[-1]
    when = ", ".join(f"{day:%d %b %Y}" for day in days)
    raise NotOnRecord(f"contract {contract_id} was not let on {letting_date:%d %b %Y}", do=f"On record: {when}.")


def refuse(what: str, name: str, known: Sequence[str], otherwise: str = "") -> NoReturn:
    """Raise NotOnRecord with the names near the one given, or what to do otherwise."""
    near = difflib.get_close_matches(name, known, 3, 0.5)
    do = f"Near it: {', '.join(f'“{one}”' for one in near)}." if near else otherwise
    raise NotOnRecord(f"no {what} “{name}” is on record", do=do)


def _keep(
    cursor: duckdb.DuckDBPyConnection,
    contract_id: str,
    letting_date: dt.date,
    structure_id: str,
    schedule: str,
    linked: bool,
    bridge: NewBridge,
    reason: str,
    decided_at: dt.datetime,
) -> None:
    if not reason.strip():
        raise BadValue("the reason is empty", do="Say how you know; the reason is kept and shown.")
    moment = decided_at.astimezone(dt.UTC).replace(tzinfo=None) if decided_at.tzinfo else decided_at
    said: dict[str, Any] = {
        "contract_id": contract_id, "letting_date": letting_date, "structure_id": structure_id, "schedule": schedule,
        "linked": linked, "reason": reason.strip(), "decided_at": moment, **asdict(bridge),
    }  # fmt: skip
    cursor.execute(statement("saving/link"), said)


def _forget(
    cursor: duckdb.DuckDBPyConnection, contract_id: str, letting_date: dt.date | None, structure_id: str
) -> list[bool]:
    """What was said of a structure and a letting, taken out; whether each was a link."""
    gone = cursor.execute(
        "DELETE FROM structure_link WHERE contract_id = $1 AND letting_date = $2 AND structure_id = $3 "
        "RETURNING linked",
        [contract_id, letting_date, structure_id],
    ).fetchall()
    return [linked for (linked,) in gone]


def _check_schedules(
    cursor: duckdb.DuckDBPyConnection, contract_id: str, letting_date: dt.date, schedules: Sequence[str]
) -> None:
    found = cursor.execute(
        "SELECT DISTINCT schedule FROM contract_item WHERE contract_id = $1 AND letting_date = $2 ORDER BY schedule",
        [contract_id, letting_date],
    ).fetchall()
    there = [name for (name,) in found]
    for schedule in schedules:
        if schedule and schedule not in there:
            named = ", ".join(f"“{name}”" for name in there if name)
            refuse(f"schedule of contract {contract_id}", schedule, there, f"Schedules: {named or 'none is named'}.")


def _check_bridge(
    cursor: duckdb.DuckDBPyConnection, contract_id: str, letting_date: dt.date, structure_id: str, bridge: NewBridge
) -> None:
    """Refuse a link that would price the new bridge by one that was there before, or by nothing."""
    listed = cursor.execute("SELECT DISTINCT structure_id FROM structure").fetchall()
    known = [name for (name,) in listed]
    missing = bridge.missing
    if structure_id not in known and missing:
        refuse("structure", structure_id, known, f"For a bridge on no list give its {' and '.join(missing)}.")
    rows = run(cursor, question("structures_with_contract").sql).to_pylist()
    mine = [
        row for row in rows
        if (row["contract_id"], row["letting_date"], row["structure_id"]) == (contract_id, letting_date, structure_id)
    ]  # fmt: skip
    if all(row["geometry_from"] != "another bridge" for row in mine):
        return
    built = cursor.execute(
        "SELECT max(year_built) FROM structure WHERE structure_id = $1 AND contract_id = ''", [structure_id]
    ).fetchall()[0][0]
    year = f" of {built}" if built else ""
    raise BadValue(
        f"the structure list has the bridge{year}, not the one let {letting_date:%d %b %Y}",
        where=f"structure {structure_id}",
        do=f"Give the new bridge's {' and '.join(missing)}; a bridge that was replaced does not price the new one.",
    )

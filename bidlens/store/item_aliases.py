"""Pay item descriptions confirmed to be one item: kept beside the rows as read, shown, and taken back at will."""

from __future__ import annotations

import datetime as dt

import duckdb
import pandas as pd

from bidlens.errors import BadValue, NotOnRecord
from bidlens.store.ask import to_frame
from bidlens.store.connection import Store, transaction
from bidlens.store.links import refuse
from bidlens.store.statements import statement


def confirm_item(
    store: Store, description: str, same_as: str, pay_unit: str, reason: str, *, decided_at: dt.datetime
) -> None:
    """Count one pay item description as another in the same pay unit, in later imports too. Rows keep what was read.

    description, same_as : as they stand in the bid tabs. An earlier decision on the description is replaced.
    Raises NotOnRecord for an item that is not there in that unit, BadValue for an empty reason or where one of the
    two is confirmed already the other way.
    """
    if not reason.strip():
        raise BadValue("the reason is empty", do="Say how you know that both are one item.")
    moment = decided_at.astimezone(dt.UTC).replace(tzinfo=None) if decided_at.tzinfo else decided_at
    with store.open(write=True) as cursor, transaction(cursor):
        sql = "SELECT DISTINCT description FROM contract_item WHERE coalesce(pay_unit, '') = $1"
        known = [name for (name,) in cursor.execute(sql, [pay_unit]).fetchall()]
        for name in (description, same_as):
            if name not in known:
                refuse(f"pay item by {pay_unit or 'no unit'}", name, known, "See what may be one (bidlens names).")
        _check_no_chain(cursor, description, same_as, pay_unit)
        said = {"description": description, "pay_unit": pay_unit, "same_as": same_as, "reason": reason.strip(),
                "decided_at": moment}  # fmt: skip
        cursor.execute(statement("saving/item_alias"), said)


def forget_item(store: Store, description: str, pay_unit: str) -> str:
    """Take a confirmed pay item back; it stands for itself again. Returns the one it was counted as.

    Raises NotOnRecord if nothing was decided on it.
    """
    with store.open(write=True) as cursor, transaction(cursor):
        gone = cursor.execute(
            "DELETE FROM item_alias WHERE description = $1 AND pay_unit = $2 RETURNING same_as", [description, pay_unit]
        ).fetchall()
        if not gone:
            raise NotOnRecord(f"nothing was confirmed on the pay item “{description}” by {pay_unit or 'no unit'}")
    return str(gone[0][0])


def items_of(store: Store, description: str, pay_unit: str) -> pd.DataFrame:
    """Distinct pay items, by schedule, of one description and unit: item_code, description, pay_unit, schedule."""
    sql = (
        "SELECT DISTINCT item_code, description, pay_unit, schedule FROM contract_item "
        "WHERE description = $description AND coalesce(pay_unit, '') = $pay_unit ORDER BY ALL"
    )
    with store.open() as cursor:
        told = {"description": description, "pay_unit": pay_unit}
        return to_frame(cursor.sql(sql, params=told).to_arrow_table())


def _check_no_chain(cursor: duckdb.DuckDBPyConnection, description: str, same_as: str, pay_unit: str) -> None:
    """One step alone: an item is counted as one that stands for itself, so that taking one back is plain."""
    if description == same_as:
        raise BadValue(f"“{description}” stands for itself already", do="Name two descriptions.")
    said = cursor.execute("SELECT description, same_as FROM item_alias WHERE pay_unit = $1", [pay_unit]).fetchall()
    for one, other in said:
        if same_as == one:
            raise BadValue(f"“{one}” is itself counted as “{other}”", do=f"Confirm “{other}”, or take that back first.")
        if description == other:
            raise BadValue(f"“{one}” is counted as “{other}”", do="Confirm the other way round, or take it back first.")

"""Findings and rows set aside that the engineer has looked at and lets stand, with the reason; not counted as open."""

from __future__ import annotations

import datetime as dt

from bidlens.errors import BadValue, NotOnRecord
from bidlens.store.connection import Store, transaction
from bidlens.store.statements import statement

#: The code under which a row set aside is accepted.
SET_ASIDE = "set_aside"


def accept(
    store: Store,
    batch_id: int,
    source_file: str,
    source_sheet: str,
    source_row: int,
    code: str,
    text: str,
    reason: str,
    *,
    decided_at: dt.datetime,
) -> None:
    """Accept a finding (by its code) or a row set aside (code SET_ASIDE) of one import.

    source_sheet, source_row : "" and 0 where there is none. text : as the finding or the row has it. It holds when the
    same file is imported again. Raises NotOnRecord for an unknown import, BadValue for an empty reason.
    """
    if not reason.strip():
        raise BadValue("the reason is empty", do="Say why it can stand; the reason is kept and shown.")
    moment = decided_at.astimezone(dt.UTC).replace(tzinfo=None) if decided_at.tzinfo else decided_at
    said = {
        "batch_id": batch_id, "source_file": source_file or "", "source_sheet": source_sheet or "",
        "source_row": source_row or 0, "code": code, "text": text, "reason": reason.strip(), "decided_at": moment,
    }  # fmt: skip
    with store.open(write=True) as cursor, transaction(cursor):
        if not cursor.execute(statement("saving/acceptance"), said).fetchall()[0][0]:
            raise NotOnRecord(f"there is no import {batch_id}")


def reopen(store: Store, sha256: str, source_sheet: str, source_row: int, code: str, text: str) -> None:
    """Take an acceptance back. Raises NotOnRecord if there is none."""
    with store.open(write=True) as cursor, transaction(cursor):
        gone = cursor.execute(
            "DELETE FROM acceptance WHERE sha256 = $1 AND source_sheet = $2 AND source_row = $3 AND code = $4 "
            "AND text = $5",
            [sha256, source_sheet, source_row, code, text],
        ).fetchall()
        if not gone[0][0]:
            raise NotOnRecord("nothing of the kind was accepted")

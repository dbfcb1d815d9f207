"""Which column is what, as the engineer told it: kept under a name, for later files with the same headings."""

from __future__ import annotations

import datetime as dt

from bidlens.errors import BadValue, NotOnRecord
from bidlens.store.connection import Store, transaction
from bidlens.store.statements import statement


def keep_mapping(
    store: Store, name: str, kind: str, layout: str, headings: str, toml: str, *, decided_at: dt.datetime
) -> None:
    """Keep a mapping under its name; an earlier one of that name, or for the same headings and kind, is replaced.

    headings : fingerprint of the heading row it was made for. decided_at : when, UTC.
    Raises BadValue if the name is empty.
    """
    if not name.strip():
        raise BadValue("the mapping has no name", do="Give it one, such as the agency whose files look like this.")
    moment = decided_at.astimezone(dt.UTC).replace(tzinfo=None) if decided_at.tzinfo else decided_at
    told = {"name": name.strip(), "kind": kind, "layout": layout, "headings": headings, "toml": toml}
    with store.open(write=True) as cursor, transaction(cursor):
        cursor.execute(statement("saving/forget_same_headings"), {"kind": kind, "headings": headings})
        cursor.execute(statement("saving/mapping"), {**told, "decided_at": moment})


def forget_mapping(store: Store, name: str) -> None:
    """Remove a mapping; what came in by it stays. Raises NotOnRecord, with the names there are, if there is none."""
    with store.open(write=True) as cursor, transaction(cursor):
        removed = cursor.execute(statement("saving/forget_mapping"), {"name": name}).fetchall()
        if not removed or not removed[0][0]:
            names = [row[0] for row in cursor.execute("SELECT name FROM column_mapping ORDER BY name").fetchall()]
            raise NotOnRecord(
                f"no mapping “{name}” is on record", do=f"Mappings on record: {', '.join(names) or 'none'}."
            )

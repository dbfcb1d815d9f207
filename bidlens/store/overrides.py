"""Work categories decided after the import: the engineer's own decisions, and new rules for what is on record."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import duckdb
import pandas as pd
import pyarrow as pa

from bidlens.errors import BadValue, NotOnRecord
from bidlens.store.ask import to_frame
from bidlens.store.connection import Store, transaction
from bidlens.store.statements import statement

#: What tells pay items apart when their category is decided, and the decision.
CATEGORY_COLUMNS = ("item_code", "description", "pay_unit", "schedule", "work_category", "rule")
#: Takes distinct pay items (item_code, description, pay_unit, schedule); gives work_category and rule, same index.
Categorizer = Callable[[pd.DataFrame], pd.DataFrame]


def apply_override(
    store: Store,
    item_code: str,
    description: str,
    pay_unit: str,
    work_category: str,
    reason: str,
    *,
    decided_at: dt.datetime,
) -> int:
    """Place a pay item by hand: the decision is kept, and every line of it on record is moved.

    item_code, pay_unit : empty stands for any. description : as on record; case and outer blanks do not matter.
    decided_at : when, UTC. An earlier decision on the same item is replaced.
    Returns the lines that changed. Raises BadValue if description, category or reason is empty.
    """
    decision = {
        "item_code": item_code.strip(),
        "description": description.strip(),
        "pay_unit": pay_unit.strip(),
        "work_category": work_category.strip(),
        "reason": reason.strip(),
    }
    for name in ("description", "work_category", "reason"):
        if not decision[name]:
            raise BadValue(f"the {name.replace('_', ' ')} is empty", do="Say which item, where it belongs, and why.")
    moment = decided_at.astimezone(dt.UTC).replace(tzinfo=None) if decided_at.tzinfo else decided_at
    with store.open(write=True) as cursor, transaction(cursor):
        cursor.execute(statement("saving/override"), {**decision, "decided_at": moment})
        return _changed(cursor, "saving/apply_overrides")


def remove_override(store: Store, item_code: str, description: str, pay_unit: str, categorize: Categorizer) -> int:
    """Withdraw a decision by hand and let the rules place its items again; other decisions that fit still win.

    categorize : gives distinct pay items their category by rule. Called while the record is not locked.
    Returns the lines that changed. Raises NotOnRecord if there is no such decision.
    """
    key = {"item_code": item_code.strip(), "description": description.strip(), "pay_unit": pay_unit.strip()}
    with store.open() as cursor:
        items = to_frame(cursor.sql(statement("saving/items_of_override"), params=key).to_arrow_table())
    decided = items.join(categorize(items)[["work_category", "rule"]])
    categories = _checked(decided)
    with store.open(write=True) as cursor, transaction(cursor):
        cursor.execute(statement("saving/remove_override"), key)
        if not cursor.fetchall()[0][0]:
            raise NotOnRecord(f"no decision by hand on “{key['description']}” is on record")
        return _set(cursor, categories)


def set_categories(store: Store, categories: pd.DataFrame) -> int:
    """Give lines on record the work category of their pay item, after a change of rules. Decisions by hand still win.

    categories : one row per pay item and schedule; columns `CATEGORY_COLUMNS`, code and pay unit may be missing values.
    Returns the lines whose category or rule changed by the rules. Raises BadValue for columns that are missing or two
    categories for one item.
    """
    rows = _checked(categories)
    with store.open(write=True) as cursor, transaction(cursor):
        return _set(cursor, rows)


def _set(cursor: duckdb.DuckDBPyConnection, categories: pa.Table) -> int:
    cursor.register("new_category", categories)
    changed = _changed(cursor, "saving/set_categories")
    _changed(cursor, "saving/apply_overrides")
    return changed


def _changed(cursor: duckdb.DuckDBPyConnection, name: str) -> int:
    return int(cursor.execute(statement(name)).fetchall()[0][0])


def _checked(categories: pd.DataFrame) -> pa.Table:
    missing = [name for name in CATEGORY_COLUMNS if name not in categories]
    if missing:
        raise BadValue(f"the categories lack the columns {', '.join(missing)}")
    rows = categories[list(CATEGORY_COLUMNS)].drop_duplicates()
    twice = rows[rows.duplicated(list(CATEGORY_COLUMNS[:4]))]
    if len(twice):
        raise BadValue(f"the item “{twice['description'].iloc[0]}” is given two categories")
    if rows[["description", "schedule", "work_category", "rule"]].isna().any(axis=None):
        raise BadValue("a category, its rule, or the item it is for is missing")
    text = pa.schema([(name, pa.string()) for name in CATEGORY_COLUMNS])
    return pa.Table.from_pandas(rows.astype("str"), schema=text, preserve_index=False)

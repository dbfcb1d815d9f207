"""Asking the record a question: one SQL file in, one frame out."""

from __future__ import annotations

import re
from functools import cache
from typing import Any

import duckdb
import pandas as pd
import pyarrow as pa

from bidlens.errors import BadValue
from bidlens.store.connection import Store
from bidlens.store.statements import Question, question, statement
from bidlens.tables import TABLES

#: Views that several questions share, each after those it rests on.
_VIEWS = ("low_bid", "bidder_known", "low_line", "linked_structure", "finding_known", "item_known")
#: Columns that may be empty in some row: they keep one dtype whether or not a row happens to be empty today.
_MAY_BE_EMPTY = {column.name for table in TABLES for column in table.columns if not column.required}


def ask(store: Store, question_name: str, /, **parameters: Any) -> pd.DataFrame:
    """The answer to a question, in the columns its SQL file declares.

    question_name : name of a file in `store/sql`, such as `lettings`.
    parameters : what the question needs, by name; bound, never pasted into the SQL.

    Text comes as `str`, days and times as datetime64[us], money as float64 rounded to the cent, whole numbers as
    int64, or Int64 where a row may be without one.
    Raises BadValue for an unknown question or wrong parameters, NotOnRecord if there is no record yet.
    """
    asked = question(question_name)
    _check_parameters(asked, parameters)
    with store.open() as cursor:
        return to_frame(run(cursor, asked.sql, parameters))


def run(cursor: duckdb.DuckDBPyConnection, sql: str, parameters: dict[str, Any] | None = None) -> pa.Table:
    """The rows of a query that may use the views several questions share."""
    for view in _views_of(sql):
        cursor.execute(statement(f"views/{view}"))
    bound = {name: _plain(value) for name, value in (parameters or {}).items()}
    return cursor.sql(sql, params=bound).to_arrow_table()


@cache
def _views_of(sql: str) -> tuple[str, ...]:
    """The views a query names, and those these rest on; making all of them takes as long as a small answer."""
    found: list[str] = []
    for view in reversed(_VIEWS):
        if re.search(rf"\b{view}\b", sql):
            found.append(view)
            sql += statement(f"views/{view}")
    return tuple(reversed(found))


def to_frame(rows: pa.Table) -> pd.DataFrame:
    """Arrow rows as a frame whose dtypes do not depend on which values happen to be missing."""
    return pd.DataFrame({name: _as_series(name, rows.column(name)) for name in rows.column_names})


def _as_series(name: str, values: pa.ChunkedArray) -> pd.Series:
    kind = values.type
    if pa.types.is_date(kind) or pa.types.is_timestamp(kind):
        return values.cast(pa.timestamp("us")).to_pandas()
    if pa.types.is_integer(kind):
        dtype = "Int64" if name in _MAY_BE_EMPTY else "int64"
        return values.to_pandas(integer_object_nulls=True).astype(dtype)
    if pa.types.is_boolean(kind):
        return values.to_pandas().astype("boolean" if name in _MAY_BE_EMPTY else "bool")
    if pa.types.is_string(kind):
        return values.to_pandas().astype("str")
    return values.to_pandas()


def _check_parameters(asked: Question, parameters: dict[str, Any]) -> None:
    if set(parameters) != set(asked.parameters):
        wanted = ", ".join(asked.parameters) or "no parameters"
        raise BadValue(f"the question “{asked.name}” needs {wanted}; given: {', '.join(parameters) or 'none'}")


def _plain(value: Any) -> Any:
    """Numbers and times of pandas and numpy as Python's own, which the database takes."""
    if isinstance(value, pd.Timestamp):
        return value.to_pydatetime()
    return value.item() if hasattr(value, "item") else value

"""Frames are held against the declared tables before they are stored; the DDL derives from the same declarations."""

from decimal import Decimal

import duckdb
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bidlens.errors import BadValue
from bidlens.schema import Column, Table
from bidlens.tables import TABLES

PRICE = Table(
    "price",
    "One row per line.",
    ("line",),
    (
        Column("line", "VARCHAR", "Line.", required=True),
        Column("unit_price", "DECIMAL(18,5)", "Price.", "USD", check="unit_price >= 0"),
        Column("letting_date", "DATE", "Day."),
    ),
)


def test_every_table_is_made_by_its_own_ddl():
    con = duckdb.connect()
    for table in TABLES:
        con.execute(table.ddl())
        assert [row[0] for row in con.execute(f"DESCRIBE {table.name}").fetchall()] == table.column_names


def test_text_goes_to_money_exactly_and_dates_to_days():
    frame = pd.DataFrame(
        {"line": ["1", "2"], "unit_price": ["0.1", None], "letting_date": pd.to_datetime(["2024-02-29"] * 2)}
    )
    row = PRICE.conform(frame).to_pylist()[0]
    assert row["unit_price"] == Decimal("0.10000")
    assert row["letting_date"].isoformat() == "2024-02-29"


@given(st.decimals(min_value=0, max_value=10**9, places=5))
def test_money_written_as_text_comes_back_to_the_last_digit(price):
    stored = PRICE.conform(pd.DataFrame({"line": ["1"], "unit_price": [str(price)]})).to_pylist()[0]["unit_price"]
    assert stored == price


def test_all_offences_are_told_at_once():
    frame = pd.DataFrame({"line": ["1", "1", None], "unit_price": ["1", "x", "2"], "colour": ["a", "b", "c"]})
    with pytest.raises(BadValue) as caught:
        PRICE.conform(frame)
    said = str(caught.value)
    assert "unknown column colour" in said
    assert "unit_price" in said
    assert "line: 1 rows without a value" in said
    assert "1 rows repeat the key (line)" in said


def test_columns_a_frame_lacks_become_null():
    assert PRICE.conform(pd.DataFrame({"line": ["1"]})).to_pylist() == [
        {"line": "1", "unit_price": None, "letting_date": None}
    ]

"""The table of rows that a later file replaced, kept so that taking the later file back brings them back."""

from __future__ import annotations

from bidlens.schema import Column, Table

REPLACED_ROW = Table(
    "replaced_row",
    "One row per row of a contract that a later file replaced; taking that file back brings it back.",
    ("table_name", "contract_id", "letting_date", "batch_id", "cells"),
    (
        Column("table_name", "VARCHAR", "Table the row belongs to.", required=True),
        Column("contract_id", "VARCHAR", "Contract.", required=True),
        Column("letting_date", "DATE", "Letting.", required=True),
        Column("earlier_batch", "INTEGER", "Import that brought the row.", required=True),
        Column("cells", "VARCHAR", "The row, as JSON.", required=True),
        Column("batch_id", "INTEGER", "Import that replaced it.", required=True),
    ),
    keyed=False,
)

"""The table of forecasts kept, to be held against what was let. They belong to no import and outlive every one."""

from __future__ import annotations

from bidlens.schema import Column, Table

_MONEY = "DECIMAL(18,2)"

FORECAST = Table(
    "forecast",
    "One row per bridge of a forecast that was kept, and one for its total.",
    ("forecast_id", "structure_id"),
    (
        Column("forecast_id", "VARCHAR", "First letting year and a count: 2027-1.", required=True),
        Column("structure_id", "VARCHAR", "Bridge; empty: the whole list.", required=True),
        Column("made_at", "TIMESTAMP", "When, UTC.", required=True),
        Column("record_stamp", "VARCHAR", "Stamp of the cost record it was made from.", required=True),
        Column("list_fingerprint", "VARCHAR", "Fingerprint of the list as it was.", required=True),
        Column("year", "INTEGER", "First letting year.", required=True),
        Column("years", "INTEGER", "How many letting years.", required=True, check="years >= 1"),
        Column("basis", "VARCHAR", "Cost basis: contract or bridge.", required=True),
        Column("mobilization", "BOOLEAN", "Whether mobilization was added to bridge items.", required=True),
        Column("index_title", "VARCHAR", "Cost index used.", required=True),
        Column("superstructure", "VARCHAR", "Superstructure planned; null for the total."),
        Column("letting_date", "DATE", "Letting forecast; null for the total."),
        Column("deck_area_sf", "DOUBLE", "Deck area planned.", "sf", True),
        Column("fixed_usd", _MONEY, "Costs beside the contract that are in the amounts.", "USD", True),
        Column("contingency_ratio", "DOUBLE", "Contingency that is in the amounts, 0.10 for 10 %.", "ratio", True),
        Column("p10", _MONEY, "Cost that 10 futures of 100 stay below.", "USD", True),
        Column("p50", _MONEY, "Middle.", "USD", True),
        Column("p80", _MONEY, "Cost that 80 futures of 100 stay below.", "USD", True),
        Column("p90", _MONEY, "Cost that 90 futures of 100 stay below.", "USD", True),
        Column("mean", _MONEY, "Mean.", "USD", True),
        Column("budget_usd", _MONEY, "Budget held against the total; null: none.", "USD"),
        Column("runs", "INTEGER", "Futures drawn.", required=True),
        Column("seed", "BIGINT", "Seed of the draws.", required=True),
    ),
)  # fmt: skip

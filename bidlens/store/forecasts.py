"""Forecasts kept, to be held against what is let; each can be forgotten again."""

from __future__ import annotations

import pandas as pd

from bidlens.errors import NotOnRecord
from bidlens.store.connection import Store, transaction
from bidlens.store.migrate import create_or_upgrade
from bidlens.store.statements import statement
from bidlens.tables.forecasts import FORECAST

#: What makes two forecasts the same, whenever they were made.
_SAME = ("list_fingerprint", "year", "years", "basis", "mobilization", "index_title", "runs", "seed")
_TOTALS = """
    SELECT forecast_id, list_fingerprint, year, years, basis, mobilization, index_title, runs, seed, p80::DOUBLE
    FROM forecast WHERE structure_id = ''
"""


def keep_forecast(store: Store, rows: pd.DataFrame) -> tuple[str, bool]:
    """Keep one forecast. rows : columns of `FORECAST` but its forecast_id, the total's with an empty structure_id.

    Returns its forecast_id, and whether it is new: one with the same total from the same list is kept once.
    """
    create_or_upgrade(store)
    total = rows[rows["structure_id"] == ""].iloc[0].to_dict()
    with store.open(write=True) as cursor, transaction(cursor):
        known = cursor.execute(_TOTALS).fetchall()
        for forecast_id, *said, p80 in known:
            if (
                all(total[name] == value for name, value in zip(_SAME, said, strict=True))
                and abs(p80 - total["p80"]) < 1
            ):
                return str(forecast_id), False
        counted = [int(name.rpartition("-")[2]) for name, *_ in known if name.startswith(f"{total['year']}-")]
        forecast_id = f"{total['year']}-{max(counted, default=0) + 1}"
        cursor.register("to_keep", FORECAST.conform(rows.assign(forecast_id=forecast_id)))
        cursor.execute(statement("saving/forecast"))
        cursor.unregister("to_keep")
    return forecast_id, True


def forget_forecast(store: Store, forecast_id: str) -> int:
    """Remove a forecast kept. Returns its bridges. Raises NotOnRecord, naming those there are, if there is none."""
    with store.open(write=True) as cursor, transaction(cursor):
        ids = sorted({name for (name,) in cursor.execute("SELECT forecast_id FROM forecast").fetchall()})
        if forecast_id not in ids:
            raise NotOnRecord(
                f"no forecast “{forecast_id}” is kept",
                do=f"Kept: {', '.join(ids)}." if ids else "Keep one first (bidlens forecast … --keep).",
            )
        removed = cursor.execute("DELETE FROM forecast WHERE forecast_id = $1", [forecast_id]).fetchall()
    return int(removed[0][0]) - 1

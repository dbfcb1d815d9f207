"""Forecasts kept on record, and what became of them: asked by the command `forecasts` and the program page."""

from __future__ import annotations

import datetime as dt

from bidlens import store
from bidlens.database import Database
from bidlens.program import ProgramForecast
from bidlens.program.record import Held, held_against, rows_to_keep


def keep_forecast(db: Database, found: ProgramForecast, made_at: dt.datetime | None = None) -> tuple[str, bool]:
    """Keep a forecast, to be held against what is let. made_at : UTC; now when None.

    Returns its name, such as “2027-1”, and whether it is new: the same forecast is kept once.
    """
    moment = (made_at or dt.datetime.now(dt.UTC)).replace(tzinfo=None, microsecond=0)
    return store.keep_forecast(db.store, rows_to_keep(found).assign(made_at=moment, record_stamp=db.stamp()))


def forget_forecast(db: Database, forecast_id: str) -> int:
    """Remove a forecast kept. Returns how many bridges it had. Raises NotOnRecord if there is none of that name."""
    return store.forget_forecast(db.store, forecast_id)


def kept_forecasts(db: Database) -> Held:
    """Every forecast kept, held against what has been let since."""
    kept = store.ask(db.store, "forecasts")
    asked = {(str(basis), bool(added)) for basis, added in zip(kept["basis"], kept["mobilization"], strict=True)}
    return held_against(
        kept, {(basis, added): db.price_history(basis, include_mobilization=added).frame for basis, added in asked}
    )

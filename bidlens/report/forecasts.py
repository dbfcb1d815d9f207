"""What `bidlens forecasts` says: forecasts kept, and how often what was let fell inside their ranges."""

from __future__ import annotations

from bidlens import wording
from bidlens.program.record import Held, said
from bidlens.report import program_tables as tables
from bidlens.report.terminal import paragraph, plain, table

#: What the columns leave out, said with every list of them.
AMOUNTS = (
    "Amounts are of the contract alone: contingency and costs beside the contract are taken off before a forecast is "
    "held against the low bid. A bridge counts once it is let after the forecast was made and in its years."
)


def forecasts_answer(held: Held) -> str:
    """The whole answer as text."""
    parts = [paragraph(said(held))]
    if len(held.totals):
        parts += ["", table(tables.KEPT_HEADS, tables.kept_rows(held), tables.KEPT_SIDES)]
    if rows := tables.let_rows(held):
        parts += ["", table(tables.LET_HEADS, rows, tables.LET_SIDES)]
    return "\n".join([*parts, *(["", paragraph(AMOUNTS)] if len(held.totals) else [])])


def kept_answer(forecast_id: str, new: bool) -> str:
    """What was kept, and how to look at it and to forget it."""
    if not new:
        return f"The same forecast is kept already, as {plain(forecast_id)}."
    name = plain(forecast_id)
    return f"Kept as forecast {name}; “bidlens forecasts” shows it, “bidlens forecasts --forget {name}” removes it."


def forgotten_answer(forecast_id: str, bridges: int) -> str:
    """What was removed."""
    return f"Forecast {plain(forecast_id)} of {wording.count(bridges, 'bridge')} was forgotten."

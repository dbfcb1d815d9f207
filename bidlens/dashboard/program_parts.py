"""The parts below the bridges: years, alternatives, one change at a time, the pace, forecasts kept."""

from __future__ import annotations

import streamlit as st

from bidlens import figures, keeping
from bidlens.dashboard import blocks, cache
from bidlens.dashboard.blocks import Column
from bidlens.dashboard.program_asked import LIFE
from bidlens.dashboard.words import label
from bidlens.errors import BidlensError
from bidlens.findings import Unavailable
from bidlens.program import ProgramForecast, year_words
from bidlens.program.record import said
from bidlens.report import forecasts
from bidlens.report import program_tables as tables


def table(heads: tuple[str, ...], rows: tables.Rows, sides: str) -> None:
    """A table of the report as one of the page."""
    columns = [
        Column(head[:1].upper() + head[1:], "n" if side == "r" else "nowrap")
        for head, side in zip(heads, sides, strict=True)
    ]
    blocks.table(columns, rows)


def years(found: ProgramForecast) -> None:
    """The years, what is let in each, and what the waiting costs."""
    if found.schedule is None:
        return
    blocks.section(
        "Year by year", "Every bridge in dollars of its own letting; “8 in 10” is the range of what is left."
    )
    table(tables.YEAR_HEADS, tables.year_rows(found), tables.YEAR_SIDES)
    for text in year_words.schedule_words(found):
        blocks.note(text)
    with st.expander("Which bridge is let in which year"):
        table(tables.LETTING_HEADS, tables.letting_years(found), tables.LETTING_SIDES)


def alternatives(found: ProgramForecast) -> None:
    """The types a bridge may be built as."""
    if found.alternatives.empty:
        return
    blocks.section("Alternatives of type", "Priced in the same futures, with the same luck of each letting.")
    table(tables.ALTERNATIVE_HEADS, tables.alternative_rows(found), tables.ALTERNATIVE_SIDES)
    for text in year_words.alternatives_words(found.alternatives):
        blocks.note(text)


def changes(found: ProgramForecast) -> None:
    """One change of one bridge, and what it does to the whole list."""
    blocks.section(
        "What changing one bridge does to the whole list",
        "Change of the total in the same futures, so that no part of it is chance; “within” is the chance that the "
        "budget then covers the list.",
    )
    with st.expander("Leave one out, let it a year later, or build another type"):
        for head, rows, sides in tables.changes_parted(found):
            table(head, rows, sides)
    blocks.note(year_words.waiting_words(found))


def pace(found: ProgramForecast) -> None:
    """The ages, the backlog year by year, and the dollars a pace of replacement needs."""
    texts = year_words.pace_words(found)
    if not texts:
        return
    blocks.section("What the ages on record ask for", texts[0])
    left, right = st.columns(2, gap="medium")
    for side, picture, key, alt in (
        (left, figures.age_picture, "ages", "Bridges of the inventory by age"),
        (right, figures.backlog_picture, "backlog", "Bridges past the service life year by year"),
    ):
        with side:
            st.plotly_chart(
                picture(found.rotation, blocks.palette()), theme=None, config=figures.CONFIG, key=key, alt=alt
            )
    for text in texts[1:]:
        blocks.note(text)
    inventory(found)
    table(tables.PACE_HEADS, tables.pace_rows(found), tables.PACE_SIDES)


def inventory(found: ProgramForecast) -> None:
    """The bridges themselves: which are old and large, and which of them the list takes."""
    life = found.rotation.service_life_years[0] if not isinstance(found.rotation, Unavailable) else LIFE
    on_list = found.structures["structure_id"].tolist()
    picture = figures.inventory_picture(cache.table("structures"), on_list, found.year, life, blocks.palette())
    blocks.lead("Each mark is a bridge: the further left the older, the higher the larger. Diamonds are on this list.")
    st.plotly_chart(
        picture,
        theme=None,
        config=figures.CONFIG,
        key="inventory",
        alt="Bridges of the inventory by build year and deck area; those of the list are marked",
    )


def kept(found: ProgramForecast | None) -> None:
    """Forecasts kept, held against what was let; keep this one, forget one."""
    held = cache.kept_forecasts()
    blocks.section("Forecasts kept", said(held))
    if message := st.session_state.pop("forecast_told", ""):
        blocks.note(message)
    if rows := tables.kept_rows(held):
        table(tables.KEPT_HEADS, rows, tables.KEPT_SIDES)
    if let := tables.let_rows(held):
        table(tables.LET_HEADS, let, tables.LET_SIDES)
    with st.container(horizontal=True, gap="small", vertical_alignment="bottom"):
        if found is not None:
            st.button("Keep this forecast", key="forecast_keep", on_click=_keep, args=(found,))
        if len(held.totals):
            names = held.totals["forecast_id"].tolist()
            st.selectbox("Forget one", names, format_func=label, key="forecast_named", width=160)
            st.button("Forget it", key="forecast_forget", on_click=_forget)
    if rows:
        blocks.note(forecasts.AMOUNTS)


def _keep(found: ProgramForecast) -> None:
    try:
        name, new = keeping.keep_forecast(cache.database(), found)
        st.session_state["forecast_told"] = f"Kept as forecast {name}." if new else f"Kept already, as forecast {name}."
    except BidlensError as error:
        st.session_state["forecast_told"] = f"Not kept: {error.what}"


def _forget() -> None:
    name = str(st.session_state["forecast_named"])
    try:
        bridges = keeping.forget_forecast(cache.database(), name)
        st.session_state["forecast_told"] = forecasts.forgotten_answer(name, bridges)
    except BidlensError as error:
        st.session_state["forecast_told"] = f"Not forgotten: {error.what}"

"""What will the list cost, and does it fit? A list of bridges, a budget, and whether the pace keeps up."""

from __future__ import annotations

import streamlit as st

from bidlens import figures
from bidlens.dashboard import blocks, cache, downloads, empty, program_asked, program_list, program_parts, program_view
from bidlens.dashboard.program_asked import Asked
from bidlens.dashboard.words import Html
from bidlens.errors import BidlensError
from bidlens.program import ProgramForecast, words
from bidlens.report import as_json, program_report, workbook
from bidlens.report.program_text import CAUTION

QUESTION = "What will the list cost, and does it fit?"


def page() -> None:
    """The whole page: the answer stands above the list it is about."""
    if cache.is_empty() or cache.table("lettings").empty:
        empty.no_bid_tabs(QUESTION)
        blocks.caution()
        return
    try:
        asked = Asked.from_query(st.query_params)
    except BidlensError as error:
        blocks.opening(QUESTION, Html("<b>No forecast</b> is made of what the address asks for."))
        blocks.stopped(error)
        return
    stage = st.container()
    blocks.section(
        "The list",
        "Change a type, a size, an order or a letting; add rows below, take rows out at the left. A blank size is that "
        "of the present bridge, made larger by your rule. Costs are in dollars. Nothing of it is stored.",
    )
    bridges = program_list.edited_list()
    found = None
    with stage:
        year = program_view.year_of(asked, bridges, cache.counts()["last_letting"].year)
        try:
            found = cache.forecast(bridges, year, asked.index, asked.keywords())
            forecast(asked, found)
        except BidlensError as error:
            blocks.opening(QUESTION, Html("<b>No forecast</b> can be made of this list yet."))
            blocks.stopped(error)
            with st.popover("Change what is asked"):
                program_asked.widgets(asked, year)
    program_parts.kept(found)
    blocks.caution(CAUTION, blocks.AWARD)


def forecast(asked: Asked, found: ProgramForecast) -> None:
    """Answer, title block, the two pictures, the bridges, the notes."""
    question = f"What will the {found.span} list cost, and does it fit?"
    blocks.opening(question, program_view.answer(found), words.support(found))
    blocks.title_block(
        {
            "List": f"{_bridges(found)}, {found.structures['deck_area_sf'].sum():,.0f} sf of deck",
            "Basis": _basis(found),
            "Dollars of": words.dollars_words(found),
            "Index growth": words.growth_words(found),
            "History": f"{found.contracts} contracts",
            "Draws": f"{found.runs:,}, seed {found.seed}",
        }
    )
    with st.container(horizontal=True, gap="small", key="compare_row"):
        with st.popover("Change what is asked"):
            program_asked.widgets(asked, found.year)
        _downloads(found)
    pictures(found)
    program_parts.years(found)
    blocks.section(
        "Bridge by bridge, in your order",
        "Do not add the P80 column: bridges rarely all come in high. The running total is that of the whole list.",
    )
    st.html(program_view.bridge_table(found))
    for text in (*words.budget_words(found), words.drivers_words(found)):
        blocks.note(text)
    blocks.findings(found.findings)
    program_parts.alternatives(found)
    program_parts.changes(found)
    program_parts.pace(found)


def _bridges(found: ProgramForecast) -> str:
    """“11 bridges”, or “9 of 11 bridges” where some fit no year."""
    let, left = len(found.structures), len(found.schedule.left) if found.schedule else 0
    return f"{let} of {let + left} bridges" if left else blocks.counted(let, "bridge")


def _basis(found: ProgramForecast) -> str:
    if found.basis == "contract":
        return "contract, mobilization included"
    return "bridge items and mobilization" if found.mobilization else "bridge items only"


def pictures(found: ProgramForecast) -> None:
    """The whole list against the budget, and the pace against the ages."""
    left, right = st.container(key="first_pictures").columns(2, gap="medium")
    with left:
        against = " against the budget" if found.budget else ""
        blocks.section(f"The whole list{against}, 50 dots for 100 chances")
        st.plotly_chart(
            figures.fifty_dots(found, blocks.palette()),
            theme=None,
            config=figures.CONFIG,
            key="dots",
            alt=words.answer(found),
        )
    with right:
        blocks.section("Does the pace keep up?")
        st.plotly_chart(
            figures.pace_picture(found.rotation, blocks.palette()),
            theme=None,
            config=figures.CONFIG,
            key="pace",
            alt="Bridges that reach the service life in each five years, against the pace of replacement on record",
        )
        blocks.lead(words.rotation_words(found.rotation))


def _downloads(found: ProgramForecast) -> None:
    """Report, workbook, table and JSON answer; each is made when it is asked for."""
    sources, stem = cache.sources(), f"program_{found.year}"
    with st.popover("Download"):
        st.download_button(
            "Board report to print (HTML)", lambda: program_report.report_html(found, sources), f"{stem}.html",
            "text/html", key="board_report",
        )  # fmt: skip
        st.download_button(
            "Working (XLSX)", lambda: program_report.working(found, sources), f"{stem}.xlsx", downloads.XLSX,
            key="program_xlsx",
        )  # fmt: skip
        st.download_button(
            "Bridges (CSV)", lambda: workbook.safe_csv(found.structures), f"{stem}.csv", "text/csv", key="program_csv"
        )
        st.download_button(
            "All numbers (JSON)", lambda: as_json.document("forecast", **found.as_dict()), f"{stem}.json",
            "application/json", key="program_json",
        )  # fmt: skip


page()

"""Can I rely on it? How past lettings would have been predicted, and where each number comes from."""

from __future__ import annotations

import math

import streamlit as st

from bidlens import figures, wording
from bidlens.dashboard import blocks, cache, check_view, empty, filter_bar, how_view
from bidlens.dashboard.filters import Filters, basis_title
from bidlens.dashboard.words import Html, bold_numbers
from bidlens.figures.words import source_words
from bidlens.model import Backtest
from bidlens.report import look_back

QUESTION = "Can I rely on it?"

#: With fewer years than this in the county's own index nothing is compared.
LEAST_YEARS = 3


def page() -> None:
    """The whole page."""
    if cache.is_empty():
        empty.no_bid_tabs(QUESTION)
    else:
        filters = Filters.from_query(st.query_params)
        with blocks.stops_shown():
            looked_back(filters)
    how_view.explained()
    how_view.sources()
    how_view.stamps(cache.index(None))
    blocks.caution(
        blocks.FITNESS,
        blocks.AWARD,
        "A service life is the user’s assumption; a 75-year design life is a load basis, not an expected life.",
        "Price jumps such as 2021–2023 lie outside what any range learnt from the past can promise.",
    )


def looked_back(filters: Filters) -> None:
    """The back-test in one sentence and one picture."""
    result = cache.backtest(filters.basis, filters.index)
    priced = cache.price_history(filters.basis, None, filters.index)
    if not result.n:
        blocks.opening(
            QUESTION, bold_numbers(("Too few past lettings to look back on.",)), "It takes lettings of several years."
        )
    else:
        blocks.opening(QUESTION, *sentences(result))
    blocks.title_block(
        {
            "Method": "one regression on log $/sf",
            "Learns from": "low responsive bids, as corrected",
            "Works from": "4 structures; grades from 12",
            "Basis": basis_title(filters.basis),
            "Index": priced.index.title,
        }
    )
    filter_bar.popover(
        filters, priced.index, not_used="The look back takes every structure on record; no other filter applies here."
    )
    if result.n:
        picture = figures.backtest_picture(result, filters.basis, blocks.palette(), source_words(priced.frame))
        st.plotly_chart(
            picture,
            theme=None,
            config=figures.CONFIG,
            key="backtest",
            alt="Each past letting against its predicted range",
        )
        beside_plain_methods(result)
    blocks.findings(result.findings)
    if priced.model is not None:
        blocks.section("What the record says of each effect", "With an 8-in-10 interval; all else equal.")
        blocks.table([blocks.Column("Effect")], [[one] for one in priced.model.in_words()["words"]])
        blocks.section("Past lettings that stand out")
        check_view.named_rows(priced.model)
    beside_the_index(filters)


def beside_the_index(filters: Filters) -> None:
    """The county's own repeating pay items beside the cost index, year by year."""
    frame = cache.county_price_index(filters.index)
    if frame["fisher"].notna().sum() < LEAST_YEARS:
        return
    blocks.section(
        "Our prices beside the cost index",
        "Low-bid prices of the pay items let in a year and in the one before, weighed by what was spent; first year 1.",
    )
    columns = [blocks.Column("Year"), blocks.Column("Items in both", "n"), blocks.Column("Share of dollars", "n")]
    columns += [blocks.Column(title, "n") for title in ("Ours (Fisher)", "Laspeyres", "Paasche", "Törnqvist", "NHCCI")]
    rows = [
        [str(row["year"]), wording.number(row["n"]), _share(row["share"])]
        + [wording.number(row[name], 2) for name in ("fisher", "laspeyres", "paasche", "tornqvist", "national")]
        for row in frame.to_dict("records")
    ]
    blocks.table(columns, rows)
    blocks.note("Few matched items make a rough index: it is shown beside the published one and used for nothing.")


def _share(ratio: float) -> str:
    return f"{wording.number(ratio * 100)}%" if math.isfinite(ratio) else ""


def beside_plain_methods(result: Backtest) -> None:
    """The same lettings by plain methods, in all and year by year."""
    blocks.section("Beside plain methods", "How far the middle was off (median), each year from the years before it.")
    names = [blocks.Column("Method"), *(blocks.Column(title.capitalize(), "n") for title in look_back.METHOD_HEAD[1:])]
    blocks.table(names, look_back.method_rows(result))
    with st.expander("Year by year"):
        years = [blocks.Column(title.capitalize(), "n") for title in look_back.YEAR_HEAD]
        blocks.table(years, look_back.year_rows(result))


def sentences(result: Backtest) -> tuple[Html, str]:
    """The answer and its second line."""
    inside = int(result.lettings["inside"].sum())
    off = f"{wording.half_up(result.median_abs_error * 100)}%"
    answer = bold_numbers(
        "Asked about ",
        (blocks.counted(result.n, "past price"),),
        " it had not seen, the 9-in-10 range held the low bid ",
        (f"{inside} times",),
        ", and the middle was off by ",
        (off,),
        " (median).",
    )
    plain_average = f"{wording.half_up(result.type_mean_median_abs_error * 100)}%"
    return answer, (
        f"The average of the same type, brought to the year by the index, was off by {plain_average}. "
        "Each year was predicted from the years before it."
    )


page()

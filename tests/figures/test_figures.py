"""Figures are read back by their traces, shapes and words: what is drawn, what is said, what a click carries."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import plotly.graph_objects as go
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bidlens import figures, wording
from bidlens.figures import words
from bidlens.figures.marks import key_of
from bidlens.figures.scatter import dollar_ticks
from bidlens.figures.steps import printed_amounts, steps_of
from bidlens.figures.theme import CAPTION, year_axis
from tests.figures import example

LIGHT = figures.LIGHT
HISTORY = example.history()


def said(figure: go.Figure) -> str:
    return "\n".join(note.text for note in figure.layout.annotations)


def traces(figure: go.Figure, name: str) -> list[Any]:
    return [trace for trace in figure.data if trace.name == name]


@cache
def every_figure() -> dict[str, go.Figure]:
    check = example.check()
    return {
        "place strip": figures.place_strip(check, HISTORY, LIGHT),
        "against span": figures.against_span(HISTORY, check, example.curve(), LIGHT),
        "against date": figures.against_date(HISTORY, check, LIGHT),
        "steps": figures.like_for_like_steps(check, HISTORY, LIGHT),
        "panels": figures.panels_by_type(HISTORY, "superstructure", "2026Q1", LIGHT),
        "backtest": figures.backtest_picture(example.backtest(), "superstructure", LIGHT),
    }


@pytest.mark.parametrize("name", list(every_figure()))
def test_every_figure_closes_with_basis_source_and_count(name: str) -> None:
    text = said(every_figure()[name])
    assert "superstructure basis" in text
    assert "source: " in text
    assert "n = " in text or "n beside each step" in text
    assert "dollars of 2026 Q1" in text or "percent of the predicted middle" in text


@pytest.mark.parametrize("name", list(every_figure()))
def test_no_words_on_a_figure_are_smaller_than_a_caption(name: str) -> None:
    figure = every_figure()[name]
    sizes = [note.font.size for note in figure.layout.annotations if note.font.size is not None]
    assert min(sizes) >= CAPTION
    assert all(int(size) >= CAPTION for size in re.findall(r"font-size:(\d+)px", said(figure)))


def test_strip_draws_the_ranges_from_wide_to_narrow_at_the_expected_prices() -> None:
    check = example.check()
    figure = figures.place_strip(check, HISTORY, LIGHT)
    bars = [shape for shape in figure.layout.shapes if shape.type == "rect"]
    assert [(bar.x0, bar.x1) for bar in bars] == [
        (check.expected[low], check.expected[high]) for low, high in (("p05", "p95"), ("p10", "p90"), ("p25", "p75"))
    ]
    assert [bar.fillcolor for bar in bars] == [LIGHT.band90, LIGHT.band80, LIGHT.band50]
    assert "usual: 8 in 10 lettings fall here, $115 to $188" in said(figure)
    assert "made like for like: +$59" in said(figure)


def test_strip_ticks_carry_contract_letting_and_structure() -> None:
    own = HISTORY[HISTORY["superstructure"] == "rolled steel beam"]
    (ticks,) = traces(figures.place_strip(example.check(), HISTORY, LIGHT), "own")
    assert len(ticks.x) == len(own) == 19
    first = own.iloc[0]
    assert ticks.customdata[0] == f"{first.contract_id}|{first.letting_date:%Y-%m-%d}|{first.structure_id}"


def test_strip_of_a_grade_d_check_is_not_drawn_but_explained() -> None:
    for check in (example.check(grade="D"), example.check(expected=None)):
        figure = figures.place_strip(check, HISTORY, LIGHT)
        assert not figure.data
        assert "too little history" in said(figure)


def test_strip_from_fewer_than_twelve_contracts_has_no_middle() -> None:
    thin = example.check()
    thin.history.contracts = 11
    assert "middle $" not in said(figures.place_strip(thin, HISTORY, LIGHT))
    assert "middle $147" in said(figures.place_strip(example.check(), HISTORY, LIGHT))


def test_strip_leaves_room_for_every_mark_and_label() -> None:
    for quoted, offer in ((104.0, 162.7), (104.0, 98.0), (104.0, 104.0), (20.0, 900.0), (161.0, 165.0), (300.0, 90.0)):
        check = example.check(quoted_per_sf=quoted, like_for_like_per_sf=offer)
        low, high = figures.place_strip(check, HISTORY, LIGHT).layout.xaxis.range
        assert low < min(quoted, offer, check.expected["p05"])
        assert high > max(quoted, offer, check.expected["p95"])


def test_scatter_fills_the_type_asked_about_and_opens_all_others() -> None:
    figure = figures.against_span(HISTORY, example.check(), example.curve(), LIGHT)
    marks = [trace for trace in figure.data if trace.customdata is not None]
    symbols = {trace.name: trace.marker.symbol for trace in marks}
    assert symbols["rolled steel beam"] == "circle"
    assert symbols["concrete slab"] == "square-open"
    assert all("open" in symbol for name, symbol in symbols.items() if name != "rolled steel beam")
    assert sum(len(trace.x) for trace in marks) == len(HISTORY)


def test_scatter_fills_bands_only_over_the_spans_the_type_was_let_at() -> None:
    own = HISTORY.loc[HISTORY["superstructure"] == "rolled steel beam", "span_ft"]
    figure = figures.against_span(HISTORY, example.check(), example.curve(), LIGHT)
    for band in ("band90", "band80", "band50"):
        (polygon,) = traces(figure, band)
        assert min(polygon.x) >= own.min()
        assert max(polygon.x) <= own.max()


def test_scatter_counts_structures_without_a_span_instead_of_dropping_them_silently() -> None:
    gaps = HISTORY.assign(span_ft=HISTORY["span_ft"].mask(HISTORY.index < 3))
    assert "3 structures without a span not drawn" in said(figures.against_span(gaps, example.check(), None, LIGHT))
    nothing = HISTORY.assign(span_ft=np.nan)
    assert "No contract on record has a span" in said(figures.against_span(nothing, example.check(), None, LIGHT))


def test_scatter_rings_the_picked_contract() -> None:
    row = HISTORY.iloc[5]
    key = key_of(row.contract_id, row.letting_date, row.structure_id)
    for figure in (
        figures.against_span(HISTORY, example.check(), None, LIGHT, picked=key),
        figures.against_date(HISTORY, example.check(), LIGHT, picked=key),
    ):
        (ring,) = traces(figure, "picked")
        assert ring.y == (row.unit_cost_adjusted,)
    assert not traces(figures.against_date(HISTORY, example.check(), LIGHT, picked="gone|2020-01-01|K-1"), "picked")


def test_picking_one_mark_does_not_fade_the_others() -> None:
    figure = figures.against_span(HISTORY, example.check(), example.curve(), LIGHT)
    marks = [trace for trace in figure.data if trace.mode == "markers"]
    assert all(trace.unselected.marker.opacity == 1 for trace in marks)


def test_date_scatter_draws_the_range_only_at_the_offers_own_date() -> None:
    figure = figures.against_date(HISTORY, example.check(), LIGHT)
    (polygon,) = traces(figure, "band90")
    days = np.array(polygon.x, dtype="datetime64[D]")
    assert np.ptp(days).astype(int) < 366
    assert days.min() < np.datetime64("2026-02-10") < days.max()


def test_steps_add_up_as_printed() -> None:
    figure = figures.like_for_like_steps(example.check(), HISTORY, LIGHT)
    amounts = [
        Decimal(text.replace("−", "-").replace("$", "").replace("+", ""))
        for text in re.findall(r"[+−]?\$\d+\.\d+", said(figure))
    ]
    assert sum(amounts[:-1]) == amounts[-1] == Decimal("162.7")


def test_steps_that_do_not_close_at_one_decimal_show_two() -> None:
    check = example.check(
        quoted_per_sf=100.04,
        like_for_like_per_sf=110.12,
        adjustments=(example.adjustment("Deck", 5.04), example.adjustment("Railing", 5.04)),
    )
    assert "$110.12" in said(figures.like_for_like_steps(check, HISTORY, LIGHT))


@given(st.floats(20, 900), st.lists(st.floats(-60, 90), max_size=7))
def test_printed_steps_add_to_the_printed_total(quoted: float, changes: list[float]) -> None:
    total = quoted
    for change in changes:
        total += change
    adjustments = tuple(example.adjustment("Work", change) for change in changes)
    check = example.check(quoted_per_sf=quoted, like_for_like_per_sf=total, adjustments=adjustments)
    printed = printed_amounts(steps_of(check))
    amounts = [Decimal(re.sub(r"[$,+]", "", text).replace("−", "-")) for text in printed]
    assert sum(amounts[:-1]) == amounts[-1]
    for shown, step in zip(amounts, steps_of(check), strict=True):
        assert abs(float(shown) - step.amount) <= 0.0501


def test_deductions_are_hatched_and_the_quoted_price_is_hollow() -> None:
    check = example.check()
    (bars,) = figures.like_for_like_steps(check, HISTORY, LIGHT).data
    roles = [step.role for step in steps_of(check)]
    assert [shape == "/" for shape in bars.marker.pattern.shape] == [role == "taken off" for role in roles]
    assert bars.marker.color[0] == LIGHT.paper
    assert bars.marker.color[-1] == LIGHT.flag
    assert bars.base[2] == pytest.approx(104.0 + 34.2)


def test_panels_give_an_average_from_four_structures_and_say_so_below() -> None:
    text = said(figures.panels_by_type(HISTORY, "superstructure", "2026Q1", LIGHT))
    assert "no average: needs 4" in text
    own = HISTORY[HISTORY["superstructure"] == "timber"]
    dollars = (own["unit_cost_adjusted"] * own["deck_area_sf"]).sum() / own["deck_area_sf"].sum()
    assert f"<b>timber</b>  n = 6, average ${wording.half_up(dollars)}" in text


def test_nine_types_take_the_height_of_six() -> None:
    def height(kinds: int) -> float:
        several = HISTORY.assign(superstructure=[f"type {number % kinds}" for number in range(len(HISTORY))])
        return float(figures.panels_by_type(several, "superstructure", "2026Q1", LIGHT).layout.height)

    assert height(3) < height(6)
    assert height(9) <= height(6) + 4


def test_panels_of_nothing_say_why() -> None:
    text = said(figures.panels_by_type(HISTORY.iloc[:0], "superstructure", "2026Q1", LIGHT))
    assert "No priced structure" in text


def test_backtest_shows_each_letting_once_inside_or_outside() -> None:
    result = example.backtest()
    figure = figures.backtest_picture(result, "superstructure", LIGHT)
    (inside,), (outside,) = traces(figure, "inside"), traces(figure, "outside")
    assert len(inside.x) + len(outside.x) == result.n
    assert len(inside.x) == result.lettings["inside"].sum()
    (bars,) = traces(figure, "9-in-10 range")
    assert len(bars.x) == result.n


def test_backtest_of_nothing_says_why() -> None:
    empty = example.backtest()
    empty.lettings = empty.lettings.iloc[:0]
    assert "Too few past lettings" in said(figures.backtest_picture(empty, "superstructure", LIGHT))


HOSTILE = '<a href="http://nowhere.invalid">x</a><img src=x onerror=alert(1)> ![](http://nowhere.invalid/i.png)'


def test_words_from_files_lose_their_markup() -> None:
    hostile = HISTORY.assign(contract_id=HOSTILE, superstructure=HOSTILE + HISTORY["superstructure"])
    check = example.check()
    check.proposal.superstructure = hostile["superstructure"].iloc[0]
    check.adjustments = (example.adjustment(HOSTILE, 58.7, source=HOSTILE),)
    result = example.backtest()
    result.lettings = result.lettings.assign(contract_id=HOSTILE, superstructure=HOSTILE)
    for figure in (
        figures.place_strip(check, hostile, LIGHT),
        figures.against_span(hostile, check, example.curve(), LIGHT),
        figures.against_date(hostile, check, LIGHT),
        figures.like_for_like_steps(check, hostile, LIGHT),
        figures.panels_by_type(hostile, "superstructure", "2026Q1", LIGHT),
        figures.backtest_picture(result, "superstructure", LIGHT),
    ):
        shown = [said(figure)]
        for trace in figure.data:
            shown += [trace.name or "", *(trace.hovertext if trace.hovertext is not None else ())]
        assert not any("<a" in text or "<img" in text for text in shown)


def test_colors_come_from_the_palette_alone() -> None:
    known = {getattr(figures.DARK, role).lower() for role in figures.DARK.__slots__ if role != "name"}
    known |= {"rgba(0,0,0,0)"}
    check = example.check()
    for figure in (
        figures.place_strip(check, HISTORY, figures.DARK),
        figures.against_span(HISTORY, check, example.curve(), figures.DARK),
        figures.like_for_like_steps(check, HISTORY, figures.DARK),
    ):
        data = figure.to_plotly_json()
        data["layout"].pop("template", None)
        used = {color.lower() for color in re.findall(r"#[0-9A-Fa-f]{6}|rgba?\([^)]*\)", str(data))}
        assert used <= known


def test_no_figure_module_imports_the_dashboard_or_a_database() -> None:
    folder = Path(figures.__file__).parent
    for module in folder.glob("*.py"):
        assert not re.search(r"^\s*(import|from) (streamlit|duckdb)", module.read_text(encoding="utf-8"), re.MULTILINE)


@given(st.floats(20, 4000), st.floats(1.2, 30))
def test_dollar_axis_has_two_to_nine_labels_inside_its_range(low: float, ratio: float) -> None:
    ticks = dollar_ticks(low, low * ratio)
    assert len(ticks) <= 9
    assert all(low <= tick <= low * ratio for tick in ticks)
    if ratio >= 2.6 and low * ratio <= 50_000:
        assert len(ticks) >= 1


@pytest.mark.parametrize(
    ("first", "last", "labels"),
    [
        ("2011-10-15", "2026-12-07", ["2012", "2014", "2016", "2018", "2020", "2022", "2024", "2026"]),
        ("2015-10-01", "2016-08-01", ["2016"]),
        ("2016-02-01", "2016-08-01", ["2016"]),
    ],
)
def test_a_date_axis_names_each_year_once(first: str, last: str, labels: list[str]) -> None:
    axis = year_axis(pd.Timestamp(first), pd.Timestamp(last))
    assert axis["ticktext"] == labels


def test_caption_lines_break_between_parts() -> None:
    assert words.caption_lines(["aaaa", "", "bbbb", "cccc"], 12) == ["aaaa · bbbb", "cccc"]

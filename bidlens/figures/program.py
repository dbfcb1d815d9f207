"""A program's total as 50 dots against the budget, and the age profile of the inventory against the pace."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import plotly.graph_objects as go

from bidlens import quarters, wording
from bidlens.figures import words
from bidlens.figures.drawing import Drawing, bar, scatter
from bidlens.figures.theme import CAPTION, LABEL, NARROW, TEXT, Palette, apply_theme, axis_title, empty_figure
from bidlens.findings import Unavailable
from bidlens.program import dots_of
from bidlens.program.words import millions

if TYPE_CHECKING:
    from bidlens.program import ProgramForecast, Rotation

#: Answer, title block and these two stand above the fold of a small screen.
PLOT_HEIGHT = 158
_BELOW_DOTS = 112


def fifty_dots(found: ProgramForecast, palette: Palette) -> go.Figure:
    """50 dots, each 2 chances in 100: filled where the budget covers the whole list, hollow beyond."""
    budget = found.budget.usd if found.budget else None
    dots = dots_of(found.totals, budget)
    figure = Drawing()
    for x, y, within in zip(dots.x / dots.width, dots.y, dots.within, strict=True):
        figure.add_shape(
            type="circle",
            x0=x - 0.46, x1=x + 0.46, y0=y - 0.96, y1=y - 0.04,
            line={"color": palette.own, "width": 1.5},
            fillcolor=palette.own if within else palette.paper,
        )  # fmt: skip
    figure.add_trace(
        scatter(
            x=(dots.x / dots.width).tolist(),
            y=(dots.y - 0.5).tolist(),
            mode="markers",
            marker={"size": 14, "opacity": 0},
            hovertext=[f"2 chances in 100 near {millions(float(x), short=True)}" for x in dots.x],
            hoverinfo="text",
        )
    )
    _quantiles(figure, found, dots.width, palette)
    if budget is not None:
        _budget(figure, budget, dots.width, int(dots.within.sum()), palette)
    _dollar_axis(figure, found, dots.x, dots.width, budget)
    figure.update_yaxes(
        visible=False,
        range=[0, int(dots.y.max()) + (2.4 if found.budget else 0.4)],
        scaleanchor="x",
        scaleratio=1,
        constrain="range",
        constraintoward="bottom",
    )
    parts = [
        f"n = {wording.count(found.contracts, 'contract')} behind the prices",
        words.basis_words(found.basis),
        f"dollars of {_dollars(found)}",
        f"source: bid tabs {found.first_year}–{found.last_year}; {found.index_title}",
        "bridges of one year share their doubt",
        "each dot: 2 chances in 100" + ("; filled: the budget covers it" if found.budget else ""),
    ]
    return apply_theme(
        figure,
        palette,
        plot_height=PLOT_HEIGHT,
        caption=words.caption_lines(parts, NARROW),
        left=20,
        right=20,
        gap=_BELOW_DOTS,
    )


def _dollars(found: ProgramForecast) -> str:
    first, _, last = found.dollars_of.partition("-")
    return f"each letting, {quarters.shown(first)} to {quarters.shown(last)}" if last else quarters.shown(first)


def _quantiles(figure: Drawing, found: ProgramForecast, width: float, palette: Palette) -> None:
    """P10, middle, P80 and P90 below the dots; P90 a step lower, where it would touch P80."""
    total = found.total
    for name, usd, low in (
        ("P10", total.p10, 0),
        ("middle", total.p50, 0),
        ("P80", total.p80, 0),
        ("P90", total.p90, 1),
    ):
        figure.add_shape(
            type="line", x0=usd / width, x1=usd / width, yref="paper", ysizemode="pixel", yanchor=0, y0=0,
            y1=-6 - 32 * low, line={"color": palette.ink, "width": 1.5},
        )  # fmt: skip
        figure.add_annotation(
            x=usd / width, y=0, yref="paper", yanchor="top", yshift=-6 - 32 * low, showarrow=False,
            text=f"{name}<br>{millions(usd, short=True)}", font={"size": CAPTION, "color": palette.ink},
        )  # fmt: skip


def _budget(figure: Drawing, usd: float, width: float, within: int, palette: Palette) -> None:
    figure.add_shape(
        type="line", x0=usd / width, x1=usd / width, yref="paper", y0=0, y1=1, line={"color": palette.flag, "width": 3}
    )
    said = (
        (f"<b>budget {millions(usd, short=True)}</b>", "left", 8, 0, LABEL, palette.flagtext),
        (f"{50 - within} of 50 dots beyond", "left", 8, -18, CAPTION, palette.soft),
        (f"{within} of 50 dots within", "right", -8, -18, CAPTION, palette.soft),
    )
    for text, anchor, shift, down, size, color in said:
        figure.add_annotation(
            x=usd / width, y=1, yref="paper", yanchor="top", yshift=down, xanchor=anchor, xshift=shift, text=text,
            showarrow=False, font={"size": size, "color": color},
        )  # fmt: skip


def _dollar_axis(figure: Drawing, found: ProgramForecast, x: np.ndarray, width: float, budget: float | None) -> None:
    marks = [float(x.min()), float(x.max()), found.total.p10, found.total.p90, *([budget] if budget else [])]
    low, high = min(marks) - 2 * width, max(marks) + 2 * width
    step = next(
        (
            step
            for power in range(3, 10)
            for step in (10**power, 2 * 10**power, 5 * 10**power)
            if (high - low) / step <= 7
        ),
        1e9,
    )
    ticks = np.arange(np.ceil(low / step), np.floor(high / step) + 1) * step
    figure.update_xaxes(
        range=[low / width, high / width],
        tickvals=(ticks / width).tolist(),
        ticktext=[_tick(tick, step) for tick in ticks],
        showgrid=False,
        anchor="free",
        position=0,
        ticklabelstandoff=66,
        ticks="",
        title={"text": f"Cost of the whole list, let in {found.span}", "font": {"size": TEXT}, "standoff": 4},
    )


def _tick(usd: float, step: float) -> str:
    return f"{wording.usd(usd / 1e6, 0 if step >= 1e6 else 1)} M" if step >= 1e5 else wording.usd(usd)


def pace_picture(rotation: Rotation | Unavailable, palette: Palette) -> go.Figure:
    """Bridges that reach the shorter service life in each five years; hatched: beyond the pace on record."""
    if isinstance(rotation, Unavailable):
        return empty_figure(f"No pace is drawn: {rotation.reason}.", palette)
    profile = rotation.profile
    life = wording.number(rotation.service_life_years[0])
    pace = rotation.per_year * 5
    names = [f"{row['from']}–{row['to'] % 100:02d}" for row in profile.to_dict("records")]
    first = int(profile["from"].iloc[0])
    names, counts = [f"before {first}", *names], np.array([rotation.overdue, *profile["reaching"]], dtype=float)
    edge = {"color": palette.own, "width": 1}
    hatch = {"shape": "/", "fgcolor": palette.own, "bgcolor": palette.paper, "size": 6, "solidity": 0.2}
    figure = Drawing(
        bar(x=names, y=heights.tolist(), marker=marker, width=0.82, hoverinfo="skip")
        for heights, marker in (
            (np.minimum(counts, pace), {"color": palette.band50, "line": edge}),
            (np.maximum(counts - pace, 0), {"color": palette.paper, "line": edge, "pattern": hatch}),
        )
    )
    figure.update_layout(barmode="stack")
    tall = max(float(counts.max()), pace)
    for name, count in zip(names, counts, strict=True):
        under_the_line = pace - 0.12 * tall < count <= pace
        figure.add_annotation(
            x=name,
            y=count,
            text=f"{count:.0f}",
            showarrow=False,
            yanchor="top" if under_the_line else "bottom",
            font={"size": LABEL},
        )
    figure.add_level(pace, line={"color": palette.ink, "width": 2})
    figure.add_annotation(
        x=1, xref="paper", xanchor="left", xshift=6, y=pace, showarrow=False, align="left", font={"size": CAPTION},
        text=f"pace on record:<br>{wording.number(pace)} per five<br>years",
    )  # fmt: skip
    figure.update_yaxes(title=axis_title("Bridges", 6), range=[0, tall * 1.15], nticks=7)
    figure.update_xaxes(
        title=axis_title(f"Period in which they reach {life} years (your assumption)"), type="category", showgrid=False
    )
    parts = [
        f"n = {wording.count(rotation.inventory, 'bridge')}",
        f"{rotation.age_unknown} without a build year left out" if rotation.age_unknown else "",
        f"{rotation.replaced} let {rotation.first_year}–{rotation.last_year}",
        "source: structure list; the age is your assumption, not a rated life",
    ]
    return apply_theme(
        figure,
        palette,
        plot_height=PLOT_HEIGHT + _BELOW_DOTS - 60,
        caption=words.caption_lines(parts, NARROW),
        left=56,
        right=108,
    )

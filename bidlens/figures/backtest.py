"""How well past lettings would have been predicted: a bar a letting, in time order, so that the bad years show."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import pandas as pd
import plotly.graph_objects as go

from bidlens import wording
from bidlens.figures import words
from bidlens.figures.drawing import Drawing, Trace, bar, scatter
from bidlens.figures.marks import keys_of
from bidlens.figures.theme import CAPTION, LABEL, WIDE, Palette, apply_theme, axis_title, empty_figure

if TYPE_CHECKING:
    from bidlens.model import Backtest

PLOT_HEIGHT = 280


def backtest_picture(backtest: Backtest, basis: str, palette: Palette, source: str = "source: bid tabs") -> go.Figure:
    """Each letting's 9-in-10 range as a bar about its predicted middle; filled dot inside, larger open square outside.

    backtest.lettings : letting_date, unit_cost, p05, p50, p95 ($/sf) and inside, one row per structure asked about.
    source : the source words of the history it ran on.
    """
    lettings = backtest.lettings
    if lettings.empty:
        return empty_figure("Too few past lettings to ask the method about any of them.", palette)
    ordered = lettings.sort_values(["letting_date", "contract_id"], kind="stable").reset_index(drop=True)
    ratios = pd.DataFrame({name: (ordered[name] / ordered["p50"] - 1) * 100 for name in ("unit_cost", "p05", "p95")})
    figure = Drawing([_ranges(ratios, palette)])
    figure.add_level(0, line={"color": palette.own, "width": 2})
    inside = ordered["inside"].astype(bool)
    figure.add_trace(_marks(ordered, ratios, inside, palette))
    if (~inside).any():
        figure.add_trace(_marks(ordered, ratios, ~inside, palette, outside=True))
    _right_words(figure, float(ratios["p95"].iloc[-1]), palette)
    _year_axis(figure, ordered)
    _percent_axis(figure, ratios)
    parts = [
        f"n = {wording.count(len(ordered), 'structure')}, let {words.years(ordered['letting_date'])}",
        words.basis_words(basis),
        "percent of the predicted middle",
        "filled dot: inside its 9-in-10 range",
        "open square: outside",
        source,
    ]
    return apply_theme(
        figure,
        palette,
        plot_height=PLOT_HEIGHT,
        caption=words.caption_lines(parts, WIDE),
        left=64,
        right=84,
        top=10,
    )


def _ranges(ratios: pd.DataFrame, palette: Palette) -> Trace:
    return bar(
        x=list(range(len(ratios))),
        base=ratios["p05"].tolist(),
        y=(ratios["p95"] - ratios["p05"]).tolist(),
        width=0.3,
        marker={"color": palette.band50, "line": {"width": 0}},
        hoverinfo="skip",
        name="9-in-10 range",
        unselected={"marker": {"opacity": 1}},
    )


def _marks(
    ordered: pd.DataFrame, ratios: pd.DataFrame, rows: pd.Series, palette: Palette, *, outside: bool = False
) -> Trace:
    picked = ordered[rows]
    marker = (
        {"symbol": "square", "size": 11, "color": palette.paper, "line": {"width": 2, "color": palette.ink}}
        if outside
        else {"symbol": "circle", "size": 8.5, "color": palette.own, "line": {"width": 1, "color": palette.paper}}
    )
    return scatter(
        x=picked.index.tolist(),
        y=ratios.loc[rows, "unit_cost"].tolist(),
        mode="markers",
        marker=marker,
        customdata=keys_of(picked),
        hovertext=[_hover(row) for row in picked.to_dict("records")],
        hoverinfo="text",
        name="outside" if outside else "inside",
        unselected={"marker": {"opacity": 1}},
        selected={"marker": {"opacity": 1}},
    )


def _hover(row: dict[Any, Any]) -> str:
    return (
        f"<b>{words.escape(row['contract_id'], 40)}</b> · {words.escape(row['superstructure'], 40)}"
        f"<br>low bid {wording.usd(row['unit_cost'])}/sf · let {pd.Timestamp(row['letting_date']):%b %Y}"
        f"<br>predicted {wording.usd(row['p05'])} to {wording.usd(row['p95'])}, middle {wording.usd(row['p50'])}"
    )


def _right_words(figure: Drawing, top: float, palette: Palette) -> None:
    for y, text, color in ((0.0, "middle", palette.own), (top * 0.8, "9-in-10<br>range", palette.soft)):
        figure.add_annotation(
            x=1,
            xref="paper",
            y=y,
            text=text,
            showarrow=False,
            xanchor="left",
            xshift=6,
            align="left",
            font={"size": LABEL if y == 0 else CAPTION, "color": color},
        )


def _percent_axis(figure: Drawing, ratios: pd.DataFrame) -> None:
    """Signed percents at round steps, with a plain 0."""
    low, high = float(ratios.min().min()), float(ratios.max().max())
    step = next((step for step in (10, 20, 50, 100, 200) if (high - low) / step <= 8), 500)
    ticks = list(range(math.floor(low / step) * step, math.ceil(high / step) * step + step, step))
    figure.update_yaxes(
        tickvals=ticks,
        ticktext=[wording.percent(tick / 100) for tick in ticks],
        range=[low - 0.06 * (high - low), high + 0.06 * (high - low)],
        title=axis_title("Low bid against the predicted middle", 6),
    )


def _year_axis(figure: Drawing, ordered: pd.DataFrame) -> None:
    """Lettings in order, one step each; a tick where a year begins, but none closer than a twenty-fifth of the axis."""
    year = pd.to_datetime(ordered["letting_date"]).dt.year
    places = [0] + [i for i in range(1, len(year)) if year[i] != year[i - 1]]
    least = max(1.0, len(year) / 25)
    kept: list[int] = []
    for place in places:
        if not kept or place - kept[-1] >= least:
            kept.append(place)
    figure.update_xaxes(
        tickvals=kept,
        ticktext=[str(year[place]) for place in kept],
        range=[-0.8, len(year) - 0.2],
        showgrid=False,
        title=axis_title("Past lettings in order, each asked about with only what was known before it"),
    )

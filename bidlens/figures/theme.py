"""How every picture looks: colors by role, type sizes, margins, and the caption that closes a figure.

Three roles of color and no more: `own` is our own history of the thing asked about, `others` all other history,
`flag` the thing in question. Colors are an argument of every figure, so that figures stay pure.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import pandas as pd
import plotly.graph_objects as go

from bidlens.figures.drawing import Drawing

FONT = '"Source Sans", "Source Sans 3", "Segoe UI", "Helvetica Neue", Arial, "Nimbus Sans", sans-serif'

#: Sizes in px. Nothing on a figure is smaller than a caption.
TEXT, LABEL, CAPTION = 14, 14, 13

#: For the widget that shows a figure: no zoom, no mode bar, no formula reading of dollar signs.
CONFIG: dict[str, Any] = {
    "displayModeBar": False,
    "scrollZoom": False,
    "doubleClick": False,
    "showTips": False,
    "typesetMath": False,
    "responsive": True,
}

#: Characters that fit one caption line: beside another figure, and over the full page.
NARROW, WIDE = 102, 190


@dataclass(frozen=True, slots=True)
class Palette:
    """Colors by role, as hex text. Bands go from the widest range to the narrowest."""

    name: str
    paper: str
    field: str
    ink: str
    soft: str
    rule: str
    faint: str
    own: str
    others: str
    flag: str
    flagtext: str
    stop: str
    band90: str
    band80: str
    band50: str


LIGHT = Palette(
    name="light",
    paper="#FFFFFF",
    field="#F3F6F6",
    ink="#17262B",
    soft="#4A5A60",
    rule="#C3CED0",
    faint="#E3E9EA",
    own="#1B5A74",
    others="#62727A",
    flag="#C24A0A",
    flagtext="#A63C05",
    stop="#8C1D2B",
    band90="#EAF2F5",
    band80="#D3E5EB",
    band50="#B5D2DC",
)
DARK = Palette(
    name="dark",
    paper="#11191C",
    field="#1A2529",
    ink="#E8EEEF",
    soft="#A9B7BB",
    rule="#3B4A4F",
    faint="#27343A",
    own="#8CCBE3",
    others="#93A2A7",
    flag="#FF9A5C",
    flagtext="#FFAE7D",
    stop="#F09AA4",
    band90="#192A31",
    band80="#203B47",
    band50="#294E5E",
)
PRINT = replace(LIGHT, name="print", own=LIGHT.ink, band90="#F1F1F1", band80="#DDDDDD", band50="#BDBDBD")

PALETTES: dict[str, Palette] = {palette.name: palette for palette in (LIGHT, DARK, PRINT)}


def apply_theme(
    figure: Drawing,
    palette: Palette,
    *,
    plot_height: int,
    caption: Sequence[str],
    left: int = 64,
    right: int = 16,
    top: int = 12,
    gap: int = 60,
) -> go.Figure:
    """The figure of a drawing, with its paper, type, margins and caption. Call it last.

    plot_height, left, right, top : px of the plot area and its margins.
    gap : px from the plot area down to the caption's rule, room for ticks and the axis title.
    caption : lines, already wrapped; the words are shown as they are, so escape text that comes from a file.
    """
    bottom = gap + 32 + 17 * (len(caption) - 1)
    figure.update_layout(
        height=top + plot_height + bottom,
        margin={"l": left, "r": right, "t": top, "b": bottom, "pad": 0, "autoexpand": False},
        paper_bgcolor=palette.paper,
        plot_bgcolor=palette.paper,
        font={"family": FONT, "size": TEXT, "color": palette.ink},
        hoverlabel={
            "bgcolor": palette.paper,
            "bordercolor": palette.ink,
            "font": {"family": FONT, "size": TEXT, "color": palette.ink},
            "align": "left",
        },
        hovermode="closest",
        dragmode=False,
        clickmode="event+select",
        showlegend=figure.shows_legend,
    )
    _axes(figure, palette)
    _close_with_caption(figure, palette, caption, left, right, gap)
    return figure.finished()


def axis_title(text: str, standoff: int = 8) -> dict[str, Any]:
    """An axis title as an object, so that no later theme resets its size."""
    return {"text": text, "font": {"size": TEXT}, "standoff": standoff}


def year_axis(first: pd.Timestamp, last: pd.Timestamp, most: int = 8) -> dict[str, Any]:
    """Settings of a date axis with a label where a year begins: each year once, at most `most` of them."""
    inside = [year for year in range(first.year, last.year + 1) if first <= pd.Timestamp(year, 1, 1) <= last]
    inside = inside or [first.year]
    steps = ([year for year in inside if year % step == 0] for step in (1, 2, 5, 10, 20, 50))
    shown = next((years for years in steps if len(years) <= most), inside[:1])
    return {
        "type": "date",
        "range": [first, last],
        "tickvals": [pd.Timestamp(year, 1, 1) for year in shown],
        "ticktext": [str(year) for year in shown],
    }


def _axes(figure: Drawing, palette: Palette) -> None:
    common: dict[str, Any] = {
        "zeroline": False,
        "showline": True,
        "linecolor": palette.soft,
        "linewidth": 1,
        "ticks": "outside",
        "ticklen": 5,
        "tickcolor": palette.soft,
        "tickfont": {"size": CAPTION, "color": palette.soft},
        "gridcolor": palette.faint,
        "automargin": False,
        "fixedrange": True,
    }
    figure.update_xaxes(**common)
    figure.update_yaxes(**common)


def _close_with_caption(
    figure: Drawing, palette: Palette, caption: Sequence[str], left: int, right: int, gap: int
) -> None:
    """A thin rule over the full width and the caption under it, both from the figure's left edge.

    The rule is three lines, for plot area and both margins: only the plot area's width is a fraction of the figure.
    """
    line = {"color": palette.rule, "width": 1}
    level: dict[str, Any] = {"yref": "paper", "ysizemode": "pixel", "yanchor": 0, "y0": -gap, "y1": -gap}
    figure.add_shape(type="line", xref="paper", x0=0, x1=1, line=line, **level)
    for anchor, start, end in ((0, -left, 0), (1, 0, right)):
        figure.add_shape(
            type="line", xref="paper", xsizemode="pixel", xanchor=anchor, x0=start, x1=end, line=line, **level
        )
    figure.add_annotation(
        text="<br>".join(caption),
        xref="paper",
        yref="paper",
        x=0,
        y=0,
        xanchor="left",
        yanchor="top",
        xshift=-left,
        yshift=-(gap + 5),
        align="left",
        showarrow=False,
        font={"size": CAPTION, "color": palette.soft},
    )


def empty_figure(reason: str, palette: Palette, *, plot_height: int = 120) -> go.Figure:
    """A figure that holds no data and says why in words."""
    figure = Drawing()
    figure.add_annotation(
        text=f"<i>{reason}</i>",
        xref="paper",
        yref="paper",
        x=0,
        y=0.5,
        xanchor="left",
        showarrow=False,
        align="left",
        font={"size": TEXT, "color": palette.soft},
    )
    figure.update_xaxes(visible=False)
    figure.update_yaxes(visible=False)
    return apply_theme(figure, palette, plot_height=plot_height, caption=["no data drawn"], left=0, right=0, gap=8)

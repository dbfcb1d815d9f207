"""The inventory as a schematic: one mark a bridge by the year it was built and the size of its deck."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import pandas as pd
import plotly.graph_objects as go

from bidlens import wording
from bidlens.figures import words
from bidlens.figures.drawing import Drawing, Trace, scatter
from bidlens.figures.marks import SHAPES, by_shape
from bidlens.figures.scatter import log_ticks
from bidlens.figures.theme import CAPTION, LABEL, WIDE, Palette, apply_theme, axis_title, empty_figure

PLOT_HEIGHT = 250
#: Steps of a log axis of deck areas.
_LADDERS = ((200, 500, 1000, 2000, 5000, 10_000, 20_000, 50_000), (100, 1000, 10_000, 100_000))
#: Bridges of the list that are named at their mark.
_NAMED = 24


def inventory_picture(
    structures: pd.DataFrame, on_list: Sequence[str], year: int, service_life_years: float, palette: Palette
) -> go.Figure:
    """Which bridges are old, of what type and size, and which of them the list takes.

    structures : structure_id, name, superstructure, year_built, deck_area_sf; the last row of a structure counts.
    on_list : structure numbers of the list. year : of its first letting.
    """
    bridges = structures.drop_duplicates("structure_id", keep="last")
    numbers = {name: pd.to_numeric(bridges[name], errors="coerce") for name in ("year_built", "deck_area_sf")}
    bridges = bridges.assign(**numbers, superstructure=bridges["superstructure"].fillna("type not known"))
    drawn = bridges[bridges["year_built"].notna() & bridges["deck_area_sf"].gt(0)]
    if drawn.empty:
        return empty_figure("No bridge of the structure list has a build year and a deck area.", palette)
    listed = drawn["structure_id"].isin(list(on_list))
    figure, grey = Drawing(), {"width": 1.2, "color": palette.others}
    figure.add_traces(
        _marks(rows, name, {"symbol": shape, "size": 7, "color": palette.others, "line": grey})
        for shape, name, rows in _groups(drawn[~listed])
    )
    if listed.any():
        flag = {"symbol": "diamond", "size": 12, "color": palette.flag, "line": {"width": 1.4, "color": palette.ink}}
        figure.add_trace(_marks(drawn[listed], "on this list", flag))
        _names(figure, drawn[listed], palette)
    _life(figure, year - service_life_years, service_life_years, palette)
    _axes(figure, drawn)
    figure.update_layout(
        showlegend=True,
        legend={
            "orientation": "h", "x": 0, "xanchor": "left", "y": 1, "yanchor": "bottom", "itemclick": False,
            "itemdoubleclick": False, "font": {"size": CAPTION, "color": palette.soft}, "bgcolor": "rgba(0,0,0,0)",
        },
    )  # fmt: skip
    left_out = len(bridges) - len(drawn)
    parts = [
        f"n = {wording.count(len(drawn), 'bridge')}",
        f"{left_out} without a build year or a deck area left out" if left_out else "",
        "shape: the present type",
        f"diamond: the {wording.count(int(listed.sum()), 'bridge')} of this list with a build year on record",
        "source: structure list",
    ]
    lines = words.caption_lines(parts, WIDE)
    return apply_theme(figure, palette, plot_height=PLOT_HEIGHT, caption=lines, left=72, right=16, top=40)


def _groups(rest: pd.DataFrame) -> list[tuple[str, str, pd.DataFrame]]:
    """Shape, name and rows of each type; the commonest type that has no shape of its own is an open circle."""
    plain = rest.loc[~rest["superstructure"].isin(list(SHAPES)), "superstructure"].value_counts()
    if plain.empty:
        return by_shape(rest)
    first = str(plain.index[0])
    own = rest["superstructure"] == first
    return [("circle-open", words.escape(first, 30), rest[own]), *by_shape(rest[~own])]


def _marks(rows: pd.DataFrame, name: str, marker: dict[str, Any]) -> Trace:
    return scatter(
        x=rows["year_built"].tolist(), y=rows["deck_area_sf"].tolist(), mode="markers", name=name, marker=marker,
        hovertext=[_hover(row) for row in rows.to_dict("records")], hoverinfo="text",
    )  # fmt: skip


def _hover(row: dict[Any, Any]) -> str:
    named = f" · {words.escape(row['name'], 50)}" if isinstance(row["name"], str) and row["name"] else ""
    kind = words.escape(row["superstructure"], 40)
    built = f"built {row['year_built']:.0f} · {wording.number(row['deck_area_sf'])} sf"
    return f"<b>{words.escape(row['structure_id'], 40)}</b>{named}<br>{kind} · {built}"


def _names(figure: Drawing, listed: pd.DataFrame, palette: Palette) -> None:
    """The number of each bridge of a short list beside its mark."""
    if len(listed) > _NAMED:
        return
    for row in listed.to_dict("records"):
        figure.add_annotation(
            x=row["year_built"], y=math.log10(row["deck_area_sf"]), text=words.escape(row["structure_id"], 16),
            showarrow=False, xanchor="left", xshift=9, font={"size": LABEL, "color": palette.flagtext},
        )  # fmt: skip


def _life(figure: Drawing, at: float, service_life_years: float, palette: Palette) -> None:
    """The build year that reaches the service life; what stands left of it is older."""
    figure.add_shape(
        type="line", x0=at, x1=at, yref="paper", y0=0, y1=1, line={"color": palette.ink, "width": 1.6}, layer="below"
    )
    figure.add_annotation(
        x=at, y=1, yref="paper", yanchor="top", xanchor="right", xshift=-6, showarrow=False,
        text=f"past {wording.number(service_life_years)} years<br>(your assumption)", align="right",
        font={"size": CAPTION, "color": palette.ink}, bgcolor=palette.paper,
    )  # fmt: skip


def _axes(figure: Drawing, drawn: pd.DataFrame) -> None:
    first, last = float(drawn["year_built"].min()), float(drawn["year_built"].max())
    low, high = float(drawn["deck_area_sf"].min()) / 1.2, float(drawn["deck_area_sf"].max()) * 1.3
    figure.update_xaxes(title=axis_title("Built"), range=[first - 4, last + 5], tickformat="d", nticks=12)
    ticks = log_ticks(low, high, _LADDERS, 7)
    figure.update_yaxes(
        title=axis_title("Deck, sf"), type="log", range=[math.log10(low), math.log10(high)],
        tickvals=ticks, ticktext=[wording.number(tick) for tick in ticks],
    )  # fmt: skip

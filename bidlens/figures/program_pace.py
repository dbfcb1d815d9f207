"""The inventory by age, and the bridges past their service life year by year."""

from __future__ import annotations

import plotly.graph_objects as go

from bidlens import wording
from bidlens.figures import words
from bidlens.figures.drawing import Drawing, bar, scatter
from bidlens.figures.theme import CAPTION, LABEL, NARROW, Palette, apply_theme, axis_title, empty_figure
from bidlens.findings import Unavailable
from bidlens.program import Rotation

PLOT_HEIGHT = 230


def age_picture(rotation: Rotation | Unavailable, palette: Palette) -> go.Figure:
    """Bridges by age in bands of ten years; hatched: past the shorter service life in whole bands."""
    if isinstance(rotation, Unavailable):
        return empty_figure(f"No ages are drawn: {rotation.reason}.", palette)
    life, ages = rotation.service_life_years[0], rotation.ages
    names = [f"{row['from']}–{row['to']}" for row in ages.to_dict("records")]
    past = ages["from"] >= life
    edge = {"color": palette.own, "width": 1}
    hatch = {"shape": "/", "fgcolor": palette.own, "bgcolor": palette.paper, "size": 6, "solidity": 0.2}
    within, beyond = ages["bridges"].where(~past, 0), ages["bridges"].where(past, 0)
    figure = Drawing(
        bar(x=names, y=counts.tolist(), marker=marker, width=0.82, hoverinfo="skip")
        for counts, marker in (
            (within, {"color": palette.band50, "line": edge}),
            (beyond, {"color": palette.paper, "line": edge, "pattern": hatch}),
        )
    )
    figure.update_layout(barmode="stack")
    for name, count in zip(names, ages["bridges"], strict=True):
        figure.add_annotation(x=name, y=count, text=str(count), showarrow=False, yanchor="bottom", font={"size": LABEL})
    tall = max(int(ages["bridges"].max()), 1)
    figure.update_yaxes(title=axis_title("Bridges", 6), range=[0, tall * 1.18], nticks=6)
    figure.update_xaxes(title=axis_title(f"Age in {rotation.backlogs[0].path['year'].iloc[0]}, years"), type="category",
                        showgrid=False)  # fmt: skip
    parts = [
        f"n = {wording.count(rotation.inventory - rotation.age_unknown, 'bridge')} of known age",
        f"hatched: bands past {wording.number(life)} years (your assumption)",
        "source: structure list",
    ]
    return _finished(figure, palette, parts)


def backlog_picture(rotation: Rotation | Unavailable, palette: Palette) -> go.Figure:
    """Bridges past the shorter service life at the end of each year, at the pace on record and at that of the list."""
    if isinstance(rotation, Unavailable):
        return empty_figure(f"No backlog is drawn: {rotation.reason}.", palette)
    figure = Drawing()
    styles = (("pace on record", palette.own, "solid"), ("this list", palette.flagtext, "dash"))
    for backlog, (name, color, dash) in zip(rotation.backlogs, styles, strict=False):
        path = backlog.path
        figure.add_trace(
            scatter(
                x=path["year"].tolist(),
                y=path["backlog"].tolist(),
                mode="lines",
                line={"color": color, "width": 2.5, "dash": dash},
                hovertemplate=f"{name}<br>%{{x}}: %{{y:.0f}} past it<extra></extra>",
            )
        )
        figure.add_annotation(
            x=int(path["year"].iloc[-1]), y=float(path["backlog"].iloc[-1]), xanchor="left", xshift=6, yanchor="bottom",
            showarrow=False, align="left", font={"size": CAPTION, "color": color},
            text=f"{name}:<br>{wording.number(backlog.per_year, 1)} a year",
        )  # fmt: skip
    tall = max(max(float(each.path["backlog"].max()) for each in rotation.backlogs), 1.0)
    life = wording.number(rotation.service_life_years[0])
    figure.update_yaxes(title=axis_title("Bridges", 6), range=[0, tall * 1.12], nticks=6)
    figure.update_xaxes(title=axis_title(f"Bridges past {life} years (your assumption), at the end of each year"))
    parts = ["by the ages on record, the oldest first", "a new bridge is not due again", "source: structure list"]
    return _finished(figure, palette, parts, right=112)


def _finished(figure: Drawing, palette: Palette, parts: list[str], right: int = 20) -> go.Figure:
    figure.update_layout(showlegend=False)
    return apply_theme(
        figure, palette, plot_height=PLOT_HEIGHT, caption=words.caption_lines(parts, NARROW), left=56, right=right
    )

"""Several offers beside each other: each in the range of its own type, and what each costs a year over its life."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import plotly.graph_objects as go

from bidlens import wording
from bidlens.figures import words
from bidlens.figures.drawing import Drawing, scatter
from bidlens.figures.theme import CAPTION, LABEL, Palette, apply_theme, axis_title, empty_figure

if TYPE_CHECKING:
    from bidlens.proposal import ServiceLife
    from bidlens.proposal.side_by_side import OfferedPrice

_ROW, _LEFT = 62, 230
_DASHES = ("solid", "dash", "dot", "dashdot", "longdash", "longdashdot")
#: Lives the sensitivity is drawn over, and how far the rate is moved to either side.
_LIVES, _RATE_STEP = (25.0, 125.0), 0.02


def offers_beside(offers: Sequence[OfferedPrice], basis: str, dollars_of: str, palette: Palette) -> go.Figure:
    """One row an offer: its type's expected range as a bar with its middle, the offer as a diamond with its whisker."""
    drawn = [one for one in offers if one.middle is not None]
    if not drawn:
        return empty_figure("No offer could be made like for like, so there is nothing to set side by side.", palette)
    figure = Drawing()
    for row, one in enumerate(drawn):
        _expected(figure, row, one, palette)
        _offer(figure, row, one, palette)
    ends = [end for one in drawn for end in (one.low, one.high, one.expected_low, one.expected_high) if end is not None]
    reach = max(ends) - min(ends) or 20.0
    figure.update_xaxes(range=[min(ends) - 0.08 * reach, max(ends) + 0.12 * reach], tickprefix="$", nticks=7)
    figure.update_xaxes(title=axis_title("$ per sf of deck, in place"), showgrid=True)
    figure.update_yaxes(range=[len(drawn) - 0.5, -0.5], visible=False)
    caption = [
        f"{words.basis_words(basis)} · {words.dollars_words(dollars_of)} · bar: 8 in 10 lettings of that type",
        "line: its middle · diamond: the offer like for like, with the 8 in 10 range of the work we priced for it",
    ]
    return apply_theme(figure, palette, plot_height=_ROW * len(drawn), caption=caption, left=_LEFT, right=24, top=8)


def _expected(figure: Drawing, row: int, one: OfferedPrice, palette: Palette) -> None:
    if one.expected_low is None or one.expected_high is None or one.expected_middle is None:
        return
    figure.add_shape(
        type="rect", x0=one.expected_low, x1=one.expected_high, y0=row - 0.26, y1=row + 0.26,
        fillcolor=palette.band80, line={"width": 0}, layer="below",
    )  # fmt: skip
    figure.add_shape(
        type="line", x0=one.expected_middle, x1=one.expected_middle, y0=row - 0.26, y1=row + 0.26,
        line={"color": palette.own, "width": 2.5}, layer="below",
    )  # fmt: skip


def _offer(figure: Drawing, row: int, one: OfferedPrice, palette: Palette) -> None:
    middle, low, high = one.middle or 0.0, one.low or 0.0, one.high or 0.0
    figure.add_trace(
        scatter(
            x=[middle],
            y=[row],
            mode="markers+text",
            text=[wording.usd(middle)],
            textposition="top center",
            textfont={"size": LABEL, "color": palette.flagtext},
            marker={"symbol": "diamond", "size": 13, "color": palette.flag, "line": {"color": palette.ink, "width": 1}},
            error_x={"array": [high - middle], "arrayminus": [middle - low], "color": palette.flag, "thickness": 1.5},
            hovertemplate=f"{words.escape(one.supplier, 40)}: {wording.per_sf(middle, 1)}<extra></extra>",
            showlegend=False,
        )
    )
    for text, shift, size in ((one.supplier, -9, LABEL), (one.superstructure, 9, CAPTION)):
        figure.add_annotation(
            x=0, xref="paper", y=row, text=words.escape(text, 30), showarrow=False, xanchor="right", xshift=-12,
            yshift=-shift, font={"size": size, "color": palette.ink if size == LABEL else palette.soft},
        )  # fmt: skip


def annual_cost(life: ServiceLife, palette: Palette) -> go.Figure:
    """Cost a year against service life: a line an offer at the rate, a thin one at 2 points less and at 2 more."""
    if not life.offers:
        return empty_figure("No offer could be made like for like, so there is no cost a year to draw.", palette)
    figure = Drawing()
    years = np.linspace(*_LIVES, 101)
    colors = (palette.flag, palette.own, palette.others, palette.ink, palette.stop, palette.soft)
    for one, color, dash in zip(life.offers, colors, _DASHES, strict=False):
        for rate in (life.rate - _RATE_STEP, life.rate, life.rate + _RATE_STEP):
            if rate < 0:
                continue
            at_rate = rate == life.rate
            figure.add_trace(scatter(
                x=years, y=one.first_cost_per_sf * _recovery(rate, years), mode="lines",
                name=words.escape(f"{one.supplier}, {one.superstructure}", 50), showlegend=at_rate,
                line={"color": color, "width": 2.5 if at_rate else 0.8, "dash": dash},
                hovertemplate=f"%{{x:.0f}} years at {100 * rate:.0f}%: $%{{y:.2f}}/sf a year<extra></extra>",
            ))  # fmt: skip
        figure.add_trace(scatter(
            x=[one.life_years], y=[one.annual_per_sf], mode="markers", showlegend=False, hoverinfo="skip",
            marker={"symbol": "diamond", "size": 10, "color": color},
        ))  # fmt: skip
    figure.update_layout(
        showlegend=True, legend={"orientation": "v", "x": 0, "y": 1.02, "yanchor": "bottom", "font": {"size": CAPTION}}
    )
    figure.update_xaxes(title=axis_title("Service life, years, your assumption"), range=list(_LIVES))
    figure.update_yaxes(title=axis_title("$ per sf a year"), tickprefix="$", rangemode="tozero", showgrid=True)
    caption = [
        f"thick: at {100 * life.rate:.3g}%; thin: 2 points less and 2 more; diamond: the life assumed",
        "first cost only, like for like; capital recovery i(1+i)^n / ((1+i)^n - 1)",
    ]
    return apply_theme(
        figure, palette, plot_height=250, caption=caption, left=64, right=16, top=22 * len(life.offers) + 8
    )


def _recovery(rate: float, years: np.ndarray) -> np.ndarray:
    return 1 / years if rate == 0 else rate / -np.expm1(-years * np.log1p(rate))

"""Offers over time: each letter's offer beside what the lettings before it, and all lettings, lead to expect."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import pandas as pd
import plotly.graph_objects as go

from bidlens import wording
from bidlens.figures import words
from bidlens.figures.drawing import Drawing, scatter
from bidlens.figures.theme import LABEL, WIDE, Palette, apply_theme, axis_title, empty_figure, year_axis
from bidlens.proposal.over_time import same_supplier

if TYPE_CHECKING:
    from bidlens.proposal.letter import Letter

PLOT_HEIGHT = 230
_MARGIN_DAYS = 60


def offers_over_time(letters: Sequence[Letter], supplier: str, asked: str, basis: str, palette: Palette) -> go.Figure:
    """Percent of the expected middle against the day of the letter; the middle is a line at 0.

    Filled: the supplier's offers against the lettings before each; a ring: against all lettings; open grey: other
    suppliers'; diamond: the letter named by `asked`. A bar is each one's own range of 8 in 10 lettings.
    """
    placed = [one for one in letters if one.offer.date and one.then.ratio is not None]
    if not placed:
        return empty_figure("No letter on record could be placed against the lettings before it.", palette)
    figure = Drawing()
    for letter in placed:
        _range(figure, letter, palette)
    figure.add_level(0, line={"color": palette.own, "width": 2})
    own = [one for one in placed if same_supplier(one.offer.supplier) == same_supplier(supplier)]
    theirs = [one for one in placed if one not in own]
    ring = {"symbol": "circle-open", "size": 14, "line": {"width": 1.2}}
    open_mark = {"symbol": "square-open", "size": 8, "color": palette.others, "line": {"width": 1.5}}
    filled = {"symbol": "circle", "size": 10, "color": palette.own, "line": {"width": 1, "color": palette.paper}}
    diamond = {"symbol": "diamond", "size": 14, "color": palette.flag, "line": {"width": 1.5, "color": palette.ink}}
    moved = [one for one in own if one.now.ratio is not None and one.now.n != one.then.n]
    _marks(figure, moved, ring | {"color": palette.own}, "beside all lettings", now=True)
    _marks(figure, theirs, open_mark, "other suppliers")
    _marks(figure, [one for one in own if one.offer.proposal_id != asked], filled, "beside lettings before it")
    _marks(figure, [one for one in own if one.offer.proposal_id == asked], diamond, "this letter")
    _axes(figure, placed)
    caption = [
        f"n = {wording.count(len(own), 'letter')} of {words.escape(supplier, 50)}, {len(theirs)} of others",
        words.basis_words(basis),
        "diamond: this letter, filled: the supplier's others, against the lettings before each",
        "ring: against all lettings on record",
        "bar: 8 in 10 lettings of that bridge",
        "cost index as known today",
    ]
    lines = words.caption_lines(caption, WIDE)
    return apply_theme(figure, palette, plot_height=PLOT_HEIGHT, caption=lines, left=64, right=84, top=14)


def _range(figure: Drawing, letter: Letter, palette: Palette) -> None:
    then = letter.then
    if then.low is not None and then.high is not None:
        figure.add_shape(
            type="line", x0=letter.offer.date, x1=letter.offer.date, y0=100 * then.low, y1=100 * then.high,
            line={"color": palette.band50, "width": 5}, layer="below",
        )  # fmt: skip


def _marks(
    figure: Drawing, letters: Sequence[Letter], marker: dict[str, object], name: str, *, now: bool = False
) -> None:
    if not letters:
        return
    figure.add_trace(
        scatter(
            x=[one.offer.date for one in letters],
            y=[100 * ((one.now if now else one.then).ratio or 0.0) for one in letters],
            mode="markers",
            marker=marker,
            hovertext=[_hover(one) for one in letters],
            hoverinfo="text",
            name=name,
        )
    )


def _hover(letter: Letter) -> str:
    offer = letter.offer
    now = "" if letter.now.ratio is None else f"<br>{wording.percent(letter.now.ratio)} with all {letter.now.n}"
    return (
        f"<b>{words.escape(offer.supplier, 40)}</b> · {words.escape(offer.superstructure, 40)}"
        f"<br>{wording.percent(letter.then.ratio or 0.0)} of the {letter.then.n} structures let before it{now}"
    )


def _axes(figure: Drawing, placed: Sequence[Letter]) -> None:
    days = pd.to_datetime(pd.Series([one.offer.date for one in placed]))
    margin = pd.Timedelta(days=max(_MARGIN_DAYS, round(0.06 * (days.max() - days.min()).days)))
    figure.update_xaxes(**year_axis(days.min() - margin, days.max() + margin), showgrid=False)
    figure.update_xaxes(title=axis_title("Day of the letter"))
    ends = [
        100 * end
        for one in placed
        for end in (one.then.low, one.then.high, one.then.ratio, one.now.ratio)
        if end is not None
    ]
    low, high = min(ends), max(ends)
    step = next((step for step in (10, 20, 50, 100) if (high - low) / step <= 8), 200)
    ticks = range(int(low // step) * step, int(high // step) * step + 2 * step, step)
    figure.update_yaxes(
        tickvals=list(ticks),
        ticktext=[wording.percent(tick / 100) for tick in ticks],
        range=[low - 0.08 * (high - low), high + 0.08 * (high - low)],
        title=axis_title("Offer against the middle", 6),
        showgrid=True,
    )
    figure.add_annotation(
        x=1, xref="paper", y=0, text="expected", showarrow=False, xanchor="left", xshift=6, font={"size": LABEL}
    )

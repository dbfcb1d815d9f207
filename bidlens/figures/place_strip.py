"""Where one offer lies among what lettings like it would cost: the first picture of a proposal check."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pandas as pd
import plotly.graph_objects as go

from bidlens import wording
from bidlens.figures import words
from bidlens.figures.drawing import Drawing, scatter
from bidlens.figures.marks import hover_lines, keys_of, offer_diamond
from bidlens.figures.scope import quoted_contains
from bidlens.figures.theme import CAPTION, LABEL, WIDE, Palette, apply_theme, axis_title, empty_figure

if TYPE_CHECKING:
    from bidlens.proposal.check import ProposalCheck

# Heights in px above the axis. The vertical axis runs in px, since the plot area has a fixed height.
RAIL, RAIL_LABEL, BAR_LOW, BAR_HIGH, MIDDLE_LABEL, BRACKET, BRACKET_LABEL, TOP = 42, 24, 64, 108, 124, 146, 160, 172

#: Fewer contracts than this, and the range is shown without a middle line.
MIDDLE_FROM = 12

# Shares of the plot width that labels take beside their mark, from the narrowest page the dashboard is made for.
_QUOTED_LABEL, _SIDE_LABEL, _OFFER_LABEL, _RAIL_LABEL = 0.21, 0.09, 0.09, 0.17


def place_strip(check: ProposalCheck, history: pd.DataFrame, palette: Palette) -> go.Figure:
    """Draw the ranges as one bar, our own contracts as ticks, and the offer; the quoted price has its own rail.

    history : HISTORY rows of the check's basis and dollars; those of the offer's type become ticks.
    Without a range to place the offer in (nothing expected, or grade D) the figure says so and draws nothing.
    """
    expected, offer = check.expected, check.like_for_like_per_sf
    if expected is None or check.grade == "D" or not words.is_number(offer):
        return empty_figure("No range is drawn: there is too little history to place this offer.", palette)
    own = history[history["superstructure"] == check.proposal.superstructure]
    figure = Drawing()
    _bands(figure, expected, palette)
    _own_ticks(figure, own, palette)
    if check.history.contracts >= MIDDLE_FROM:
        _middle(figure, expected["p50"], palette)
    _bracket(figure, expected, palette)
    low, high = _horizontal_range(check, expected, own)
    _rail(figure, check, high - low, palette)
    figure.add_trace(offer_diamond(offer, (BAR_LOW + BAR_HIGH) / 2, palette, size=20))
    figure.update_xaxes(
        range=[low, high], tickprefix="$", nticks=9, showgrid=False, title=axis_title("$ per square foot of deck")
    )
    figure.update_yaxes(range=[0, TOP], visible=False)
    return apply_theme(
        figure, palette, plot_height=TOP, caption=_caption(check, own, history), left=24, right=24, top=8, gap=56
    )


def _bands(figure: Drawing, expected: dict[str, float], palette: Palette) -> None:
    """Three nested ranges; edges carry the meaning, since the fills differ little."""
    edges = {
        ("p05", "p95"): (palette.band90, {"color": palette.soft, "width": 1, "dash": "dot"}),
        ("p10", "p90"): (palette.band80, {"color": palette.soft, "width": 1}),
        ("p25", "p75"): (palette.band50, {"color": palette.own, "width": 1}),
    }
    for (low, high), (fill, line) in edges.items():
        figure.add_shape(
            type="rect",
            x0=expected[low],
            x1=expected[high],
            y0=BAR_LOW,
            y1=BAR_HIGH,
            fillcolor=fill,
            line=line,
            layer="below",
        )
    _label(figure, expected["p05"], BAR_HIGH + 2, "below usual", palette.soft, anchor="right", shift=-8)
    _label(figure, expected["p95"], BAR_HIGH + 2, "above usual", palette.soft, anchor="left", shift=8)


def _own_ticks(figure: Drawing, own: pd.DataFrame, palette: Palette) -> None:
    if own.empty:
        return
    figure.add_trace(
        scatter(
            x=own["unit_cost_adjusted"].tolist(),
            y=[BAR_LOW + 11] * len(own),
            mode="markers",
            marker={"symbol": "line-ns", "size": 8, "color": palette.own, "line": {"width": 2, "color": palette.own}},
            customdata=keys_of(own),
            hovertext=hover_lines(own, "unit_cost_adjusted"),
            hoverinfo="text",
            name="own",
            unselected={"marker": {"opacity": 1}},
            selected={"marker": {"opacity": 1}},
        )
    )


def _middle(figure: Drawing, middle: float, palette: Palette) -> None:
    figure.add_shape(
        type="line",
        x0=middle,
        x1=middle,
        y0=BAR_LOW - 4,
        y1=BAR_HIGH + 6,
        layer="below",
        line={"color": palette.own, "width": 2.5},
    )
    _label(figure, middle, MIDDLE_LABEL, f"middle {wording.usd(middle)}", palette.own)


def _bracket(figure: Drawing, expected: dict[str, float], palette: Palette) -> None:
    low, high = expected["p10"], expected["p90"]
    dimension_line(figure, low, high, BRACKET, palette.ink)
    for end in (low, high):
        figure.add_shape(
            type="line",
            x0=end,
            x1=end,
            y0=BAR_HIGH,
            y1=BRACKET + 5,
            line={"color": palette.soft, "width": 1},
            layer="below",
        )
    text = f"usual: 8 in 10 lettings fall here, {wording.usd(low)} to {wording.usd(high)}"
    _label(figure, (low + high) / 2, BRACKET_LABEL, text, palette.ink)


def dimension_line(
    figure: Drawing, start: float, end: float, level: float, color: str, slashes: tuple[float, ...] = ()
) -> None:
    """A drafting dimension line: thin, with a slash at both ends or at those given, at 45 degrees on any scale."""
    figure.add_shape(
        type="line", x0=start, x1=end, y0=level, y1=level, line={"color": color, "width": 1.4}, layer="below"
    )
    for x in slashes or (start, end):
        figure.add_shape(
            type="line",
            xsizemode="pixel",
            xanchor=x,
            x0=-5,
            x1=5,
            ysizemode="pixel",
            yanchor=level,
            y0=-5,
            y1=5,
            line={"color": color, "width": 1.8},
        )


def _rail(figure: Drawing, check: ProposalCheck, width: float, palette: Palette) -> None:
    """Quoted price, what was added, and the offer's label, under the bar: two bases never share a scale's marks."""
    quoted, offer = check.quoted_per_sf, check.like_for_like_per_sf
    added = offer - quoted
    figure.add_shape(
        type="line",
        x0=offer,
        x1=offer,
        y0=RAIL - 6,
        y1=(BAR_LOW + BAR_HIGH) / 2,
        line={"color": palette.flag, "width": 1.4},
    )
    if wording.half_up(added) == 0:
        _label(
            figure, offer, RAIL_LABEL, f"<b>offer {wording.usd(offer)}</b>, as quoted", palette.flagtext, size=LABEL + 1
        )
        return
    dimension_line(figure, quoted, offer, RAIL, palette.flag, slashes=(offer,))
    figure.add_trace(
        scatter(
            x=[quoted],
            y=[RAIL],
            mode="markers",
            name="quoted",
            hoverinfo="skip",
            marker={
                "symbol": "diamond",
                "size": 15,
                "color": palette.paper,
                "opacity": 1,
                "line": {"width": 2, "color": palette.flag},
            },
            unselected={"marker": {"opacity": 1}},
        )
    )
    upward = added > 0
    said = f"quoted {wording.usd(quoted)}, {quoted_contains(check.proposal.scope)}"
    change = f"made like for like: {wording.signed(added, unit='$')}"
    room = abs(added) / width >= _RAIL_LABEL
    if room:
        _label(figure, (quoted + offer) / 2, RAIL_LABEL, change, palette.flagtext)
    away, shift = ("right", -13) if upward else ("left", 13)
    _label(figure, quoted, RAIL, said if room else f"{said}; {change}", palette.flagtext, anchor=away, shift=shift)
    toward, shift = ("left", 6) if upward else ("right", -6)
    _label(
        figure,
        offer,
        RAIL_LABEL,
        f"<b>offer {wording.usd(offer)}</b>",
        palette.flagtext,
        size=LABEL + 1,
        anchor=toward,
        shift=shift,
    )


def _horizontal_range(check: ProposalCheck, expected: dict[str, float], own: pd.DataFrame) -> tuple[float, float]:
    """Ends of the dollar axis, wide enough that every label beside a mark stays inside the plot."""
    quoted, offer = check.quoted_per_sf, check.like_for_like_per_sf
    values = [quoted, offer, expected["p05"], expected["p95"], *own["unit_cost_adjusted"].dropna()]
    unchanged = wording.half_up(offer - quoted) == 0
    folded = 2 if abs(offer - quoted) < 0.3 * (max(values) - min(values)) else 1  # the longer label of a short rail
    left = [(expected["p05"], _SIDE_LABEL), (min(values), 0.02)]
    right = [(expected["p95"], _SIDE_LABEL), (max(values), 0.02)]
    upward = offer >= quoted
    if not unchanged:
        (left if upward else right).append((quoted, _QUOTED_LABEL * folded))
    (right if upward else left).append((offer, _OFFER_LABEL))
    low, high = min(values), max(values)
    for _ in range(40):
        low = min(low, *(x - share * (high - low) for x, share in left))
        high = max(high, *(x + share * (high - low) for x, share in right))
    return low, high


def _label(
    figure: Drawing,
    x: float,
    y: float,
    text: str,
    color: str,
    *,
    anchor: Any = "center",
    shift: int = 0,
    size: int = LABEL,
) -> None:
    figure.add_annotation(
        x=x,
        y=y,
        text=text,
        showarrow=False,
        xanchor=anchor,
        yanchor="middle",
        xshift=shift,
        font={"color": color, "size": max(size, CAPTION)},
    )


def _caption(check: ProposalCheck, own: pd.DataFrame, history: pd.DataFrame) -> list[str]:
    kind = words.escape(check.proposal.superstructure, 40)
    parts = [
        f"n = {wording.count(len(own), f'{kind} structure')} of {len(history)} (ticks: what was paid, spans as let)",
        words.basis_words(check.basis),
        words.dollars_words(check.dollars_of),
        words.source_words(history),
    ]
    return words.caption_lines(parts, WIDE)

"""Past contracts against span or letting date, with the range expected for one offer."""

from __future__ import annotations

import datetime as dt
import itertools
import math
from typing import TYPE_CHECKING, Any

import pandas as pd
import plotly.graph_objects as go

from bidlens import quarters, wording
from bidlens.figures import words
from bidlens.figures.drawing import Drawing, scatter
from bidlens.figures.marks import history_traces, keys_of, offer_diamond, picked_ring
from bidlens.figures.theme import LABEL, NARROW, Palette, apply_theme, axis_title, empty_figure, year_axis

if TYPE_CHECKING:
    from bidlens.proposal.check import ProposalCheck

PLOT_HEIGHT, LEFT, RIGHT = 330, 60, 98
VALUE = "unit_cost_adjusted"

#: Candidate labels of a dollar axis in log steps, finest first; the first ladder that is not crowded is used.
_DOLLAR_LADDERS = (
    (80, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300),
    (25, 30, 40, 50, 60, 80, 100, 125, 150, 200, 250, 300, 400, 500, 600, 800, 1000, 1250, 1500, 2000),
    (20, 30, 50, 75, 100, 150, 200, 300, 500, 750, 1000, 1500, 2000, 3000, 5000),
    (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000, 50000),
)
_FEET_LADDERS = (
    (10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 100, 120, 150, 200),
    (10, 20, 30, 40, 60, 80, 100, 150, 200, 300),
    (5, 10, 20, 50, 100, 200, 500),
)
_RANGES = (("p05", "p95", "band90"), ("p10", "p90", "band80"), ("p25", "p75", "band50"))
_EDGE_WORDS = {"p95": "19 in 20 below", "p50": "middle", "p05": "1 in 20 below"}


def against_span(
    history: pd.DataFrame, check: ProposalCheck, curve: pd.DataFrame | None, palette: Palette, picked: str | None = None
) -> go.Figure:
    """$/sf against longest span, both in log steps, with the offer and the range expected at each span.

    history : HISTORY rows of one basis; rows without a span are counted in the caption and not drawn.
    curve : span_ft and p05 to p95 for a bridge of the offer's width, ascending; None where nothing is expected.
    picked : key of the mark to ring.
    """
    drawn = history[history["span_ft"].notna() & (history["span_ft"] > 0)]
    if drawn.empty:
        return empty_figure("No contract on record has a span, so none can be drawn against it.", palette)
    asked, figure = check.proposal.superstructure, Drawing()
    own_spans = drawn.loc[drawn["superstructure"] == asked, "span_ft"]
    shown_curve = curve if curve is not None and not curve.empty and check.grade != "D" else None
    if shown_curve is not None:
        _bands_over_span(figure, shown_curve, own_spans, palette)
    figure.add_traces(history_traces(drawn, asked, drawn["span_ft"].tolist(), VALUE, palette))
    spans = [*drawn["span_ft"], *([check.span_ft] if words.is_number(check.span_ft) else [])]
    if shown_curve is not None:
        spans += [float(shown_curve["span_ft"].min()), float(shown_curve["span_ft"].max())]
    low, high = min(spans) / 1.08, max(spans) * 1.08
    _offer_line(figure, check, check.span_ft, palette)
    _ring(figure, drawn, drawn["span_ft"], picked, palette)
    figure.update_xaxes(
        type="log",
        range=[math.log10(low), math.log10(high)],
        tickvals=log_ticks(low, high, _FEET_LADDERS, most=8),
        title=axis_title("Span, ft (longest)"),
    )
    _dollar_axis(figure, _values(drawn, check, shown_curve))
    left_out = len(history) - len(drawn)
    notes = [f"{wording.count(left_out, 'structure')} without a span not drawn" if left_out else ""]
    if shown_curve is not None:
        width = f" ({words.feet(check.width_ft)} wide)" if words.is_number(check.width_ft) else ""
        notes.insert(0, f"bands: half, 8 in 10 and 9 in 10 of lettings like this one{width}")
    return _finish(figure, drawn, check, notes, palette)


def against_date(history: pd.DataFrame, check: ProposalCheck, palette: Palette, picked: str | None = None) -> go.Figure:
    """$/sf in log steps against letting date; the expected range is a narrow column at the offer's own date.

    The range is not drawn over past years, so that it is not read as a verdict on old contracts.
    """
    drawn = history[history["letting_date"].notna()]
    if drawn.empty:
        return empty_figure("No contract on record has a letting date.", palette)
    asked, figure, when = check.proposal.superstructure, Drawing(), offer_date(check)
    if check.expected is not None and check.grade != "D":
        _column(figure, check.expected, when, palette)
    dates = pd.to_datetime(drawn["letting_date"])
    figure.add_traces(history_traces(drawn, asked, dates.tolist(), VALUE, palette))
    _offer_line(figure, check, when, palette)
    _ring(figure, drawn, dates, picked, palette)
    first, last = min(dates.min(), when), max(dates.max(), when)
    ends = year_axis(first - pd.Timedelta(days=150), last + pd.Timedelta(days=300))
    figure.update_xaxes(**ends, title=axis_title("Letting date"))
    _dollar_axis(figure, _values(drawn, check, None))
    column = "column at the offer's date: half, 8 in 10 and 9 in 10 of lettings like this one"
    return _finish(figure, drawn, check, [column if check.expected is not None else ""], palette)


def offer_date(check: ProposalCheck) -> pd.Timestamp:
    """Day the offer stands at on a date axis: the letter's, else the first day of the quarter its dollars are of."""
    date = check.proposal.date or check.proposal.delivery
    if date is not None:
        return pd.Timestamp(date)
    number = quarters.position(check.dollars_of)
    return pd.Timestamp(dt.date(number // 4, number % 4 * 3 + 1, 1))


def log_ticks(low: float, high: float, ladders: tuple[tuple[int, ...], ...], most: int) -> list[int]:
    """Round labels between two ends of a log axis: the first ladder that gives two to `most` of them, not crowded."""
    shown: list[int] = []
    for ladder in ladders:
        shown = [tick for tick in ladder if low <= tick <= high]
        crowded = any(b / a < (high / low) ** 0.07 for a, b in itertools.pairwise(shown))
        reaches = ladder[0] <= low * 1.3 and ladder[-1] >= high / 1.3
        if 2 <= len(shown) <= most and reaches and not crowded:
            return shown
    return shown


def dollar_ticks(low: float, high: float, most: int = 9) -> list[int]:
    """`log_ticks` for $/sf."""
    return log_ticks(low, high, _DOLLAR_LADDERS, most)


def _dollar_axis(figure: Drawing, values: list[float]) -> None:
    low, high = min(values) / 1.08, max(values) * 1.22  # headroom for the offer's label
    figure.update_yaxes(
        type="log",
        range=[math.log10(low), math.log10(high)],
        tickvals=dollar_ticks(low, high),
        tickprefix="$",
        title=axis_title("$ per sf of deck"),
    )


def _values(drawn: pd.DataFrame, check: ProposalCheck, curve: pd.DataFrame | None) -> list[float]:
    values = [float(value) for value in drawn[VALUE].dropna()]
    if words.is_number(check.like_for_like_per_sf):
        values.append(check.like_for_like_per_sf)
    if check.expected is not None and check.grade != "D":
        values += [check.expected["p05"], check.expected["p95"]]
    if curve is not None:
        values += [float(curve["p05"].min()), float(curve["p95"].max())]
    return values


def _bands_over_span(figure: Drawing, curve: pd.DataFrame, own_spans: pd.Series, palette: Palette) -> None:
    """Fills over the type's own spans only; beyond them edge lines, dashed."""
    inside = curve["span_ft"].between(own_spans.min(), own_spans.max()) if len(own_spans) >= 2 else curve["span_ft"] < 0
    filled = curve[inside]
    for low, high, band in _RANGES:
        if len(filled) >= 2:
            _polygon(figure, filled["span_ft"].tolist(), filled[low].tolist(), filled[high].tolist(), band, palette)
    for edge in ("p05", "p50", "p95"):
        width = 2.2 if edge == "p50" else 1.1
        _line(figure, curve, edge, palette.own, width, "dash")
        if len(filled) >= 2 and edge == "p50":
            _line(figure, filled, edge, palette.own, width, "solid")
    last = curve.iloc[-1]
    for edge, text in _EDGE_WORDS.items():
        figure.add_annotation(
            x=math.log10(last["span_ft"]),
            y=math.log10(last[edge]),
            text=text,
            showarrow=False,
            xanchor="left",
            xshift=5,
            font={"size": LABEL, "color": palette.own},
        )


def _line(figure: Drawing, curve: pd.DataFrame, edge: str, color: str, width: float, dash: str) -> None:
    figure.add_trace(
        scatter(
            x=curve["span_ft"].tolist(),
            y=curve[edge].tolist(),
            mode="lines",
            line={"color": color, "width": width, "dash": dash},
            hoverinfo="skip",
            showlegend=False,
            name=f"edge {edge}",
        )
    )


def _polygon(figure: Drawing, x: list[Any], low: list[float], high: list[float], band: str, palette: Palette) -> None:
    edge = {"band90": palette.soft, "band80": palette.soft, "band50": palette.own}[band]
    figure.add_trace(
        scatter(
            x=x + x[::-1],
            y=low + high[::-1],
            mode="lines",
            fill="toself",
            fillcolor=getattr(palette, band),
            line={"width": 0.6, "color": edge, "dash": "dot" if band == "band90" else "solid"},
            hoverinfo="skip",
            showlegend=False,
            name=band,
        )
    )


def _column(figure: Drawing, expected: dict[str, float], when: pd.Timestamp, palette: Palette) -> None:
    half = pd.Timedelta(days=80)
    for low, high, band in _RANGES:
        _polygon(figure, [when - half, when + half], [expected[low]] * 2, [expected[high]] * 2, band, palette)
    for edge, text in _EDGE_WORDS.items():
        figure.add_annotation(
            x=when + half,
            y=math.log10(expected[edge]),
            text=text,
            showarrow=False,
            xanchor="left",
            xshift=5,
            font={"size": LABEL, "color": palette.own},
        )


def _offer_line(figure: Drawing, check: ProposalCheck, x: Any, palette: Palette) -> None:
    """A thin line over the full height with the offer's label at its top, never on the data."""
    offer = check.like_for_like_per_sf
    if not words.is_number(offer) or not (isinstance(x, pd.Timestamp) or words.is_number(x)):
        return
    figure.add_shape(
        type="line", x0=x, x1=x, yref="paper", y0=0, y1=1, line={"color": palette.flag, "width": 1.4}, layer="above"
    )
    at = x if isinstance(x, pd.Timestamp) else math.log10(x)
    date_axis = isinstance(x, pd.Timestamp)
    figure.add_annotation(
        x=at,
        y=1,
        yref="paper",
        text=f"<b>offer {wording.usd(offer)}</b>",
        showarrow=False,
        xanchor="right" if date_axis else "left",
        yanchor="top",
        xshift=-6 if date_axis else 6,
        bgcolor=palette.paper,
        borderpad=1,
        font={"size": LABEL + 1, "color": palette.flagtext},
    )
    figure.add_trace(offer_diamond(x, offer, palette))


def _ring(figure: Drawing, drawn: pd.DataFrame, x: pd.Series, picked: str | None, palette: Palette) -> None:
    keys = keys_of(drawn)
    if picked in keys:
        place = keys.index(picked)
        figure.add_trace(picked_ring(x.iloc[place], float(drawn[VALUE].iloc[place]), palette))


def _finish(
    figure: Drawing, drawn: pd.DataFrame, check: ProposalCheck, notes: list[str], palette: Palette
) -> go.Figure:
    asked = check.proposal.superstructure
    own = int((drawn["superstructure"] == asked).sum())
    parts = [
        f"n = {own} {words.escape(asked, 40)} (filled), {len(drawn) - own} others (open)",
        words.basis_words(check.basis),
        words.dollars_words(check.dollars_of),
        *notes,
        words.source_words(drawn),
    ]
    entries = sum(trace.get("showlegend") is not False for trace in figure.traces)
    rows = max(1, math.ceil(entries / 3))
    figure.update_layout(
        showlegend=True,
        legend={
            "orientation": "h",
            "x": 0,
            "xanchor": "left",
            "y": 1,
            "yanchor": "bottom",
            "entrywidth": 104,
            "entrywidthmode": "pixels",
            "itemclick": False,
            "itemdoubleclick": False,
            "itemsizing": "trace",
            "font": {"size": 13, "color": palette.soft},
            "bgcolor": "rgba(0,0,0,0)",
            "tracegroupgap": 0,
        },
    )
    return apply_theme(
        figure,
        palette,
        plot_height=PLOT_HEIGHT,
        caption=words.caption_lines(parts, NARROW),
        left=LEFT,
        right=RIGHT,
        top=14 + 21 * rows,
    )

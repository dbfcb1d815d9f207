"""One pay item's prices: against letting date, and against quantity with the range to expect."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from bidlens import wording
from bidlens.figures import words
from bidlens.figures.drawing import Drawing, scatter
from bidlens.figures.theme import NARROW, Palette, apply_theme, axis_title, empty_figure

#: Answer, title block and both pictures stand above the fold of a small screen.
HEIGHT = 198


def prices_by_date(lettings: pd.DataFrame, unit: str, caption: Sequence[str], palette: Palette) -> go.Figure:
    """Each contract's low bid filled, the mean of its bids open, joined by a thin line; as bid.

    lettings : contract_id, letting_date, low_price, mean_price, quantity, bids.
    """
    if lettings.empty:
        return empty_figure("No low bid for this item is on record.", palette)
    figure = Drawing()
    # One trace with a gap after each line: a shape a line would take minutes for a thousand contracts.
    joined = lettings.assign(gap=math.nan)[["low_price", "mean_price", "gap"]]
    figure.add_trace(
        scatter(x=lettings["letting_date"].repeat(3), y=joined.to_numpy().ravel(), mode="lines", hoverinfo="skip",
                   line={"color": palette.rule, "width": 1.2})
    )  # fmt: skip
    for column, name, fill, line in (
        ("mean_price", "mean of all bids", palette.paper, palette.others),
        ("low_price", "low bid", palette.own, palette.paper),
    ):
        figure.add_trace(
            scatter(x=lettings["letting_date"], y=lettings[column], mode="markers", name=name,
                       hovertext=_hover(lettings, column, unit), hoverinfo="text",
                       marker={"size": 10 if column == "low_price" else 8, "color": fill,
                               "line": {"width": 1.5, "color": line}})
        )  # fmt: skip
    figure.update_xaxes(title=axis_title("Letting"), hoverformat="%b %Y")
    figure.update_yaxes(
        tickprefix="$", tickformat=",", title=axis_title(f"$ per {words.escape(unit, 12)}, as bid"), rangemode="tozero"
    )
    lines = words.safe_lines([*caption, "filled: low bid", "open: mean of all bids"], NARROW - 12)
    return apply_theme(figure, palette, plot_height=HEIGHT, caption=lines, left=84, right=16, top=12)


def prices_by_quantity(
    lettings: pd.DataFrame,
    unit: str,
    expected: tuple[float, float, float, float] | None,
    effect: float | None,
    caption: Sequence[str],
    palette: Palette,
) -> go.Figure:
    """Each contract's low bid, restated, against its quantity, on log axes; the price to expect as the diamond.

    expected : quantity, price, low and high of the range. effect : percent a doubled quantity
    went with; it draws the line.
    """
    if lettings.empty:
        return empty_figure("No low bid for this item is on record.", palette)
    figure = Drawing()
    figure.add_trace(
        scatter(x=lettings["quantity"], y=lettings["real_low_price"], mode="markers", name="low bid",
                   hovertext=_hover(lettings, "real_low_price", unit), hoverinfo="text",
                   marker={"size": 10, "color": palette.own, "line": {"width": 1.5, "color": palette.paper}})
    )  # fmt: skip
    if expected:
        quantity, price, low, high = expected
        if effect is not None:
            ends = np.array([lettings["quantity"].min(), lettings["quantity"].max()])
            along = price * (ends / quantity) ** np.log2(1 + effect / 100)
            figure.add_trace(scatter(x=ends, y=along, mode="lines", hoverinfo="skip", name="fitted",
                                        line={"color": palette.own, "width": 1.6}))  # fmt: skip
        figure.add_shape(type="line", x0=quantity, x1=quantity, y0=low, y1=high,
                         line={"color": palette.flag, "width": 2})  # fmt: skip
        figure.add_trace(
            scatter(x=[quantity, quantity], y=[low, high], mode="markers", hoverinfo="skip",
                       marker={"symbol": "line-ew", "size": 14, "line": {"width": 2, "color": palette.flag}})
        )  # fmt: skip
        figure.add_trace(
            scatter(x=[quantity], y=[price], mode="markers", hoverinfo="skip",
                       marker={"symbol": "diamond", "size": 13, "color": palette.flag,
                               "line": {"width": 1.6, "color": palette.ink}})
        )  # fmt: skip
    prices = [*lettings["real_low_price"], *(expected[2:] if expected else ())]
    figure.update_xaxes(title=axis_title(f"Quantity, {words.escape(unit, 12)}"),
                        **_log([*lettings["quantity"], *(expected[:1] if expected else ())], ""))  # fmt: skip
    figure.update_yaxes(title=axis_title(f"$ per {words.escape(unit, 12)}, restated"), **_log(prices, "$"))
    parts = [*caption, *(["diamond: price to expect and its range"] if expected else [])]
    lines = words.safe_lines(parts, NARROW - 12)
    return apply_theme(figure, palette, plot_height=HEIGHT, caption=lines, left=84, right=16, top=12)


def _log(values: Sequence[float], prefix: str) -> dict[str, Any]:
    """A log axis over the values with room around them, ticks at round numbers."""
    low, high = min(values) / 1.15, max(values) * 1.15
    powers = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    ticks = [step * 10.0**power for power in powers for step in (1, 2, 5) if low <= step * 10.0**power <= high]
    if len(ticks) < 3:  # a narrow range: even steps
        wanted = (high - low) / 5
        step = next(n * 10.0**power for power in powers for n in (0.1, 0.2, 0.5, 1, 2, 5) if n * 10.0**power >= wanted)
        ticks = [n * step for n in range(math.ceil(low / step), math.floor(high / step) + 1)]
    digits = 0 if min(ticks) >= 10 else 2 if min(ticks) >= 0.5 else 3
    return {
        "type": "log", "range": [math.log10(low), math.log10(high)], "tickvals": ticks,
        "ticktext": [f"{prefix}{wording.number(tick, digits)}" for tick in ticks],
    }  # fmt: skip


def _hover(lettings: pd.DataFrame, column: str, unit: str) -> list[str]:
    return [
        f"<b>{words.escape(row['contract_id'], 40)}</b> · {wording.month(row['letting_date'])}<br>"
        f"{wording.usd(row[column], 2)} per {words.escape(unit, 12)} · {wording.number(row['quantity'])}"
        for row in lettings.to_dict("records")
    ]

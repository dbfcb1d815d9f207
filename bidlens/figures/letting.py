"""The year's lettings: bids against estimate, prices that moved, and why the average changed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import pandas as pd
import plotly.graph_objects as go

from bidlens import wording
from bidlens.figures import words
from bidlens.figures.drawing import Drawing, scatter
from bidlens.figures.theme import CAPTION, LABEL, NARROW, WIDE, Palette, apply_theme, axis_title, empty_figure

CHANGE_ROW, TIGHT_ROW = 40, 25
#: Height of a contract's row; beyond the first number of contracts rows move together, down to the lower height.
ROW, LOW_ROW, WIDE_APART = 34, 24, 7
_KEY = ["contract_id", "letting_date"]
#: More contracts than this are listed in the table alone.
MOST_CONTRACTS, MOST_ITEMS = 40, 8
#: A longer description is left to the contract list; half of it would not name the job.
LONGEST_NAME = 22
#: Fewer contracts than this in the year or before, and an arrow is open and dotted.
THIN = 3


def bids_against_estimate(contracts: pd.DataFrame, bids: pd.DataFrame, caption: str, palette: Palette) -> go.Figure:
    """One row a contract in letting order, bids as percent of the estimate; low filled, a single bid open.

    contracts : contract_id, letting_date, description, bids, low_usd, estimate_usd of contracts drawn. bids : their
    ranked bids with contract_id, letting_date, ratio (to the estimate, less one), lowest first.
    """
    if contracts.empty:
        return empty_figure("No contract of the year has an engineer’s estimate to compare with.", palette)
    shown = contracts.nlargest(MOST_CONTRACTS, "low_usd").sort_index().reset_index(drop=True)
    bids = bids.merge(shown[_KEY], on=_KEY, how="inner", validate="m:1")
    figure = Drawing()
    low, high = min(-0.15, float(bids["ratio"].min())), max(0.15, float(bids["ratio"].max()))
    figure.add_shape(type="rect", x0=-10, x1=10, y0=-0.5, y1=len(shown) - 0.5, layer="below", line={"width": 0},
                     fillcolor=palette.band90)  # fmt: skip
    for number, row in enumerate(shown.to_dict("records")):
        mine = (bids["contract_id"] == row["contract_id"]) & (bids["letting_date"] == row["letting_date"])
        _contract_row(figure, number, row, (bids.loc[mine, "ratio"] * 100).tolist(), palette)
    figure.add_shape(type="line", x0=0, x1=0, y0=-0.5, y1=len(shown) - 0.5, line={"color": palette.ink, "width": 1.6})
    _above(figure, "engineer’s estimate", 0, palette)
    for shift, title in ((-230, "Contract, in letting order"), (-110, "Low bid"), (-24, "Bids")):
        _left(figure, -0.5, title, shift, palette.soft, CAPTION, 10)
    ticks = _ticks(low * 100, high * 100)
    span = (high - low) * 100
    figure.update_xaxes(range=[low * 100 - 0.05 * span, high * 100 + 0.05 * span], tickvals=ticks,
                        ticktext=[wording.percent(tick / 100) for tick in ticks],
                        title=axis_title("Difference from engineer’s estimate (shaded: within 10%)"))  # fmt: skip
    figure.update_yaxes(range=[len(shown) - 0.5, -0.5], visible=False)
    rest = len(contracts) - len(shown)
    parts = [*caption.split(" · "), "filled: low bid", "open: only bid", "ticks: other bids"]
    parts += [f"the {len(shown)} largest drawn, all listed below"] if rest else []
    lines = words.safe_lines(parts, WIDE)
    height = min(ROW * len(shown), max(ROW * WIDE_APART, LOW_ROW * len(shown)))
    return apply_theme(figure, palette, plot_height=height, caption=lines, left=470, right=16, top=30)


def _contract_row(figure: Drawing, number: int, row: dict[Any, Any], at: list[float], palette: Palette) -> None:
    if not at:
        return
    single = len(at) == 1
    figure.add_shape(type="line", x0=at[0], x1=at[-1], y0=number, y1=number, layer="below",
                     line={"color": palette.rule, "width": 1.4})  # fmt: skip
    hover = [f"<b>{words.escape(row['contract_id'], 40)}</b><br>{wording.percent(value / 100, 1)}" for value in at]
    figure.add_trace(
        scatter(x=at[1:], y=[number] * (len(at) - 1), mode="markers", hovertext=hover[1:], hoverinfo="text",
                   marker={"symbol": "line-ns", "size": 12, "line": {"width": 1.6, "color": palette.others}})
    )  # fmt: skip
    fill = palette.paper if single else palette.own
    figure.add_trace(
        scatter(x=at[:1], y=[number], mode="markers", hovertext=hover[:1], hoverinfo="text",
                   marker={"size": 12, "color": fill, "line": {"width": 2, "color": palette.own}})
    )  # fmt: skip
    described = str(row.get("description") or "")
    name = f"{row['contract_id']} {described}" if len(described) <= LONGEST_NAME else str(row["contract_id"])
    bids = wording.count(int(row["bids"]), "bid")
    for shift, said in (
        (-196, words.escape(name, 34)),
        (-92, wording.usd(row["low_usd"])),
        (-24, f"<b>{bids}</b>" if single else bids),
    ):
        _left(figure, number, said, shift, palette.ink, LABEL)


def prices_moved(moved: pd.DataFrame, years: str, before: str, caption: Sequence[str], palette: Palette) -> go.Figure:
    """An arrow from 0 to each item's change, most dollars first; open and dotted under THIN contracts.

    moved : MOVED_COLUMNS rows. years, before : those reviewed and those compared with, in words.
    """
    if moved.empty:
        return empty_figure(f"No pay item was let both in {years} and in {before}.", palette)
    shown = moved.head(MOST_ITEMS).reset_index(drop=True)
    figure = Drawing()
    for number, row in enumerate(shown.to_dict("records")):
        _arrow(figure, number, row, palette)
    changes = shown["change"] * 100
    low, high = min(0.0, float(changes.min())), max(0.0, float(changes.max()))
    span = max(high - low, 10.0)
    figure.add_shape(type="line", x0=0, x1=0, y0=-0.5, y1=len(shown) - 0.5, line={"color": palette.ink, "width": 1.4})
    ticks = _ticks(low, high, 5)
    figure.update_xaxes(range=[low - 0.3 * span, high + 0.3 * span], tickvals=ticks,
                        ticktext=[wording.percent(tick / 100) for tick in ticks],
                        title=axis_title("Change beyond the cost index"))  # fmt: skip
    figure.update_yaxes(range=[len(shown) - 0.5, -0.5], visible=False)
    lines = words.safe_lines(caption, NARROW - 12)
    return apply_theme(figure, palette, plot_height=46 * len(shown), caption=lines, left=340, right=12, top=8)


def _arrow(figure: Drawing, number: int, row: dict[Any, Any], palette: Palette) -> None:
    change = row["change"] * 100
    thin = min(row["n_before"], row["n_year"]) < THIN
    up = change >= 0
    line = {"color": palette.own, "width": 2, **({"dash": "dot"} if thin else {})}
    figure.add_shape(type="line", x0=0, x1=change, y0=number, y1=number, line=line)
    symbol = f"triangle-{'right' if up else 'left'}{'-open' if thin else ''}"
    figure.add_trace(
        scatter(x=[change], y=[number], mode="markers+text", text=[wording.percent(row["change"])], hoverinfo="skip",
                   textposition="middle right" if up else "middle left", textfont={"size": LABEL, "color": palette.ink},
                   marker={"symbol": symbol, "size": 11, "color": palette.own, "line": {"color": palette.own}})
    )  # fmt: skip
    digits = 2 if row["price_year"] < 100 else 0
    price = f"{wording.usd(row['price_before'], digits)} → {wording.usd(row['price_year'], digits)}"
    title = "<br>".join(words.escape(line) for line in words.wrapped(str(row["item_title"]), 28))
    small = f"{words.escape(row['pay_unit'], 8)}, n {row['n_before']}, {row['n_year']}"
    said = f'{price}<br><span style="font-size:{CAPTION}px;color:{palette.soft}">{small}</span>'
    _left(figure, number, title, -142, palette.ink, LABEL)
    _left(figure, number, said, -10, palette.ink, LABEL)


def change_explained(
    whats: Sequence[tuple[str, ...]],
    ends: Sequence[float],
    caption: Sequence[str],
    palette: Palette,
    unit: str = "$ per sf of deck",
    *,
    tight: bool = False,
) -> go.Figure:
    """From one amount to the next: hollow circle, dimension lines, filled circle, on a short axis and never from zero.

    whats : what, printed amount, note, first and last being the two amounts. ends : running amount after each, one a
    row. unit : of the axis. tight : notes are short and stand beside what they are of, in lower rows.
    """
    figure = Drawing()
    low, high = min(ends), max(ends)
    span = max(high - low, 1.0)
    width = max(64, *(8 * len(amount) for _, amount, _ in whats))
    for number, (what, amount, note) in enumerate(whats):
        total = number in (0, len(whats) - 1)
        said = f"<b>{words.escape(what, 34)}</b>" if total else words.escape(what, 34)
        small = words.escape(note, 44)
        between = "&nbsp; " if tight else "<br>"
        said += f'{between}<span style="font-size:{CAPTION}px;color:{palette.soft}">{small}</span>' if small else ""
        _left(figure, number, said, -(24 + width), palette.ink, LABEL)
        _left(figure, number, f"<b>{amount}</b>" if total else amount, -12, palette.ink, LABEL)
        if not total:
            figure.add_trace(
                scatter(x=[ends[number - 1], ends[number]], y=[number, number], mode="lines+markers",
                           hoverinfo="skip",
                           line={"color": palette.own, "width": 2},
                           marker={"symbol": "line-ne", "size": 12, "line": {"width": 2, "color": palette.own}})
            )  # fmt: skip
        if number:
            joint = ends[number - 1]
            figure.add_shape(type="line", x0=joint, x1=joint, y0=number - 0.8, y1=number - 0.15,
                             line={"color": palette.soft, "width": 1, "dash": "dot"})  # fmt: skip
    for number, fill in ((0, palette.paper), (len(whats) - 1, palette.own)):
        figure.add_trace(
            scatter(x=[ends[number]], y=[number], mode="markers", hoverinfo="skip",
                       marker={"size": 12, "color": fill, "line": {"width": 2, "color": palette.own}})
        )  # fmt: skip
    figure.update_xaxes(range=[low - 0.15 * span, high + 0.15 * span], tickprefix="$", nticks=5,
                        title=axis_title(unit))  # fmt: skip
    figure.update_yaxes(range=[len(whats) - 0.5, -0.5], visible=False)
    lines = words.safe_lines(caption, NARROW - 12)
    height = (TIGHT_ROW if tight else CHANGE_ROW) * len(whats)
    return apply_theme(figure, palette, plot_height=height, caption=lines, left=340, right=16, top=8)


def _left(figure: Drawing, row: float, text: str, shift: int, color: str, size: int, up: int = 0) -> None:
    """Words to the left of the plot area, ending `shift` px from it."""
    figure.add_annotation(x=0, xref="paper", y=row, text=text, showarrow=False, xanchor="right", yanchor="middle",
                          xshift=shift, yshift=up, align="right", font={"size": size, "color": color})  # fmt: skip


def _above(figure: Drawing, text: str, x: float, palette: Palette) -> None:
    figure.add_annotation(x=x, y=-0.5, text=text, showarrow=False, yanchor="bottom", yshift=2,
                          font={"size": CAPTION, "color": palette.ink})  # fmt: skip


def _ticks(low: float, high: float, most: int = 9) -> list[float]:
    """Round steps in percent between low and high."""
    step = next((step for step in (5, 10, 20, 50, 100, 200, 500) if (high - low) / step <= most), 1000)
    return [float(n * step) for n in range(math.ceil(low / step), math.floor(high / step) + 1)]

"""What was paid over the years: small multiples, one panel a superstructure type, all on the same scales."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from bidlens import wording
from bidlens.figures import words
from bidlens.figures.drawing import Drawing, scatter
from bidlens.figures.marks import hover_lines, keys_of
from bidlens.figures.scatter import dollar_ticks
from bidlens.figures.theme import TEXT, WIDE, Palette, apply_theme, axis_title, empty_figure, year_axis

COLUMNS, BETWEEN = 3, 34
#: Height of a panel, and of one in more than two rows: three rows stand where two do.
PANEL_HEIGHT, LOW_PANEL = 124, 72
#: Share of the width between two panels.
BESIDE = 0.028
VALUE = "unit_cost_adjusted"

#: Fewer structures than this, and a panel shows no average.
AVERAGE_FROM = 4


def panels_by_type(history: pd.DataFrame, basis: str, dollars_of: str, palette: Palette) -> go.Figure:
    """$/sf over letting date in log steps: the panel's type in blue, everything else as small grey dots behind.

    history : HISTORY rows of one basis. The line is dollars over deck area, drawn from `AVERAGE_FROM` structures up.
    """
    drawn = history[history[VALUE].notna() & history["letting_date"].notna()]
    if drawn.empty:
        return empty_figure("No priced structure is left to draw.", palette)
    kinds = drawn["superstructure"].value_counts().index.tolist()
    rows = math.ceil(len(kinds) / COLUMNS)
    height = rows * (PANEL_HEIGHT if rows < 3 else LOW_PANEL) + (rows - 1) * BETWEEN
    figure = _grid(rows, BETWEEN / height)
    for number, kind in enumerate(kinds):
        _panel(figure, drawn, kind, number, palette)
    _scales(figure, drawn, len(kinds), rows, palette)
    parts = [
        f"n = {wording.count(len(drawn), 'structure')}{_in_contracts(drawn)}",
        words.basis_words(basis),
        words.dollars_words(dollars_of),
        "blue: type named, grey: all others",
        "line: dollars over deck area",
        words.source_words(drawn),
    ]
    return apply_theme(
        figure, palette, plot_height=height, caption=words.caption_lines(parts, WIDE), left=64, right=12, top=24, gap=54
    )


def _in_contracts(drawn: pd.DataFrame) -> str:
    """“ in 66 contracts”, where that is another number."""
    contracts = drawn["contract_id"].nunique()
    return "" if contracts == len(drawn) else f" in {wording.count(contracts, 'contract')}"


def average(rows: pd.DataFrame) -> float | None:
    """Dollars of all structures over their deck area, $/sf; None under `AVERAGE_FROM` structures."""
    if len(rows) < AVERAGE_FROM:
        return None
    return float(np.average(rows[VALUE], weights=rows["deck_area_sf"]))


def _grid(rows: int, between: float) -> Drawing:
    """Panels row by row from the top, each row on the scale of its first panel. between : share of the height."""
    figure = Drawing(panels=rows * COLUMNS)
    wide, high = (1 - BESIDE * (COLUMNS - 1)) / COLUMNS, (1 - between * (rows - 1)) / rows
    for number in range(rows * COLUMNS):
        row, column = divmod(number, COLUMNS)
        left, low = column * (wide + BESIDE), (rows - 1 - row) * (high + between)
        figure.update_xaxes(number + 1, anchor=f"y{_own(number)}", domain=[left, left + wide])
        figure.update_yaxes(number + 1, anchor=f"x{_own(number)}", domain=[low, low + high])
        if column:
            figure.update_yaxes(number + 1, matches=f"y{_own(number - column)}", showticklabels=False)
    return figure


def _own(number: int) -> str:
    """What the axes of a panel have behind their letter; panels count from 0, and the first has none."""
    return str(number + 1) if number else ""


def _panel(figure: Drawing, drawn: pd.DataFrame, kind: str, number: int, palette: Palette) -> None:
    own, others = drawn[drawn["superstructure"] == kind], drawn[drawn["superstructure"] != kind]
    figure.add_trace(
        scatter(
            x=pd.to_datetime(others["letting_date"]).tolist(),
            y=others[VALUE].tolist(),
            mode="markers",
            marker={"size": 4.5, "color": palette.rule},
            hoverinfo="skip",
            name="everything else",
            unselected={"marker": {"opacity": 1}},
        ),
        number + 1,
    )
    mean = average(own)
    if mean is not None:
        dates = pd.to_datetime(drawn["letting_date"])
        figure.add_trace(
            scatter(
                x=[dates.min(), dates.max()],
                y=[mean, mean],
                mode="lines",
                line={"color": palette.own, "width": 1.8},
                hoverinfo="skip",
                name=f"average {words.escape(kind, 40)}",
            ),
            number + 1,
        )
    figure.add_trace(
        scatter(
            x=pd.to_datetime(own["letting_date"]).tolist(),
            y=own[VALUE].tolist(),
            mode="markers",
            marker={"size": 9.5, "color": palette.own, "line": {"width": 1.2, "color": palette.paper}},
            customdata=keys_of(own),
            hovertext=hover_lines(own, VALUE),
            hoverinfo="text",
            name=words.escape(kind, 40),
            unselected={"marker": {"opacity": 1}},
            selected={"marker": {"opacity": 1}},
        ),
        number + 1,
    )
    said = f"average {wording.usd(mean)}" if mean is not None else f"<i>no average: needs {AVERAGE_FROM}</i>"
    figure.add_annotation(
        text=f"<b>{words.escape(kind, 28)}</b>  n = {len(own)}, {said}",
        xref=f"x{_own(number)} domain",
        yref=f"y{_own(number)} domain",
        x=0,
        y=1,
        xanchor="left",
        yanchor="bottom",
        yshift=4,
        showarrow=False,
        font={"size": TEXT},
    )


def _scales(figure: Drawing, drawn: pd.DataFrame, kinds: int, rows: int, palette: Palette) -> None:
    low, high = drawn[VALUE].min() / 1.12, drawn[VALUE].max() * 1.12
    dates = pd.to_datetime(drawn["letting_date"])
    figure.update_yaxes(
        type="log",
        range=[math.log10(low), math.log10(high)],
        tickvals=dollar_ticks(low, high, most=6 if rows < 3 else 3),
        tickprefix="$",
    )
    margin = pd.Timedelta(days=150)
    figure.update_xaxes(**year_axis(dates.min() - margin, dates.max() + margin, most=6))
    for number in range(rows * COLUMNS):
        if number >= kinds:
            figure.update_xaxes(number + 1, visible=False)
            figure.update_yaxes(number + 1, visible=False)
            continue
        lowest = number + COLUMNS >= kinds
        figure.update_xaxes(number + 1, showticklabels=lowest, title=axis_title("Letting date") if lowest else None)
        figure.update_yaxes(number + 1, title=axis_title("$ per sf, log") if number % COLUMNS == 0 else None)

"""A drawing gives the figure that plotly's own methods give, piece by piece; plotly is the reference here."""

from __future__ import annotations

import plotly.graph_objects as go
import pytest
from plotly.subplots import make_subplots

from bidlens.figures import LIGHT, panels_by_type
from bidlens.figures.drawing import Drawing, bar, scatter
from tests.figures import example


def _drawn(figure: Drawing | go.Figure, level: str) -> None:
    figure.update_xaxes(title={"text": "Span", "font": {"size": 14}}, range=[0, 9])
    figure.add_trace(scatter(x=[1, 2], y=[3.5, 4], mode="markers", marker={"size": 8, "line": {"width": 1}}))
    figure.add_shape(type="rect", x0=0, x1=1, y0=2, y1=3, line={"color": "#123456"})
    getattr(figure, level)(y=3, line={"color": "#654321", "width": 2})
    figure.add_annotation(x=1, y=2, text="a note", showarrow=False)
    figure.update_xaxes(title={"standoff": 5}, range=[1, 8])
    figure.update_yaxes(visible=False)
    figure.update_layout(barmode="stack", margin={"l": 1})
    figure.update_layout(margin={"r": 2})


def test_a_drawing_is_the_figure_that_plotly_builds_step_by_step() -> None:
    ours, theirs = Drawing([bar(x=["a"], y=[1])]), go.Figure(bar(x=["a"], y=[1]))
    _drawn(ours, "add_level")
    _drawn(theirs, "add_hline")
    assert ours.finished().to_dict() == theirs.to_dict()


def test_none_takes_a_setting_back() -> None:
    drawing = Drawing()
    drawing.update_xaxes(title={"text": "Span"})
    drawing.update_xaxes(title=None)
    assert drawing.finished().layout.xaxis.title.text is None


def test_a_setting_plotly_does_not_know_is_an_error() -> None:
    drawing = Drawing()
    drawing.add_shape(type="line", thickness=3)
    with pytest.raises(ValueError, match="thickness"):
        drawing.finished()


def test_panels_stand_where_plotly_puts_subplots() -> None:
    history = example.history()
    drawn = panels_by_type(history, "superstructure", "2026Q1", LIGHT).layout
    rows = -(-history["superstructure"].nunique() // 3)
    between = 34 / (rows * 124 + (rows - 1) * 34)
    layout = make_subplots(rows, 3, shared_yaxes=True, horizontal_spacing=0.028, vertical_spacing=between).layout
    for number in range(1, 3 * rows + 1):
        for way in "xy":
            name = f"{way}axis{number if number > 1 else ''}"
            for setting in ("anchor", "matches", "domain"):
                assert drawn[name][setting] == (
                    pytest.approx(layout[name][setting]) if setting == "domain" else layout[name][setting]
                ), (name, setting)

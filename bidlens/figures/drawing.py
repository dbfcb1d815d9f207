"""A figure while it is drawn: plain dicts, checked by plotly once, when it is finished.

Added to a plotly figure one by one, each shape, note and axis setting makes plotly check all that is there already;
a figure of 60 shapes and 30 notes then takes twenty times as long as one made of dicts at once.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import plotly.graph_objects as go

Trace = dict[str, Any]


def scatter(**settings: Any) -> Trace:
    """A trace of marks or lines. settings : those of plotly's scatter trace."""
    return {"type": "scatter", **settings}


def bar(**settings: Any) -> Trace:
    """A trace of bars. settings : those of plotly's bar trace."""
    return {"type": "bar", **settings}


class Drawing:
    """Traces, shapes, notes and layout, added in the order they are drawn. `finished` gives the figure.

    Settings are plotly's, dicts in dicts; a later one is laid over an earlier one, and None takes it back.
    panels : number of panels, each with an axis either way, numbered from 1.
    """

    __slots__ = ("_axes", "_layout", "_notes", "_shapes", "traces")

    def __init__(self, traces: Iterable[Trace] = (), panels: int = 1) -> None:
        self.traces = list(traces)
        self._shapes: list[dict[str, Any]] = []
        self._notes: list[dict[str, Any]] = []
        self._layout: dict[str, Any] = {}
        self._axes: dict[str, list[dict[str, Any]]] = {way: [{} for _ in range(panels)] for way in "xy"}

    def add_trace(self, trace: Trace, panel: int = 1) -> None:
        own = "" if panel == 1 else str(panel)
        self.traces.append({**trace, "xaxis": f"x{own}", "yaxis": f"y{own}"} if own else trace)

    def add_traces(self, traces: Iterable[Trace]) -> None:
        self.traces.extend(traces)

    def add_shape(self, **settings: Any) -> None:
        self._shapes.append(settings)

    def add_level(self, y: float, line: Mapping[str, Any]) -> None:
        """A line over the full width of the plot area at a height of the vertical axis."""
        self.add_shape(type="line", xref="x domain", x0=0, x1=1, yref="y", y0=y, y1=y, line=line)

    def add_annotation(self, **settings: Any) -> None:
        self._notes.append(settings)

    def update_xaxes(self, panel: int | None = None, **settings: Any) -> None:
        """Settings of a panel's horizontal axis; of every one when no panel is named."""
        self._update_axes("x", panel, settings)

    def update_yaxes(self, panel: int | None = None, **settings: Any) -> None:
        """Settings of a panel's vertical axis; of every one when no panel is named."""
        self._update_axes("y", panel, settings)

    def update_layout(self, **settings: Any) -> None:
        _lay_over(self._layout, settings)

    @property
    def shows_legend(self) -> bool:
        """Whether the drawing asked for its key."""
        return bool(self._layout.get("showlegend"))

    def finished(self) -> go.Figure:
        """The figure. Raises ValueError for a setting plotly does not know."""
        axes = {
            f"{way}axis{number if number > 1 else ''}": settings
            for way, every in self._axes.items()
            for number, settings in enumerate(every, start=1)
        }
        layout = {**self._layout, **axes, "shapes": self._shapes, "annotations": self._notes}
        return go.Figure({"data": self.traces, "layout": layout})

    def _update_axes(self, way: str, panel: int | None, settings: Mapping[str, Any]) -> None:
        every = self._axes[way]
        for axis in every if panel is None else every[panel - 1 : panel]:
            _lay_over(axis, settings)


def _lay_over(under: dict[str, Any], settings: Mapping[str, Any]) -> None:
    for name, value in settings.items():
        if value is None:
            under.pop(name, None)
        elif isinstance(value, Mapping):
            inner = under.get(name)
            under[name] = dict(inner) if isinstance(inner, dict) else {}
            _lay_over(under[name], value)
        else:
            under[name] = value

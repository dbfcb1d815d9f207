"""Results as plotly figures. Pure: no files, no dashboard; colors come in as a `Palette`."""

from bidlens.figures.backtest import backtest_picture
from bidlens.figures.inventory import inventory_picture
from bidlens.figures.panels import panels_by_type
from bidlens.figures.place_strip import place_strip
from bidlens.figures.program import fifty_dots, pace_picture
from bidlens.figures.program_pace import age_picture, backlog_picture
from bidlens.figures.scatter import against_date, against_span
from bidlens.figures.steps import like_for_like_steps
from bidlens.figures.theme import CONFIG, DARK, LIGHT, PALETTES, PRINT, Palette, empty_figure

__all__ = [
    "CONFIG",
    "DARK",
    "LIGHT",
    "PALETTES",
    "PRINT",
    "Palette",
    "against_date",
    "against_span",
    "age_picture",
    "backlog_picture",
    "backtest_picture",
    "empty_figure",
    "fifty_dots",
    "inventory_picture",
    "like_for_like_steps",
    "pace_picture",
    "panels_by_type",
    "place_strip",
]

"""The inventory's schematic, tested by what it draws. Bridges are invented."""

from __future__ import annotations

import pandas as pd

from bidlens.figures import LIGHT, inventory_picture


def bridges() -> pd.DataFrame:
    rows = [
        ("K-1", "Alder Lane over Fen Brook", "rolled steel beam", 1931, 900.0),
        ("K-2", None, "timber", 1950, 400.0),
        ("K-3", "<b>Mill</b>", None, 1999, 2500.0),
        ("K-4", "", "rolled steel beam", None, 800.0),
        ("K-1", "Alder Lane over Fen Brook", "concrete slab", 2024, 1000.0),
    ]
    return pd.DataFrame(rows, columns=["structure_id", "name", "superstructure", "year_built", "deck_area_sf"])


def test_each_bridge_is_one_mark_as_last_listed_and_those_of_the_list_are_diamonds() -> None:
    figure = inventory_picture(bridges(), ["K-2", "K-4"], 2027, 75.0, LIGHT)
    placed = {
        x: (trace.name, trace.marker.symbol, y) for trace in figure.data for x, y in zip(trace.x, trace.y, strict=True)
    }
    assert placed == {
        2024: ("concrete slab", "square-open", 1000.0),
        1999: ("type not known", "circle-open", 2500.0),
        1950: ("on this list", "diamond", 400.0),
    }
    [line] = [shape for shape in figure.layout.shapes if shape.yref == "paper" and shape.y1 == 1]
    assert line.x0 == line.x1 == 2027 - 75
    words = " ".join(note.text for note in figure.layout.annotations)
    for text in (
        "n = 3 bridges",
        "1 without a build year",
        "K-2",
        "past 75 years",
        "diamond: the 1 bridge",
    ):
        assert text in words
    assert "&lt;b&gt;Mill" in " ".join(text for trace in figure.data for text in trace.hovertext)


def test_no_bridge_with_a_build_year_draws_nothing_and_says_so() -> None:
    figure = inventory_picture(bridges().assign(year_built=None), [], 2027, 75.0, LIGHT)
    assert "No bridge of the structure list has a build year" in figure.layout.annotations[0].text

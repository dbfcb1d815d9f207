"""The two pictures of the program page, tested by what they draw."""

from __future__ import annotations

import pytest

from bidlens import workflow
from bidlens.figures import LIGHT, fifty_dots, pace_picture
from bidlens.findings import Unavailable


@pytest.fixture(scope="module")
def found(sample_record):
    with workflow.open_database(sample_record) as db:
        program = workflow.sample_folder() / "program_2027.csv"
        return workflow.forecast_program(db, program, year=2027, budget_usd=6.5e6, runs=2000)


def test_fifty_dots_are_filled_as_far_as_the_budget_reaches(found):
    figure = fifty_dots(found, LIGHT)
    dots = [shape for shape in figure.layout.shapes if shape.type == "circle"]
    assert len(dots) == 50
    filled = [dot for dot in dots if dot.fillcolor == LIGHT.own]
    assert len(filled) == pytest.approx(found.budget.chance_covers * 50, abs=1)
    words = " ".join(note.text for note in figure.layout.annotations)
    for text in ("budget $6.5 M", f"{len(filled)} of 50 dots within", "P80", "n = 66 contracts", "contract basis"):
        assert text in words


def test_the_pace_is_a_line_and_what_lies_beyond_is_hatched(found):
    figure = pace_picture(found.rotation, LIGHT)
    below, beyond = figure.data
    heights = [low + high for low, high in zip(below.y, beyond.y, strict=True)]
    assert heights == [found.rotation.overdue, *found.rotation.profile["reaching"]]
    assert max(below.y) <= found.rotation.per_year * 5
    assert beyond.marker.pattern.shape == "/"


def test_no_structure_list_draws_nothing_and_says_so():
    figure = pace_picture(Unavailable("no structure list is on record"), LIGHT)
    assert "no structure list" in figure.layout.annotations[0].text

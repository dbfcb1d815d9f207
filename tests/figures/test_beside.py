"""Offers side by side and cost a year, as drawn."""

from __future__ import annotations

import numpy as np
import pytest

from bidlens.figures import LIGHT
from bidlens.figures.beside import annual_cost, offers_beside
from bidlens.proposal.service_life import AnnualCost, ServiceLife, capital_recovery
from bidlens.proposal.side_by_side import OfferedPrice


def _offered(name: str, middle: float | None) -> OfferedPrice:
    low, high = (None, None) if middle is None else (middle - 8, middle + 15)
    return OfferedPrice(
        name, name, "rolled steel beam", "usual", low, middle, high, 110.0, 145.0, 190.0, 150_000.0, None, None, ()
    )


def test_every_ranked_offer_is_a_diamond_with_its_whisker() -> None:
    figure = offers_beside([_offered("Alder", 160.0), _offered("Birch", None)], "superstructure", "2026Q1", LIGHT)
    (trace,) = figure.data
    assert trace.x == (160.0,)
    assert (trace.error_x.array, trace.error_x.arrayminus) == ((15.0,), (8.0,))


def test_nothing_ranked_says_so() -> None:
    figure = offers_beside([_offered("Birch", None)], "superstructure", "2026Q1", LIGHT)
    assert "nothing to set side by side" in figure.layout.annotations[0].text


def test_the_curve_is_capital_recovery_and_the_legend_has_a_line_an_offer() -> None:
    one = AnnualCost("a", "Alder", "timber", 120.0, 75.0, 120 * capital_recovery(0.03, 75), None)
    figure = annual_cost(ServiceLife(0.03, (one,)), LIGHT)
    thick = next(trace for trace in figure.data if trace.showlegend)
    at_75 = float(np.interp(75, thick.x, thick.y))
    assert at_75 == pytest.approx(120 * 0.033668, rel=1e-4)  # A/P at 3 %, 75 years, worked outside this program
    assert sum(bool(trace.showlegend) for trace in figure.data) == 1

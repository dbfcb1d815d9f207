"""Pay item prices drawn: every contract a mark, the price to expect with its range, nothing of a file alive."""

from __future__ import annotations

import pandas as pd
import pytest

from bidlens import figures
from bidlens.figures import items

LETTINGS = pd.DataFrame(
    {
        "contract_id": ["C-1", "<b>C-2", "C-3"],
        "letting_date": pd.to_datetime(["2023-05-01", "2024-05-01", "2025-05-01"]),
        "quantity": [50.0, 120.0, 900.0],
        "low_price": [70.0, 66.0, 61.0],
        "mean_price": [75.0, 80.0, 64.0],
        "real_low_price": [82.0, 70.0, 62.0],
    }
)


def test_low_and_mean_of_each_contract_are_drawn() -> None:
    figure = items.prices_by_date(LETTINGS, "CY", ["a caption"], figures.LIGHT)
    joined, mean, low = figure.data
    assert (len(mean.x), len(low.x)) == (3, 3)
    assert list(joined.y)[:2] == [70.0, 75.0]  # a line from low to mean, then a gap, for each contract
    assert [i for i, y in enumerate(joined.y) if y != y] == [2, 5, 8]
    assert "<b>C-2" not in str([trace.hovertext for trace in figure.data]).replace("<b>&lt;b&gt;C-2", "")


def test_the_price_to_expect_stands_at_its_quantity_with_its_range() -> None:
    figure = items.prices_by_quantity(LETTINGS, "CY", (300.0, 66.0, 55.0, 80.0), -4.0, [], figures.LIGHT)
    diamond = next(trace for trace in figure.data if trace.marker.symbol == "diamond")
    assert (diamond.x[0], diamond.y[0]) == (300.0, 66.0)
    assert any(shape.y0 == 55.0 and shape.y1 == 80.0 for shape in figure.layout.shapes)
    fitted = next(trace for trace in figure.data if trace.name == "fitted")
    # the line passes the price at its quantity: a doubling goes with 4 % less
    assert fitted.y[0] == pytest.approx(66.0 * 0.96 ** (-2.584962500721156), rel=1e-6)


@pytest.mark.parametrize("draw", ["prices_by_date", "prices_by_quantity"])
def test_no_low_bid_is_said_in_words(draw: str) -> None:
    none = LETTINGS.head(0)
    figure = (
        items.prices_by_date(none, "CY", [], figures.LIGHT)
        if draw == "prices_by_date"
        else items.prices_by_quantity(none, "CY", None, None, [], figures.LIGHT)
    )
    assert "No low bid" in str(figure.layout.annotations)

"""A small invented letting for the tests of PDFs: four items, the estimate and four bidders."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.ingest.pdf.drawing import ESTIMATE, Item, Offer, Paper

ITEMS = [
    Item("202-00001", ("Removal of Bridge",), "EACH", "1.000"),
    Item("601-00002", ("Concrete (Bridge)",), "CY", "288.000"),
    Item("618-00003", ("Prestressed Box (Depth", "Less Than 30 Inches)"), "SF", "2,150.000"),
    Item("626-00004", ("Mobilization",), "L S", "1.000", "Part 0002 ROADWAY"),
]
OFFERS = [
    Offer(tuple(ESTIMATE), ("90,000.00000", "1,100.00000", "110.00000", "60,000.00000"), 0, "-EST-"),
    Offer(("NORTH FORK,", "INC."), ("97,250.00000", "1,050.00000", "98.00000", "55,000.00000"), 1, "34B"),
    Offer(("MAPLE BRIDGE", "COMPANY"), ("84,500.00000", "1,240.00000", "121.00000", "48,000.00000"), 2, "12A"),
    Offer(("Spruce & Daughters LLC",), ("99,000.00000", "1,300.50000", "125.25000", "70,000.00000"), 3, "771"),
    Offer(("THORN & CO",), ("120,000.00000", "1,400.00000", "131.12500", "71,000.00000"), 4, "8"),
]


@pytest.fixture
def paper(tmp_path: Path) -> Callable[..., Paper]:
    """A canvas for a PDF of that name in the temporary folder."""
    return lambda name="tab.pdf", **options: Paper(tmp_path / name, options=options)

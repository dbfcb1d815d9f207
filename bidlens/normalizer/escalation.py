"""Prices restated in the dollars of another quarter, by a cost index."""

from __future__ import annotations

import pandas as pd

from bidlens import quarters
from bidlens.findings import Finding
from bidlens.reference import CostIndex


def escalate(price: pd.Series, price_quarter: pd.Series, index: CostIndex, to_quarter: str) -> pd.Series:
    """Restate prices in dollars of `to_quarter`: price x I(to) / I(price_quarter).

    price, price_quarter : same row index, n rows; quarters as "2024Q2". A missing price, or a quarter outside the
        index, gives NaN.
    Raises MissingReference if `to_quarter` is outside the index.
    """
    return price.astype("float64") * index.ratios(price_quarter, to_quarter)


def with_adjusted_cost(frame: pd.DataFrame, index: CostIndex, dollars_of: str) -> pd.DataFrame:
    """Add letting_quarter, dollars_of, index_ratio and unit_cost_adjusted to rows with letting_date and unit_cost."""
    letting_quarter = quarters.quarters_of(frame["letting_date"])
    return frame.assign(
        letting_quarter=letting_quarter,
        dollars_of=dollars_of,
        index_ratio=index.ratios(letting_quarter, dollars_of),
        unit_cost_adjusted=escalate(frame["unit_cost"], letting_quarter, index, dollars_of),
    )


def index_findings(frame: pd.DataFrame, index: CostIndex) -> list[Finding]:
    """Lettings the index does not reach, and lettings it reaches only by forecast. One finding each kind."""
    place = frame["letting_quarter"].map(quarters.position)
    found = []
    for code, outside, words in (
        ("before_index", place < quarters.position(index.first), f"before it begins in {quarters.shown(index.first)}"),
        ("after_index", place > quarters.position(index.last), f"after it ends in {quarters.shown(index.last)}"),
    ):
        if outside.any():
            found.append(
                Finding(
                    code,
                    "check",
                    f"{_contracts(frame[outside])} let outside the index {index.name}, {words}: "
                    "the price as bid is shown, no adjusted price is given.",
                    "Use a longer index.",
                )
            )
    forecast = (place > quarters.position(index.last_published)) & (place <= quarters.position(index.last))
    if forecast.any():
        found.append(
            Finding(
                "letting_after_index",
                "note",
                f"{_contracts(frame[forecast])} let after the last published quarter of {index.name} "
                f"({quarters.shown(index.last_published)}): adjusted by its forecast.",
                "Import the index again when the quarter is published.",
            )
        )
    return found


def _contracts(rows: pd.DataFrame) -> str:
    """The contracts of some rows, at most five by name."""
    names = list(dict.fromkeys(rows["contract_id"]))
    more = f" and {len(names) - 5} more" if len(names) > 5 else ""
    verb = "was" if len(names) == 1 else "were"
    return f"{', '.join(names[:5])}{more} {verb}"

"""What the model holds before it sees a county's prices: slopes, spreads, and the grid it averages over.

The slopes are weakly informative: engineering ranges wide enough for a county to overrule. Signs and sizes follow the
published direction of each effect (larger decks and more bidders go with lower unit cost; USDA Forest Products
Laboratory research papers found superstructure unit cost highest for the shortest and the longest bridges).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

#: Geometry at which every geometry term is zero (the deck area term too), so that the intercept is a real bridge.
REFERENCE_SPAN_FT = 60.0
REFERENCE_DECK_AREA_SF = 2000.0
REFERENCE_BIDDERS = 5.0
MOST_BIDDERS = 8.0  # a ninth bidder adds nothing
REFERENCE_SKEW_DEG = 30.0


@dataclass(frozen=True, slots=True)
class FixedTerm:
    """One coefficient every structure shares, with its normal prior on the natural-log scale."""

    name: str
    prior_mean: float
    prior_sd: float


#: In design matrix order. The intercept's prior mean is the median of the response.
FIXED_TERMS: tuple[FixedTerm, ...] = (
    FixedTerm("intercept", 0.0, 1.0),
    FixedTerm("ln span", 0.10, 0.20),
    FixedTerm("ln deck area", -0.15, 0.12),
    FixedTerm("per bidder", -0.025, 0.02),
    FixedTerm("skew", 0.05, 0.08),
    FixedTerm("ln span squared", 0.15, 0.15),
    FixedTerm("index departure", 0.0, 0.20),
)
INTERCEPT, SPAN, AREA, BIDDERS, SKEW, SPAN_SQUARED, DEPARTURE = range(len(FIXED_TERMS))

#: Scatter of one letting about its expectation: inverse gamma, shape A0, scale near S0 (6 pseudo degrees of freedom).
S0 = 0.22
A0 = 3.0
B0 = A0 * S0**2

#: Student-t likelihood: degrees of freedom of one letting's scatter.
NOISE_DF = 5.0

#: Spread between types, of single market years, and of the yearly step of the price level; every combination is a cell.
TYPE_SD = (0.08, 0.16, 0.30, 0.50)
YEAR_SD = (0.03, 0.06, 0.10, 0.15)
STEP_SD = (0.01, 0.03, 0.06)
GRID = np.array(list(product(TYPE_SD, YEAR_SD, STEP_SD)))
HYPER_SCALE = np.array([0.30, 0.15, 0.08])  # half-normal scale of each spread
LOG_HYPERPRIOR = -0.5 * np.sum((GRID / HYPER_SCALE) ** 2, axis=1)

#: Cells holding less of the evidence than this are dropped and the rest made to sum to one.
LEAST_CELL_SHARE = 0.005

#: Added standard deviation per unit of ln span outside the spans on record for the type.
EXTRAPOLATION_SD = 0.20

#: Screening of rows that no reweighting should carry.
SCREEN_Z_SMALL, SCREEN_Z_LARGE, SCREEN_LARGE_FROM = 3.5, 4.5, 100
SCREEN_SHARE = 0.15

#: Rows needed: for any prediction, to drop the word indicative, for cross-checks, for the conformal touch-up.
ROWS_FOR_PREDICTION = 4
ROWS_NOT_INDICATIVE = 12
ROWS_FOR_OLS_CHECK = 25
ROWS_FOR_MIXED_CHECK = 60
ROWS_FOR_TOUCH_UP = 300


def support(rows: int) -> str:
    """What a history of this many priced structures carries, in words."""
    steps = (
        (ROWS_FOR_PREDICTION, "published ranges only"),
        (ROWS_NOT_INDICATIVE, "indicative"),
        (ROWS_FOR_OLS_CHECK, "no type findings"),
        (ROWS_FOR_MIXED_CHECK, "checked against ordinary regression"),
        (ROWS_FOR_TOUCH_UP, "checked against mixed and robust regression"),
    )
    return next((label for below, label in steps if rows < below), "checked, and widths tuned to its own record")

"""Geometry as the model sees it, and what stands in for a span, deck area or bidder count nobody wrote down.

A missing span becomes the span expected of its deck area and type, from the structures whose span is known; the doubt
in it is carried as variance. Where no span is known at all, span is left out of every comparison.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bidlens.model import priors
from bidlens.model.rows import Geometry, Rows

#: Standard deviation of ln span about its expectation, assumed as if it came from three structures.
_SPAN_SD, _SPAN_SD_ROWS = 0.30, 3.0
#: ln span moves about half as much as ln deck area: a wide prior, since several spans may share one deck.
_AREA_SLOPE, _AREA_SLOPE_SD, _TYPE_SD = 0.5, 0.3, 0.4


@dataclass(frozen=True, slots=True, eq=False)
class Terms:
    """The geometry terms of n structures, and the variance of those that were filled in.

    span, span_squared, area, bidders, skew : values of the fixed terms, n each.
    span_variance, area_variance, bidders_variance : zero where the value is known.
    """

    span: np.ndarray
    span_squared: np.ndarray
    area: np.ndarray
    bidders: np.ndarray
    skew: np.ndarray
    span_variance: np.ndarray
    area_variance: np.ndarray
    bidders_variance: np.ndarray


@dataclass(frozen=True, slots=True, eq=False)
class Filler:
    """What a history says about values that are missing.

    types : types in design order; span_by_type : expected ln(span/60) at the reference deck area, one per type.
    spans_known : structures with a span. bidders_median is None where no bidder count is known at all.
    """

    types: tuple[str, ...]
    spans_known: int
    span_middle: float
    span_slope: float
    span_by_type: np.ndarray
    span_variance: float
    area_middle: float
    area_by_type: np.ndarray
    area_variance: float
    bidders_median: float | None
    bidders_variance: float

    def terms(self, geometry: Geometry) -> Terms:
        """Terms of n structures, missing values filled in. Unknown skew counts as none."""
        codes = code_types(geometry.superstructure, self.types)
        area, area_variance = self._area(geometry.deck_area_sf, codes)
        span, span_variance = self._span(geometry.span_ft, area, codes)
        bidders, bidders_variance = self._bidders(geometry.bidders)
        return Terms(
            span=span,
            span_squared=span**2 + span_variance,
            area=area,
            bidders=bidders,
            skew=(np.nan_to_num(geometry.skew_deg) / priors.REFERENCE_SKEW_DEG) ** 2,
            span_variance=span_variance,
            area_variance=area_variance,
            bidders_variance=bidders_variance,
        )

    def _area(self, deck_area_sf: np.ndarray, codes: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        known = np.isfinite(deck_area_sf)
        usual = np.append(self.area_by_type, self.area_middle)[codes]
        return np.where(known, log_area(deck_area_sf), usual), np.where(known, 0.0, self.area_variance)

    def _span(self, span_ft: np.ndarray, area: np.ndarray, codes: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        if not self.spans_known:
            return np.zeros(len(span_ft)), np.zeros(len(span_ft))
        known = np.isfinite(span_ft)
        usual = np.append(self.span_by_type, self.span_middle)[codes] + self.span_slope * area
        return np.where(known, log_span(span_ft), usual), np.where(known, 0.0, self.span_variance)

    def _bidders(self, bidders: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        if self.bidders_median is None:
            return np.zeros(len(bidders)), np.zeros(len(bidders))
        known = np.isfinite(bidders)
        counted = np.minimum(np.where(known, bidders, self.bidders_median), priors.MOST_BIDDERS)
        return counted - priors.REFERENCE_BIDDERS, np.where(known, 0.0, self.bidders_variance)


def log_span(span_ft: np.ndarray) -> np.ndarray:
    """ln of span over the reference span; NaN stays NaN."""
    return np.asarray(np.log(np.asarray(span_ft, dtype=float) / priors.REFERENCE_SPAN_FT))


def log_area(deck_area_sf: np.ndarray) -> np.ndarray:
    """ln of deck area over the reference area; NaN stays NaN."""
    return np.asarray(np.log(np.asarray(deck_area_sf, dtype=float) / priors.REFERENCE_DECK_AREA_SF))


def code_types(names: np.ndarray, types: tuple[str, ...]) -> np.ndarray:
    """Place of each name among the types; -1 for a type without history."""
    place = {name: code for code, name in enumerate(types)}
    return np.array([place.get(str(name), -1) for name in names], dtype=int)


def learn_filler(rows: Rows) -> Filler:
    """What n usable rows say about missing values."""
    area = log_area(rows.geometry.deck_area_sf)
    bidders = rows.geometry.bidders[np.isfinite(rows.geometry.bidders)]
    counted = np.minimum(bidders, priors.MOST_BIDDERS)
    middle, slope, by_type, variance, known = _span_expected(rows, area)
    area_middle = float(np.median(area)) if len(area) else 0.0
    return Filler(
        types=rows.types,
        spans_known=known,
        span_middle=middle,
        span_slope=slope,
        span_by_type=by_type,
        span_variance=variance,
        area_middle=area_middle,
        area_by_type=np.array([np.median(area[rows.type_code == code]) for code in range(len(rows.types))]),
        area_variance=float(np.var(area, ddof=1)) if len(area) > 1 else 1.0,
        bidders_median=float(np.median(counted)) if len(counted) else None,
        bidders_variance=float(np.var(counted, ddof=1)) if len(counted) > 1 else 0.0,
    )


def _span_expected(rows: Rows, area: np.ndarray) -> tuple[float, float, np.ndarray, float, int]:
    """ln span given deck area and type: a small regression whose type effects are drawn toward the middle."""
    known = np.isfinite(rows.geometry.span_ft)
    count = len(rows.types)
    if not known.any():
        return 0.0, 0.0, np.zeros(count), 0.0, 0
    span = log_span(rows.geometry.span_ft[known])
    design = np.zeros((len(span), 2 + count))
    design[:, 0], design[:, 1] = 1.0, area[known]
    design[np.arange(len(span)), 2 + rows.type_code[known]] = 1.0
    precision = _SPAN_SD**2 / np.array([10.0**2, _AREA_SLOPE_SD**2, *[_TYPE_SD**2] * count])
    prior = np.array([0.0, _AREA_SLOPE, *[0.0] * count])
    expected = np.linalg.solve(design.T @ design + np.diag(precision), design.T @ span + precision * prior)
    residual = span - design @ expected
    variance = (float(residual @ residual) + _SPAN_SD_ROWS * _SPAN_SD**2) / (len(span) + _SPAN_SD_ROWS)
    return float(expected[0]), float(expected[1]), expected[0] + expected[2:], variance, len(span)


def row_weights(terms: Terms) -> np.ndarray:
    """Weight of each of n rows before any robustness: below one where a filled-in span adds scatter of its own."""
    span, squared = priors.FIXED_TERMS[priors.SPAN], priors.FIXED_TERMS[priors.SPAN_SQUARED]
    slope_square = (
        (span.prior_mean + 2 * squared.prior_mean * terms.span) ** 2
        + span.prior_sd**2
        + (2 * squared.prior_sd * terms.span) ** 2
    )
    return np.asarray(priors.S0**2 / (priors.S0**2 + slope_square * terms.span_variance))

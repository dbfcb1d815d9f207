"""What a letting of this bridge would be expected to cost, and where the like-for-like offer sits in that."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import stdtr, stdtrit

from bidlens import quarters
from bidlens.model import CostModel
from bidlens.proposal.dollars import QuotedDollars
from bidlens.proposal.geometry import OfferGeometry

QUANTILES = ("p05", "p10", "p25", "p50", "p75", "p90", "p95")
_CURVE_POINTS = 60


@dataclass(frozen=True, slots=True, eq=False)
class Expected:
    """Expected unit cost of one bridge, $/sf in dollars of the base quarter.

    prices : p05 p10 p25 p50 p75 p90 p95 mean; None where the model gives none. df : of the Student-t on the log scale.
    """

    prices: dict[str, float] | None
    grade: str
    reason: str
    df: float = math.nan

    def share_lower(self, per_sf: np.ndarray | float) -> float:
        """Share of like lettings that would come in below a price, 0 to 1; the mean over equally likely prices.

        A price that is not above zero has none below it. NaN where the model gives nothing.
        """
        if self.prices is None:
            return math.nan
        points = np.atleast_1d(np.asarray(per_sf, dtype=float))
        scale = math.log(self.prices["p95"] / self.prices["p50"]) / stdtrit(self.df, 0.95)
        logs = np.log(np.maximum(points, 1e-9) / self.prices["p50"])
        return float(stdtr(self.df, logs / scale).mean())


def offer_row(geometry: OfferGeometry, kind: str, dollars: QuotedDollars) -> pd.DataFrame:
    """The offered bridge as a row the model takes, let on the day the quoted dollars are of; bidders not known."""
    return pd.DataFrame(
        {
            "superstructure": [kind],
            "deck_area_sf": [geometry.deck_area_sf],
            "span_ft": [geometry.span_ft],
            "skew_deg": [geometry.skew_deg],
            "bidders": [np.nan],
            "letting_date": [pd.Timestamp(dollars.date)],
        }
    )


def expected_cost(model: CostModel | None, row: pd.DataFrame, dollars: QuotedDollars) -> Expected:
    """What the model expects of the bridge, brought from the dollars of its letting date to the base quarter.

    model : fitted with a cost index, so that it predicts in dollars of the letting date; None: nothing on record.
    """
    if model is None:
        return Expected(None, "D", "no priced structure on record")
    predicted = model.predict(row).iloc[0]
    prices = {name: float(predicted[name]) * dollars.ratio for name in (*QUANTILES, "mean")}
    known = all(math.isfinite(price) for price in prices.values())
    reason = _without_bidders(str(predicted["reason"]))
    return Expected(prices if known else None, str(predicted["grade"]), reason, float(predicted["df"]))


def _without_bidders(reason: str) -> str:
    """The model's reason without the bidder count, which nobody can know of an offer."""
    return "; ".join(part for part in reason.split("; ") if part != "number of bidders not known")


def curve_at_width(
    model: CostModel, geometry: OfferGeometry, kind: str, dollars: QuotedDollars, spans_on_record: pd.Series
) -> pd.DataFrame:
    """Expected $/sf against span at the offer's width and number of spans, over the spans on record.

    Returns span_ft, p05 to p95 in dollars of the base quarter, and in_range: whether the span lies within those of the
    offered type. Empty where no width or no span is known.
    """
    known = [*spans_on_record.dropna(), *([geometry.span_ft] if math.isfinite(geometry.span_ft) else [])]
    if not known or not math.isfinite(geometry.width_ft):
        return pd.DataFrame(columns=["span_ft", *QUANTILES, "in_range"])
    spans = np.geomspace(min(known), max(known), _CURVE_POINTS)
    rows = offer_row(geometry, kind, dollars).loc[[0] * _CURVE_POINTS].reset_index(drop=True)
    rows = rows.assign(span_ft=spans, deck_area_sf=spans * geometry.spans * geometry.width_ft)
    prices = model.predict(rows)[list(QUANTILES)] * dollars.ratio
    own = model.span_range(kind)
    in_range = (spans >= own[0]) & (spans <= own[1]) if own else np.zeros(_CURVE_POINTS, dtype=bool)
    return pd.concat([pd.DataFrame({"span_ft": spans}), prices], axis=1).assign(in_range=in_range)


def years_before(last: pd.Timestamp, dollars: QuotedDollars) -> float:
    """Years from the last letting on record to the quarter the offer is in."""
    ahead = quarters.position(dollars.quarter) - quarters.position(quarters.quarter_of(last.date()))
    return ahead / 4

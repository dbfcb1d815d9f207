"""The hidden truth behind the low bids' superstructure prices, and the cost index it runs on.

    ln(cost/sf) = alpha + ln I(quarter) + b1 ln(span/60) + b2 ln(area/2000) + b3 (min(bidders, 8) - 5)
                + b4 (skew/30)^2 + b5 ln(span/60)^2 + type effect + year effect + s t(5)

I is the published raw National Highway Construction Cost Index (2003Q1 = 1); all else is invented. The signs follow
published relations (dearer per square foot when small, when skewed, when few bid); the sizes are our choice.
"""

from __future__ import annotations

import datetime as dt
import math

from _make.chance import Chance
from bidlens.reference import CostIndex, load_shipped_index

ALPHA = 3.80
B1_LN_SPAN = 0.12
B2_LN_AREA = -0.14
B3_BIDDERS = -0.03
B4_SKEW = 0.05
B5_LN_SPAN_SQUARED = 0.12
NOISE_S = 0.14
NOISE_LIMIT = 2.4  # the invented t(5) is cut here, so that the only outlier is the one that is planned
#: Not in step with usual spans: were the short-span types the cheap ones, a model that pools types could not tell
#: type from span, and no test could blame it.
TYPE_EFFECT = {
    "rolled steel beam": 0.00,
    "adjacent box beam": -0.10,
    "concrete slab": -0.01,
    "prestressed I-beam": -0.08,
    "timber": -0.14,
    "steel plate girder": 0.06,
}
YEAR_EFFECT_SD = 0.035
YEARS = range(2012, 2027)
EMERGENCY = 0.78  # added to the log price of the one emergency job

INDEX: CostIndex = load_shipped_index("nhcci")


def quarter_of(day: dt.date) -> str:
    return f"{day.year}Q{(day.month - 1) // 3 + 1}"


def year_effect(year: int) -> float:
    """What the market of a year adds to the log price; from the seed."""
    return round(Chance("year effect", year).normal(0, YEAR_EFFECT_SD), 4)


def index_at(day: dt.date) -> float:
    """The published index in the quarter of a day."""
    return INDEX.at(quarter_of(day))


def log_unit_cost(
    superstructure: str, span_ft: float, deck_area_sf: float, skew_deg: float, bidders: int, day: dt.date
) -> float:
    """ln of the true middle price, $/sf of deck on the superstructure basis, before noise."""
    ln_span = math.log(span_ft / 60)
    return (
        ALPHA
        + math.log(index_at(day))
        + B1_LN_SPAN * ln_span
        + B2_LN_AREA * math.log(deck_area_sf / 2000)
        + B3_BIDDERS * (min(bidders, 8) - 5)
        + B4_SKEW * (skew_deg / 30) ** 2
        + B5_LN_SPAN_SQUARED * ln_span**2
        + TYPE_EFFECT[superstructure]
        + year_effect(day.year)
    )


def lead_bridge() -> dict[str, object]:
    """The lead example's bridge and its true middle price in the index's last quarter, in a year like any other."""
    span_ft, area_sf, bidders, day = 62.0, 62 * 28.0, 4, dt.date(2026, 3, 31)
    ln_price = log_unit_cost("rolled steel beam", span_ft, area_sf, 0.0, bidders, day) - year_effect(day.year)
    return {
        "structure_id": "K-117",
        "superstructure": "rolled steel beam",
        "span_ft": span_ft,
        "deck_area_sf": area_sf,
        "bidders": bidders,
        "quarter": quarter_of(day),
        "middle_unit_cost": round(math.exp(ln_price), 2),
    }


def coefficients() -> dict[str, object]:
    """Everything the truth is made of, for truth.json."""
    return {
        "alpha": ALPHA,
        "b1_ln_span_over_60": B1_LN_SPAN,
        "b2_ln_area_over_2000": B2_LN_AREA,
        "b3_bidders_less_5": B3_BIDDERS,
        "b4_skew_over_30_squared": B4_SKEW,
        "b5_ln_span_over_60_squared": B5_LN_SPAN_SQUARED,
        "noise_s": NOISE_S,
        "noise_df": 5,
        "noise_t_cut_at": NOISE_LIMIT,
        "emergency_log_addition": EMERGENCY,
        "type_effect": TYPE_EFFECT,
        "year_effect": {str(year): year_effect(year) for year in YEARS},
        "index": INDEX.name,
        "index_release": INDEX.release,
        "index_seasonally_adjusted": INDEX.seasonally_adjusted,
    }

"""The cost model against counties whose prices follow a known law, drawn with many seeds.

The law and the counties are the sample county's generator's own, which knows nothing of the model. The bound of 2.5
posterior standard deviations is ours: of five slopes in twenty counties about one would pass it by chance alone.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator

import pandas as pd
import pytest

from bidlens import quarters
from bidlens.model import fit_cost_model
from bidlens.reference import load_shipped_index
from tests.sample.reading import SAMPLE

SEEDS = range(20)
SLOPES = {
    "ln span": "B1_LN_SPAN",
    "ln deck area": "B2_LN_AREA",
    "per bidder": "B3_BIDDERS",
    "skew": "B4_SKEW",
    "ln span squared": "B5_LN_SPAN_SQUARED",
}
INDEX = load_shipped_index("nhcci")


@pytest.fixture(scope="module")
def distances() -> Iterator[pd.DataFrame]:
    """Posterior mean less truth, in posterior standard deviations: one row per county, one column per slope."""
    sys.path.insert(0, str(SAMPLE))
    try:
        from _make import chance, truth

        shipped = chance.SEED
        rows = []
        for seed in SEEDS:
            chance.SEED = seed
            found = fit_cost_model(county(), INDEX).coefficients.set_index("term")
            rows.append({
                slope: (found.loc[slope, "mean"] - getattr(truth, name)) / found.loc[slope, "sd"]
                for slope, name in SLOPES.items()
            })  # fmt: skip
        chance.SEED = shipped
        yield pd.DataFrame(rows, index=list(SEEDS))
    finally:
        sys.path.remove(str(SAMPLE))


def county() -> pd.DataFrame:
    """The history as it is before a file is written: true prices, one row per bridge."""
    from _make.low_bid import price_low_bid
    from _make.plan import contracts
    from _make.superstructures import area_sf

    rows = [
        {
            "contract_id": contract.contract_id,
            "structure_id": cost.bridge.structure_id,
            "letting_date": pd.Timestamp(contract.letting_date),
            "superstructure": cost.bridge.superstructure,
            "deck_area_sf": area_sf(cost.bridge),
            "span_ft": cost.bridge.span_ft,
            "skew_deg": float(cost.bridge.skew_deg),
            "bidders": float(contract.bidders),
            "unit_cost": cost.unit_cost,
        }
        for contract in contracts()
        if contract.award == "Awarded"
        for cost in price_low_bid(contract).costs
    ]
    frame = pd.DataFrame(rows)
    ratio = INDEX.ratios(quarters.quarters_of(frame["letting_date"]), "2026Q1")
    return frame.assign(index_ratio=ratio, unit_cost_adjusted=frame["unit_cost"] * ratio)


def test_slopes_are_found_within_two_and_a_half_posterior_sd_with_nearly_every_seed(distances: pd.DataFrame) -> None:
    assert (distances.abs() <= 2.5).to_numpy().mean() >= 0.96


def test_no_slope_is_found_off_to_one_side_over_many_counties(distances: pd.DataFrame) -> None:
    # The mean of twenty distances of about unit spread has a standard error of 0.22; priors pull a little.
    assert distances.mean().abs().max() < 1.0


def test_posterior_spread_is_neither_far_too_small_nor_far_too_large(distances: pd.DataFrame) -> None:
    assert 0.4 < float(distances.to_numpy().std()) < 1.5

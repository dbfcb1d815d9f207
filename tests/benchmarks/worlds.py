"""Invented counties whose truth is known, to judge predictions by: histories, and the lettings of the year after.

A world draws its own type levels, slopes, scatter, market years and counts per type. The truth is smooth but not of the
model's form: every type has a span it suits best, and the price level departs from the index. Lettings to be foretold
fall in the year after the history, so that its market is unseen. Escalation is the published index (FHWA NHCCI).

Kinds: `clean`; `bad rows`, where a tenth of the history is priced wrong by a factor; `hostile`, where slopes and
spreads lie outside what the model assumes beforehand.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bidlens import quarters
from bidlens.reference import CostIndex, load_shipped_index

KINDS = ("clean", "bad rows", "hostile")
TYPES = 8
#: Types by place: the last has no row in any history, the two before it one to four, the rest share what is left.
UNSEEN, THIN = TYPES - 1, (TYPES - 3, TYPES - 2)
#: Chance that a letting to be foretold is of the unseen type, and of each thin one.
UNSEEN_CHANCE, THIN_CHANCE = 0.08, 0.08
TESTS = 20
#: Scatter of ln span within a type: two thirds of a type's spans lie within a factor 1.4 of its middle.
SPAN_SD = 0.33
#: A bad row is wrong by a factor between these: twice the work, up to square metres taken for square feet.
WRONG_BY = (2.0, 10.8)
YEARS = 13


@dataclass(frozen=True, slots=True, eq=False)
class Truth:
    """What a world's prices follow, on the natural-log scale; arrays have one value a type."""

    level: float
    type_effect: np.ndarray
    share: np.ndarray
    usual_span_ft: np.ndarray
    best_log_span: np.ndarray
    span_slope: float
    span_curve: float
    area_slope: float
    bidder_slope: float
    skew_slope: float
    departure: float
    market_sd: float
    step_sd: float
    scatter: float


@dataclass(frozen=True, slots=True, eq=False)
class World:
    """history and target : frames as `fit_cost_model` and `predict` take them; actual : prices of the target, $/sf.

    expected : what the target would cost by the truth, market year known: the floor nobody can beat.
    """

    history: pd.DataFrame
    target: pd.DataFrame
    actual: np.ndarray
    expected: np.ndarray
    truth: Truth
    index: CostIndex


def draw_world(rng: np.random.Generator, rows: int, kind: str = "clean") -> World:
    """A county with `rows` priced structures in 13 letting years, and 20 lettings in the year after."""
    truth = _draw_hostile(rng) if kind == "hostile" else _draw_truth(rng)
    index = load_shipped_index()
    first_year = int(rng.integers(2003, 2025 - YEARS + 1))
    level = np.cumsum(rng.normal(0, truth.step_sd, YEARS + 1)) + rng.normal(0, truth.market_sd, YEARS + 1)
    years = first_year + rng.integers(0, YEARS, rows)
    history = _structures(rng, truth, _types_on_record(rng, truth, rows), years)
    asked = rng.choice(TYPES, TESTS, p=_asked_shares(truth))
    target = _structures(rng, truth, asked, np.full(TESTS, first_year + YEARS))
    past = _expected(truth, history, level[years - first_year], index)
    future = _expected(truth, target, np.full(TESTS, level[-1]), index)
    paid = past + _scatter(rng, truth, rows)
    if kind == "bad rows":
        wrong = rng.random(rows) < 0.10
        paid = paid + wrong * rng.choice([-1, 1], rows) * rng.uniform(*np.log(WRONG_BY), rows)
    history = history.assign(unit_cost=np.exp(paid), contract_id=[f"K-{row:05d}" for row in range(rows)])
    actual = np.exp(future + _scatter(rng, truth, TESTS))
    return World(history, target, actual, np.exp(future), truth, index)


def _draw_truth(rng: np.random.Generator) -> Truth:
    usual = np.exp(rng.uniform(np.log(25), np.log(110), TYPES))
    return Truth(
        level=float(np.log(rng.uniform(80, 140))),
        type_effect=rng.normal(0, rng.uniform(0.12, 0.35), TYPES),
        share=rng.dirichlet(np.full(TYPES - 3, 1.5)),
        usual_span_ft=usual,
        best_log_span=np.log(usual / 60) + rng.normal(0, 0.15, TYPES),
        span_slope=float(rng.uniform(-0.10, 0.35)),
        span_curve=float(rng.uniform(0.0, 0.35)),
        area_slope=float(rng.uniform(-0.30, -0.05)),
        bidder_slope=float(rng.uniform(-0.05, 0.0)),
        skew_slope=float(rng.uniform(-0.02, 0.12)),
        departure=float(rng.normal(0, 0.10)),
        market_sd=float(rng.uniform(0.02, 0.08)),
        step_sd=float(rng.uniform(0.0, 0.04)),
        scatter=float(rng.uniform(0.14, 0.22)),
    )


def _draw_hostile(rng: np.random.Generator) -> Truth:
    usual = np.exp(rng.uniform(np.log(25), np.log(110), TYPES))
    return Truth(
        level=float(np.log(rng.uniform(80, 140))),
        type_effect=rng.normal(0, rng.uniform(0.35, 0.60), TYPES),
        share=rng.dirichlet(np.full(TYPES - 3, 1.5)),
        usual_span_ft=usual,
        best_log_span=np.log(usual / 60) + rng.normal(0, 0.15, TYPES),
        span_slope=float(rng.choice([-1, 1]) * rng.uniform(0.35, 0.60)),
        span_curve=float(rng.uniform(0.3, 0.6)),
        area_slope=float(rng.uniform(-0.55, -0.40)),
        bidder_slope=float(rng.uniform(-0.10, -0.07)),
        skew_slope=float(rng.uniform(0.20, 0.30)),
        departure=float(rng.choice([-1, 1]) * rng.uniform(0.3, 0.4)),
        market_sd=float(rng.uniform(0.08, 0.14)),
        step_sd=float(rng.uniform(0.02, 0.06)),
        scatter=float(rng.uniform(0.13, 0.22)),
    )


def _types_on_record(rng: np.random.Generator, truth: Truth, rows: int) -> np.ndarray:
    """Type of each row of a history: thin types first, then the common ones by their shares."""
    most = max(min(4, rows // 5), 1)
    thin = [which for which in THIN for _ in range(int(rng.integers(1, most + 1)))]
    common = rng.choice(len(truth.share), rows - len(thin), p=truth.share)
    return np.concatenate([thin, common]).astype(int)


def _asked_shares(truth: Truth) -> np.ndarray:
    rare = UNSEEN_CHANCE + THIN_CHANCE * len(THIN)
    return np.concatenate([truth.share * (1 - rare), np.full(len(THIN), THIN_CHANCE), [UNSEEN_CHANCE]])


def _structures(rng: np.random.Generator, truth: Truth, kind: np.ndarray, years: np.ndarray) -> pd.DataFrame:
    """Geometry, bidders and letting dates; several short spans may share a deck."""
    count = len(years)
    span = truth.usual_span_ft[kind] * np.exp(rng.normal(0, SPAN_SD, count))
    spans = rng.choice([1, 2, 3], count, p=[0.75, 0.10, 0.15])
    month = rng.integers(1, 13, count)
    return pd.DataFrame(
        {
            "superstructure": [f"type {which}" for which in kind],
            "letting_date": pd.to_datetime({"year": years, "month": month, "day": np.full(count, 15)}),
            "deck_area_sf": span * spans * rng.uniform(24, 36, count),
            "span_ft": span,
            "skew_deg": np.where(rng.random(count) < 0.5, 0.0, rng.uniform(0, 45, count).round()),
            "bidders": rng.integers(1, 8, count).astype(float),
        }
    )


def _expected(truth: Truth, frame: pd.DataFrame, market: np.ndarray, index: CostIndex) -> np.ndarray:
    """ln $/sf by the truth, n values, in dollars of each letting."""
    kind = frame["superstructure"].str.removeprefix("type ").astype(int).to_numpy()
    log_span = np.log(frame["span_ft"].to_numpy() / 60)
    escalation = np.log([index.at(quarter) for quarter in quarters.quarters_of(frame["letting_date"])])
    return np.asarray(
        truth.level
        + truth.type_effect[kind]
        + truth.span_slope * log_span
        + truth.span_curve * (log_span - truth.best_log_span[kind]) ** 2
        + truth.area_slope * np.log(frame["deck_area_sf"].to_numpy() / 2000)
        + truth.bidder_slope * (frame["bidders"].to_numpy() - 4)
        + truth.skew_slope * (frame["skew_deg"].to_numpy() / 30) ** 2
        + (1 + truth.departure) * escalation
        + market
    )


def _scatter(rng: np.random.Generator, truth: Truth, count: int) -> np.ndarray:
    """Student-t(5), and two jobs in a hundred that really were half as dear again, or twice as cheap."""
    odd = rng.random(count) < 0.02
    return truth.scatter * rng.standard_t(5, count) + odd * rng.choice([-1, 1], count) * rng.uniform(0.4, 0.9, count)

"""Dollars per square foot of deck in the year against the years before: by type, and why the average changed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bidlens.findings import Unavailable

TYPE_COLUMNS = ("basis", "superstructure", "n_year", "deck_area_sf_year", "year_per_sf", "year_adjusted_per_sf",
                "year_at_reference_span", "n_before", "before_adjusted_per_sf", "before_at_reference_span",
                "change")  # fmt: skip

#: Structures the years before and the year must hold before a change of the average is explained; judgement.
BEFORE_FROM, YEAR_FROM = 4, 2


def ratio_of_sums(frame: pd.DataFrame, column: str) -> float:
    """All dollars over all deck area; a mean of averages is not an average. Source: FHWA replacement cost criteria."""
    known = frame[frame[column].notna() & frame["deck_area_sf"].gt(0)]
    area = float(known["deck_area_sf"].sum())
    return float((known[column] * known["deck_area_sf"]).sum()) / area if area > 0 else float("nan")


def by_type(history: pd.DataFrame, basis: str, year: int, before: tuple[int, int]) -> pd.DataFrame:
    """TYPE_COLUMNS: one row per type let in the year, then one of all types (superstructure "all types").

    history : HISTORY rows of one basis; unit_cost_at_reference_span may be missing. before : first and last year
    compared with. change : adjusted, year over years before, less one.
    """
    years = history["letting_date"].dt.year
    mine, earlier = history[years == year], history[years.between(*before)]
    kinds = mine["superstructure"].value_counts().index.tolist()
    rows = [_type_row(basis, kind, mine, earlier) for kind in [*kinds, "all types"]] if len(mine) else []
    return pd.DataFrame(rows, columns=list(TYPE_COLUMNS))


def _type_row(basis: str, kind: str, mine: pd.DataFrame, earlier: pd.DataFrame) -> tuple[object, ...]:
    if kind != "all types":
        mine, earlier = mine[mine["superstructure"] == kind], earlier[earlier["superstructure"] == kind]
    now, then = ratio_of_sums(mine, "unit_cost_adjusted"), ratio_of_sums(earlier, "unit_cost_adjusted")
    at_span = "unit_cost_at_reference_span"
    has = at_span in mine
    return (
        basis, kind, len(mine), float(mine["deck_area_sf"].sum()), ratio_of_sums(mine, "unit_cost"), now,
        ratio_of_sums(mine, at_span) if has else float("nan"), len(earlier), then,
        ratio_of_sums(earlier, at_span) if has else float("nan"), now / then - 1 if then > 0 else float("nan"),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a change, $/sf; `note` says what it rests on."""

    what: str
    per_sf: float
    note: str


@dataclass(frozen=True, slots=True)
class ChangeExplained:
    """Why the average $/sf as let went from `before` to `after`: before + parts = after, exactly."""

    before: float
    after: float
    n_before: int
    n_after: int
    parts: tuple[Part, ...]


Predict = Callable[[pd.DataFrame], pd.Series]


def change_explained(
    before: pd.DataFrame, after: pd.DataFrame, predict: Predict | None
) -> ChangeExplained | Unavailable:
    """Split the change of the average $/sf as let into index, price of the same work, types, geometry, competition.

    before, after : HISTORY rows of one basis. predict : middle $/sf expected in base-quarter dollars of structures with
    superstructure, deck_area_sf, span_ft, skew_deg, bidders; None where there is no model.

    The average is dollars over deck area. With d the year's index level, R the average in base dollars and g, t, c the
    ratios of expected averages by geometry, type and bidders: after = before + R0 (d1 - d0) + R0 d1 (p g t c - 1),
    p being what the model does not explain. Each part takes the ones before as given.
    """
    before, after = _usable(before), _usable(after)
    if len(before) < BEFORE_FROM or len(after) < YEAR_FROM:
        return Unavailable(
            f"{len(before)} priced structures before and {len(after)} in the year; it takes {BEFORE_FROM} and "
            f"{YEAR_FROM}"
        )
    if predict is None:
        return Unavailable("there is too little history to say what the mix of types and spans is worth")
    ratios = _expected_ratios(before, after, predict)
    if isinstance(ratios, Unavailable):
        return ratios
    geometry, types, bidders = ratios
    nominal0, nominal1 = ratio_of_sums(before, "unit_cost"), ratio_of_sums(after, "unit_cost")
    real0, real1 = ratio_of_sums(before, "unit_cost_adjusted"), ratio_of_sums(after, "unit_cost_adjusted")
    level = nominal1 / real1
    same_work = real1 / (real0 * geometry * types * bidders)
    ends = np.cumprod([real0 * level, same_work, types, geometry, bidders])
    steps = np.diff([nominal0, *ends])
    notes = _notes(before, after)
    names = ("Cost index", "Same work", "Types let", "Spans and sizes", "Bidders")
    parts = [Part(name, float(step), note) for name, step, note in zip(names, steps, notes, strict=True)]
    return ChangeExplained(nominal0, nominal1, len(before), len(after), tuple(parts))


def _usable(frame: pd.DataFrame) -> pd.DataFrame:
    known = frame[["unit_cost", "unit_cost_adjusted", "deck_area_sf"]].notna().all(axis=1)
    return frame[known & frame["deck_area_sf"].gt(0)].reset_index(drop=True)


def _expected_ratios(
    before: pd.DataFrame, after: pd.DataFrame, predict: Predict
) -> tuple[float, float, float] | Unavailable:
    """After over before of the expected average: by geometry, by type beyond it, by bidders beyond both."""
    both = pd.concat([before, after], ignore_index=True)
    is_after = np.arange(len(both)) >= len(before)
    kind = both["superstructure"].value_counts().index[0]
    middle = float(both["bidders"].median())
    variants = (
        both.assign(superstructure=kind, bidders=middle),
        both.assign(bidders=middle),
        both,
    )
    averages = []
    for variant in variants:
        expected = np.asarray(predict(variant), dtype=float)
        if not np.all(np.isfinite(expected) & (expected > 0)):
            return Unavailable("the model gives no expected price for every structure")
        dollars = expected * both["deck_area_sf"].to_numpy(float)
        area = both["deck_area_sf"].to_numpy(float)
        averages.append([dollars[rows].sum() / area[rows].sum() for rows in (~is_after, is_after)])
    geometry, typed, all_of_it = (later / earlier for earlier, later in averages)
    return geometry, typed / geometry, all_of_it / typed


def _notes(before: pd.DataFrame, after: pd.DataFrame) -> tuple[str, ...]:
    spans = [frame["span_ft"].median() for frame in (before, after)]
    bids = [frame["bidders"].mean() for frame in (before, after)]
    kinds = [frame["superstructure"].nunique() for frame in (before, after)]
    span = f"median {spans[0]:.0f} to {spans[1]:.0f} ft" if np.all(np.isfinite(spans)) else "spans not all known"
    count = f"{bids[0]:.1f} to {bids[1]:.1f} on average; association" if np.all(np.isfinite(bids)) else "not all known"
    return (
        "average letting to average letting",
        "what index, mix and bidders do not explain",
        f"{kinds[0]}, then {kinds[1]} types",
        span,
        count,
    )

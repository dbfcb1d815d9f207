"""Why the average $/sf changed: price, mix and competition, in parts that add up."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bidlens.findings import Unavailable
from bidlens.letting.years import Years
from bidlens.normalizer import ratio_of_sums

#: Structures the time before and the time after must hold before a change of the average is explained; judgement.
BEFORE_FROM, AFTER_FROM = 4, 2

#: The parts in the order they are worked out, and what each belongs to.
PARTS = {"Cost index": "price", "Same work": "price", "Types let": "mix", "Spans and sizes": "mix",
         "Bidders": "competition"}  # fmt: skip


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

    def of(self, kind: str) -> float:
        """The sum of the parts of one kind: price, mix or competition; $/sf."""
        return sum(part.per_sf for part in self.parts if PARTS[part.what] == kind)


Predict = Callable[[pd.DataFrame], pd.Series]
_Pair = tuple[pd.DataFrame, pd.DataFrame]


def change_explained(
    before: pd.DataFrame, after: pd.DataFrame, predict: Predict | None
) -> ChangeExplained | Unavailable:
    """Split the change of the average $/sf as let into index, price of the same work, types, geometry, competition.

    before, after : HISTORY rows of one basis. predict : middle $/sf expected in base-quarter dollars of structures with
    superstructure, deck_area_sf, span_ft, skew_deg, bidders; None where there is no model.

    The average is dollars over deck area. With d the index level of a time, R the average in base dollars and g, t, c
    the ratios of expected averages by geometry, type and bidders: after = before + R0 (d1 - d0) + R0 d1 (p g t c - 1),
    p being what the model does not explain. Each part takes the ones before as given.
    """
    return _explained([(before, after)], predict)[0]


YEAR_CHANGE_COLUMNS = ("year", "n_before", "n", "before_per_sf", "price", "mix", "competition", "after_per_sf",
                       *PARTS, "reason")  # fmt: skip


def change_by_year(history: pd.DataFrame, years: Years, predict: Predict | None) -> pd.DataFrame:
    """YEAR_CHANGE_COLUMNS: the change of each year's average on the year before's, $/sf as let, from a first to a last.

    before_per_sf + price + mix + competition = after_per_sf; price is cost index and same work, mix is types, spans and
    sizes, competition the number of bidders. Where it is not explained the parts are missing and `reason` says why.
    """
    if history.empty:
        return pd.DataFrame(columns=list(YEAR_CHANGE_COLUMNS))
    year = history["letting_date"].dt.year
    asked = range(years[0], years[1] + 1)
    pairs = [(history[year == one - 1], history[year == one]) for one in asked]
    rows = [
        _year_row(one, pair, found) for one, pair, found in zip(asked, pairs, _explained(pairs, predict), strict=True)
    ]
    return pd.DataFrame(rows, columns=list(YEAR_CHANGE_COLUMNS))


def _year_row(year: int, pair: _Pair, found: ChangeExplained | Unavailable) -> tuple[object, ...]:
    counts, none = tuple(len(_usable(one)) for one in pair), float("nan")
    if isinstance(found, Unavailable):
        ends = [ratio_of_sums(one, "unit_cost") if len(one) else none for one in pair]
        return (year, *counts, ends[0], none, none, none, ends[1], *[none] * len(PARTS), found.reason)
    kinds = [found.of(kind) for kind in ("price", "mix", "competition")]
    return (year, *counts, found.before, *kinds, found.after, *(part.per_sf for part in found.parts), "")


def _explained(pairs: Sequence[_Pair], predict: Predict | None) -> list[ChangeExplained | Unavailable]:
    """Each pair's change; the model is asked once for all of them."""
    usable = [(_usable(before), _usable(after)) for before, after in pairs]
    enough = [len(before) >= BEFORE_FROM and len(after) >= AFTER_FROM for before, after in usable]
    expected = iter(_expected([pair for pair, good in zip(usable, enough, strict=True) if good], predict))
    return [
        _split(before, after, next(expected)) if good else _too_few(before, after)
        for (before, after), good in zip(usable, enough, strict=True)
    ]


def _too_few(before: pd.DataFrame, after: pd.DataFrame) -> Unavailable:
    return Unavailable(
        f"{len(before)} priced structures before and {len(after)} after; it takes {BEFORE_FROM} and {AFTER_FROM}"
    )


def _usable(frame: pd.DataFrame) -> pd.DataFrame:
    known = frame[["unit_cost", "unit_cost_adjusted", "deck_area_sf"]].notna().all(axis=1)
    return frame[known & frame["deck_area_sf"].gt(0)].reset_index(drop=True)


def _expected(pairs: Sequence[_Pair], predict: Predict | None) -> list[list[np.ndarray] | Unavailable]:
    """The expected $/sf of each pair's structures, earlier first: by geometry alone, with types, with bidders too."""
    if predict is None:
        return [Unavailable("there is too little history to say what the mix of types and spans is worth")] * len(pairs)
    if not pairs:
        return []
    variants: list[pd.DataFrame] = []
    for pair in pairs:
        both = pd.concat(pair, ignore_index=True)
        kind, middle = both["superstructure"].value_counts().index[0], float(both["bidders"].median())
        variants += [both.assign(superstructure=kind, bidders=middle), both.assign(bidders=middle), both]
    values = np.asarray(predict(pd.concat(variants, ignore_index=True)), dtype=float)
    pieces = np.split(values, np.cumsum([len(variant) for variant in variants])[:-1])
    return [pieces[at : at + 3] for at in range(0, len(pieces), 3)]


def _split(
    before: pd.DataFrame, after: pd.DataFrame, expected: list[np.ndarray] | Unavailable
) -> ChangeExplained | Unavailable:
    if isinstance(expected, Unavailable):
        return expected
    if not all(np.all(np.isfinite(values) & (values > 0)) for values in expected):
        return Unavailable("the model gives no expected price for every structure")
    geometry, types, bidders = _ratios(before, after, expected)
    nominal0, nominal1 = ratio_of_sums(before, "unit_cost"), ratio_of_sums(after, "unit_cost")
    real0, real1 = ratio_of_sums(before, "unit_cost_adjusted"), ratio_of_sums(after, "unit_cost_adjusted")
    level = nominal1 / real1
    same_work = real1 / (real0 * geometry * types * bidders)
    ends = np.cumprod([real0 * level, same_work, types, geometry, bidders])
    steps = np.diff([nominal0, *ends])
    parts = [
        Part(name, float(step), note) for name, step, note in zip(PARTS, steps, _notes(before, after), strict=True)
    ]
    return ChangeExplained(nominal0, nominal1, len(before), len(after), tuple(parts))


def _ratios(before: pd.DataFrame, after: pd.DataFrame, expected: list[np.ndarray]) -> tuple[float, float, float]:
    """After over before of the expected average: by geometry, by type beyond it, by bidders beyond both."""
    areas = [frame["deck_area_sf"].to_numpy(float) for frame in (before, after)]
    ratios = []
    for values in expected:
        halves = (values[: len(before)], values[len(before) :])
        earlier, later = (half @ area / area.sum() for half, area in zip(halves, areas, strict=True))
        ratios.append(float(later / earlier))
    geometry, typed, all_of_it = ratios
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

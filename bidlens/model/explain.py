"""Why a prediction is what it is: the ratios that lead from a stated reference bridge to it, and each term in words.

The median of a prediction is a product, so its parts multiply exactly: reference bridge x type x span x deck area x
bidders x skew x market x index. A part is only as sure as its coefficient: see `in_words`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import stdtrit

from bidlens import wording
from bidlens.model import priors
from bidlens.model.design import Layout
from bidlens.model.fit import GridFit

#: The parts of a prediction in the order they are told; each is a ratio to the reference bridge.
PARTS = ("type", "span", "deck_area", "bidders", "skew", "market", "index")
COLUMNS = ("reference", *PARTS, "p50")
IN_WORDS_COLUMNS = ("term", "words", "ratio", "low", "high", "learnt")
#: Below this share of its prior variance removed, a coefficient is told as assumed rather than learnt; judgement.
MOSTLY_ASSUMED = 0.25
_SURE = 0.80
_STEP_SPAN_FT, _SPAN_TIMES = (30.0, 60.0, 90.0), 1.5
_FIXED = len(priors.FIXED_TERMS)


@dataclass(frozen=True, slots=True)
class Reference:
    """Where the reference bridge stands in time: last letting year on record, and its departure and ln index."""

    year: int
    departure: float
    log_level: float

    def row(self, layout: Layout) -> np.ndarray:
        """Its design row: middle type, 60 ft, 2,000 sf, 5 bidders, no skew, an ordinary market of that year."""
        row = np.zeros(layout.columns)
        row[priors.INTERCEPT], row[priors.DEPARTURE] = 1.0, self.departure
        steps = _FIXED + len(layout.types) + layout.years
        row[steps : steps + self.year - layout.first_year + 1] = 1.0
        return row


def reference_words(dollars: str = "") -> str:
    """The reference bridge in words. dollars : such as "dollars of 2025 Q3"; empty for the history's own."""
    bridge = (
        f"a bridge of the middle type with a {wording.number(priors.REFERENCE_SPAN_FT)} ft span, "
        f"{wording.number(priors.REFERENCE_DECK_AREA_SF)} sf of deck, no skew and "
        f"{wording.number(priors.REFERENCE_BIDDERS)} bidders, in an ordinary market"
    )
    return f"{bridge}, {dollars}" if dollars else bridge


def contributions(
    fit: GridFit, layout: Layout, design: np.ndarray, log_level: np.ndarray, reference: Reference
) -> pd.DataFrame:
    """The parts of m predictions, COLUMNS; reference and p50 in $/sf, parts as ratios that multiply to p50.

    design : m by p, as predicted from. log_level : ln index of each letting. A type without history counts as the
    middle type: ratio 1.
    """
    mean, base = fit.mean, reference.row(layout)
    away = (design - base) * mean
    types = _FIXED + len(layout.types)
    logs = {
        "type": away[:, _FIXED:types].sum(axis=1),
        "span": away[:, priors.SPAN] + away[:, priors.SPAN_SQUARED],
        "deck_area": away[:, priors.AREA],
        "bidders": away[:, priors.BIDDERS],
        "skew": away[:, priors.SKEW],
        "market": away[:, priors.DEPARTURE] + away[:, types:].sum(axis=1),
        "index": log_level - reference.log_level,
    }
    start = float(base @ mean) + reference.log_level
    table = pd.DataFrame({"reference": np.exp(start), **{name: np.exp(value) for name, value in logs.items()}})
    return table.assign(p50=table.prod(axis=1, skipna=False))[list(COLUMNS)]


def no_contributions(index: pd.Index) -> pd.DataFrame:
    """The same columns without numbers, where nothing is fitted."""
    return pd.DataFrame(np.nan, index=index, columns=list(COLUMNS))


def in_words(fit: GridFit | None, layout: Layout, spans_known: int, rows: int) -> pd.DataFrame:
    """Each shared effect, and from 25 rows each type, in a sentence with its 8-in-10 interval.

    One row per effect, IN_WORDS_COLUMNS: ratio, low and high are price ratios of the step told; learnt is the share of
    the variance assumed beforehand that the record has taken away (0: nothing learnt, 1: all). Empty below four rows.
    """
    if fit is None:
        return pd.DataFrame({name: pd.Series(dtype="str" if name in IN_WORDS_COLUMNS[:2] else float)
                             for name in IN_WORDS_COLUMNS})  # fmt: skip
    told = list(_effects(fit, layout, spans_known, rows))
    return pd.DataFrame(told, columns=list(IN_WORDS_COLUMNS)).astype({"term": "str", "words": "str"})


def _effects(fit: GridFit, layout: Layout, spans_known: int, rows: int) -> Iterator[tuple[object, ...]]:
    one = np.eye(layout.columns)
    yield _told(fit, "bidders", "each extra bidder, up to eight", one[priors.BIDDERS])
    yield _told(fit, "deck area", "a deck twice as large", np.log(2) * one[priors.AREA])
    for span in _STEP_SPAN_FT if spans_known else ():
        longer = span * _SPAN_TIMES
        here, there = np.log(span / priors.REFERENCE_SPAN_FT), np.log(longer / priors.REFERENCE_SPAN_FT)
        step = (there - here) * one[priors.SPAN] + (there**2 - here**2) * one[priors.SPAN_SQUARED]
        said = f"a span of {wording.number(longer)} ft instead of {wording.number(span)} ft, the deck area equal"
        yield _told(fit, "span", said, step)
    yield _told(fit, "skew", "30 degrees of skew instead of none", one[priors.SKEW])
    for code, name in enumerate(layout.types if rows >= priors.ROWS_FOR_OLS_CHECK else ()):
        yield _told(fit, f"type: {name}", f"{name} instead of the middle type", one[_FIXED + code])


def _told(fit: GridFit, term: str, step: str, along: np.ndarray) -> tuple[object, ...]:
    """One effect along a direction of the coefficients, with its interval and how much of it was learnt."""
    mean, sd = fit.contrast(along)
    df = 2 * float(fit.share @ [cell.shape for cell in fit.cells])
    reach = float(stdtrit(df, 0.5 + _SURE / 2)) * sd
    scatter = [cell.variance * cell.shape / (cell.shape - 1) for cell in fit.cells]
    assumed = float((fit.share * scatter) @ [(along**2 / precision).sum() for precision in fit.precisions])
    learnt = float(np.clip(1 - sd**2 / assumed, 0.0, 1.0))
    ratio, low, high = (float(np.exp(value)) for value in (mean, mean - reach, mean + reach))
    said = f"{step}: {_change(ratio)}; 8 in 10 sure it is {_between(low, high)}"
    if learnt < MOSTLY_ASSUMED:
        said += " (mostly assumed beforehand: the record says little of it)"
    return term, said, ratio, low, high, learnt


def _change(ratio: float) -> str:
    """2.6% lower."""
    size = abs(ratio - 1) * 100
    if wording.half_up(size, 1) == 0:
        return "no different"
    return f"{wording.number(size, 1)}% {'higher' if ratio > 1 else 'lower'}"


def _between(low: float, high: float) -> str:
    if (low - 1) * (high - 1) < 0:
        return f"between {_change(low)} and {_change(high)}"
    near, far = sorted((low, high), key=lambda ratio: abs(ratio - 1))
    way = "higher" if low >= 1 and high > 1 else "lower"
    return f"between {wording.number(abs(near - 1) * 100, 1)}% and {wording.number(abs(far - 1) * 100, 1)}% {way}"

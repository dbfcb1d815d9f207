"""How far a prediction can be leant on: a grade A to D and the reason in the engineer's words.

The measure is ignorance, the share by which doubt widens a prediction beyond the plain scatter of lettings, and how far
the span lies outside those on record for the type. Thresholds were set on simulated counties, where grade A predictions
missed by about 15 % (median) and grade D by 22 to 26 %; the deck area limit, and grade C at best below twelve rows, are
judgement, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bidlens import wording
from bidlens.model import priors

GRADES = ("A", "B", "C", "D")
IGNORANCE_LIMITS = (0.35, 0.70, 1.25)
SPAN_LIMITS = (0.0, 0.22, 0.69)  # ln: just outside, a quarter outside, twice outside
AREA_LIMIT = float(np.log(2.7))
STALE_YEARS = 3
INFLUENCE_LIMIT = 0.10


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """What the grade of m structures rests on; arrays of m unless said otherwise.

    rows : priced structures on record (one number). of_type : those of the same type, -1 if the type is new.
    span_beyond : ln distance outside the spans on record for the type, negative when below them, 0 inside.
    area_beyond : the same for deck area, over all types. ignorance : see `Predictive`.
    years_since : years from the last letting on record. quarters_ahead : past the last published index quarter.
    no_span, no_area, no_bidders : value not known. swayed_by, sway : the row whose removal moves the prediction
        most, as words, and by what share.
    """

    rows: int
    of_type: np.ndarray
    span_beyond: np.ndarray
    area_beyond: np.ndarray
    ignorance: np.ndarray
    years_since: np.ndarray
    quarters_ahead: np.ndarray
    no_span: np.ndarray
    no_area: np.ndarray
    no_bidders: np.ndarray
    swayed_by: list[str]
    sway: np.ndarray


def grade(evidence: Evidence) -> np.ndarray:
    """Letters for m structures."""
    beyond = np.abs(evidence.span_beyond)
    worst = np.maximum(
        np.searchsorted(IGNORANCE_LIMITS, evidence.ignorance, side="right"),
        np.searchsorted(SPAN_LIMITS, beyond, side="left"),
    )
    worst = np.maximum(worst, 2 if evidence.rows < priors.ROWS_NOT_INDICATIVE else 0)
    worst = np.where((evidence.of_type < 0) | (np.abs(evidence.area_beyond) > AREA_LIMIT), 3, worst)
    return np.array(GRADES, dtype=object)[np.minimum(worst, 3)]


def reasons(evidence: Evidence) -> list[str]:
    """Why each of m structures has its grade, most important first."""
    return [_reason(evidence, which) for which in range(len(evidence.of_type))]


def _reason(evidence: Evidence, which: int) -> str:
    said = [
        _type(evidence, which),
        _span(float(evidence.span_beyond[which]), evidence.of_type[which] < 0),
        _area(float(evidence.area_beyond[which])),
        _small_history(evidence.rows),
        _time(float(evidence.years_since[which]), int(evidence.quarters_ahead[which])),
        _not_known(evidence, which),
        _sway(evidence, which),
    ]
    return "; ".join(words for words in said if words)


def _type(evidence: Evidence, which: int) -> str:
    count = int(evidence.of_type[which])
    if count < 0:
        return "no history for this type"
    if count == 1:
        return "a single one of this type on record"
    return f"{count} of this type on record"


def _span(beyond: float, new_type: bool) -> str:
    if beyond == 0:
        return ""
    than = "any on record" if new_type else "any of this type on record"
    size, way = _percent(abs(np.expm1(beyond))), "longer" if beyond > 0 else "shorter"
    return f"span {size} {way} than {than}, where predictions tend to run low"


def _area(beyond: float) -> str:
    if beyond == 0:
        return ""
    if beyond > 0:
        return f"deck area {wording.number(float(np.exp(beyond)), 1)} times the largest on record"
    return f"deck area {_percent(np.exp(beyond))} of the smallest on record"


def _percent(ratio: float) -> str:
    return f"{wording.number(float(ratio) * 100)}%"


def _small_history(rows: int) -> str:
    return f"only {rows} priced structures in all, so indicative" if rows < priors.ROWS_NOT_INDICATIVE else ""


def _time(years_since: float, quarters_ahead: int) -> str:
    said = []
    if years_since > STALE_YEARS:
        said.append(f"last letting on record {wording.number(years_since)} years earlier")
    if quarters_ahead:
        said.append(f"cost index forecast {wording.count(quarters_ahead, 'quarter')} ahead")
    return "; ".join(said)


def _not_known(evidence: Evidence, which: int) -> str:
    parts = (("span", evidence.no_span), ("deck area", evidence.no_area), ("number of bidders", evidence.no_bidders))
    names = [name for name, missing in parts if missing[which]]
    return f"{' and '.join(names)} not known" if names else ""


def _sway(evidence: Evidence, which: int) -> str:
    sway = float(evidence.sway[which])
    if abs(sway) <= INFLUENCE_LIMIT:
        return ""
    way = "higher" if sway > 0 else "lower"
    return f"without {evidence.swayed_by[which]} it would be {_percent(abs(sway))} {way}"

"""Where a like-for-like offer stands in the expected price, how sure that is, and when nothing is said of it."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

import pandas as pd

from bidlens import wording
from bidlens.findings import Finding
from bidlens.model import CostModel
from bidlens.normalizer import UnitCostHistory
from bidlens.proposal import doubts
from bidlens.proposal.adjustment import work_words
from bidlens.proposal.expected import Expected, expected_cost, offer_row
from bidlens.proposal.like_for_like import Offer
from bidlens.proposal.verdict import Standing, Verdict, type_words, word_verdict


@dataclass(frozen=True, slots=True)
class HistoryUsed:
    """Contracts with a price on the basis, those of the offered type among them, and the first and last letting."""

    contracts: int
    same_type: int
    first: dt.date | None
    last: dt.date | None


@dataclass(frozen=True, slots=True, eq=False)
class Judgement:
    """row : the offered bridge as the model takes it. percentile, difference_ratio : None where declined.

    grade : the model's, or D where the offer could not be made like for like.
    """

    row: pd.DataFrame
    expected: Expected
    percentile: float | None
    difference_ratio: float | None
    grade: str
    used: HistoryUsed
    verdict: Verdict
    findings: tuple[Finding, ...]


def judge(offer: Offer, history: UnitCostHistory, model: CostModel | None) -> Judgement:
    """Place an offer in what the model expects of its bridge, and put that in words."""
    row = offer_row(offer.geometry, offer.kind, offer.dollars)
    expected = expected_cost(model, row, offer.dollars)
    used = history_used(history, offer.kind)
    declined = _why_declined(offer, model, expected)
    percentile = difference = None
    if not declined and model is not None and expected.prices is not None:
        percentile = expected.share_lower(offer.points())
        difference = offer.per_sf / expected.prices["p50"] - 1
    grade = "D" if declined else expected.grade
    thin = grade == "C" or (model is not None and model.n < doubts.ENOUGH_ROWS)
    verdict = word_verdict(_standing(offer, expected, percentile, grade, thin, used, declined))
    findings = doubts.history_doubts(offer.kind, history, model, expected, offer.dollars, thin)
    if percentile is not None and model is not None and expected.prices is not None:
        findings += doubts.gap_doubt(offer.scope.gap, verdict.code, offer.per_sf, expected.prices)
        findings += _added_work(offer, expected)
    return Judgement(row, expected, percentile, difference, grade, used, verdict, tuple(findings))


def history_used(history: UnitCostHistory, kind: str) -> HistoryUsed:
    """The lettings behind a check. Two structures of one contract are one contract."""
    lettings = history.frame[["contract_id", "letting_date", "superstructure"]]
    own = lettings[lettings["superstructure"] == kind]
    return HistoryUsed(
        contracts=len(lettings.drop_duplicates(["contract_id", "letting_date"])),
        same_type=len(own.drop_duplicates(["contract_id", "letting_date"])),
        first=lettings["letting_date"].min().date() if len(lettings) else None,
        last=lettings["letting_date"].max().date() if len(lettings) else None,
    )


def _standing(
    offer: Offer,
    expected: Expected,
    percentile: float | None,
    grade: str,
    thin: bool,
    used: HistoryUsed,
    declined: str,
) -> Standing:
    return Standing(
        supplier=offer.proposal.supplier,
        kind=offer.kind,
        offer_per_sf=offer.per_sf,
        expected=expected.prices,
        percentile=percentile,
        grade=grade,
        thin=thin,
        contracts=used.contracts,
        same_type=used.same_type,
        first_year=used.first.year if used.first else None,
        last_year=used.last.year if used.last else None,
        gap=offer.scope.gap,
        declined=declined,
    )


def _why_declined(offer: Offer, model: CostModel | None, expected: Expected) -> str:
    """One sentence that says why nothing is said of the price; empty where something is."""
    known = 0 if model is None else model.n
    types = {} if model is None else model.types
    price = wording.per_sf(offer.per_sf if math.isfinite(offer.per_sf) else offer.quoted_per_sf)
    not_judged = f"so {price} is not judged"
    if known < doubts.LEAST_ROWS:
        counted = wording.count(known, "priced structure")
        said = f"Only {counted} {'is' if known == 1 else 'are'}" if known else "Nothing is"
        return f"{said} on record on this basis, {not_judged}; four would give a first, rough answer."
    if not types.get(offer.kind):
        return f"We have let no {type_words(offer.kind)}, {not_judged}."
    if offer.scope.not_priced:
        work = ", ".join(work_words(category).lower() for category in offer.scope.not_priced)
        return f"Too few of our contracts price the work by which letter and basis differ ({work}), {not_judged}."
    if offer.per_sf <= 0:
        quoted = wording.per_sf(offer.quoted_per_sf)
        return f"With the work outside this basis taken out nothing is left of the {quoted} quoted; it is not judged."
    if expected.grade == "D" or expected.prices is None:
        return f"This bridge lies too far from what we have let ({expected.reason}), {not_judged}."
    return ""


def _added_work(offer: Offer, expected: Expected) -> list[Finding]:
    """How far the verdict rests on our own price of the work that was added or taken out."""
    if not offer.scope.adjustments:
        return []
    low, high = doubts.offer_range(offer.scope.adjustments, offer.per_sf)
    return doubts.added_work_doubt(low, high, expected.share_lower(low), expected.share_lower(high))

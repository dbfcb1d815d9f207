"""What to know before relying on a check: thin or old history, an old letter, doubt in the expected price."""

from __future__ import annotations

import datetime as dt

import pandas as pd

from bidlens import wording
from bidlens.findings import Finding
from bidlens.model import CostModel
from bidlens.normalizer import UnitCostHistory, marks_by_hand
from bidlens.proposal import letter_terms
from bidlens.proposal.adjustment import Adjustment
from bidlens.proposal.dollars import QuotedDollars
from bidlens.proposal.expected import Expected, years_before
from bidlens.proposal.geometry import OfferGeometry
from bidlens.proposal.offer import Proposal
from bidlens.proposal.verdict import VERDICT_WORDS, verdict_code

#: Judgement, no source.
STALE_YEARS = 3
#: Fewer priced structures than this are thin history, whatever the type.
ENOUGH_ROWS, LEAST_ROWS = 12, 4
#: Doubts of the model that a check says in its own words.
_SAID_HERE = ("history_too_small", "history_thin", "last_letting_old")


def history_doubts(
    kind: str,
    history: UnitCostHistory,
    model: CostModel | None,
    expected: Expected,
    dollars: QuotedDollars,
    thin: bool,
) -> list[Finding]:
    """Too little, too old, or far from this bridge; and the model's own doubts. kind : superstructure type offered."""
    known = 0 if model is None else model.n
    findings = []
    if expected.grade == "D":
        findings.append(
            Finding("not_enough_history", "stop", f"No verdict is given: {expected.reason}.", _what_would_help(known))
        )
    elif thin:
        findings.append(
            Finding(
                "thin_history",
                "check",
                f"Thin history: {expected.reason}. The range counts for more than its middle.",
                "Import more of the county's own bid tabs.",
            )
        )
    else:
        findings.append(Finding("how_sure", "note", f"What the expected price rests on: {expected.reason}."))
    if len(history.frame) and (years := years_before(history.frame["letting_date"].max(), dollars)) > STALE_YEARS:
        findings.append(
            Finding(
                "stale_prices",
                "check",
                f"The last letting on record is {wording.number(years, 1)} years before this offer's dollars; the cost "
                "index alone bridges them.",
                "Import the lettings since.",
            )
        )
    if model is not None:
        findings += _model_doubts(model, set(history.frame.loc[history.frame["superstructure"] == kind, "contract_id"]))
    return findings


def _model_doubts(model: CostModel, own_contracts: set[str]) -> list[Finding]:
    """Doubts of the fit that bear on this offer: a contract without weight only where it is of the offered type."""
    return [
        doubt
        for doubt in model.findings
        if doubt.severity != "note"
        and doubt.code not in _SAID_HERE
        and (doubt.contract_id is None or doubt.contract_id in own_contracts)
    ]


def _what_would_help(known: int) -> str:
    if known < LEAST_ROWS:
        return f"Import more bid tabs: {LEAST_ROWS} priced structures give a first, rough answer."
    return "One or two lettings of this type and size, the county's own or a neighbor's, would help most."


def letter_doubts(
    proposal: Proposal, geometry: OfferGeometry, quoted_per_sf: float, today: dt.date | None
) -> list[Finding]:
    """An old or expired letter, prices that differ, an unclear scope, skew nobody states, a service life."""
    findings = [*letter_terms.time_doubts(proposal, today), *letter_terms.scope_doubts(proposal)]
    findings += letter_terms.price_doubts(proposal, geometry, quoted_per_sf)
    if pd.isna(geometry.skew_deg):
        text = "No skew is stated; none is assumed."
        findings.append(Finding("no_skew", "note", text, "A large skew costs more than is expected here."))
    if proposal.service_life_years is not None:
        findings.append(
            Finding(
                "service_life_is_an_assumption",
                "note",
                f"The service life of {wording.number(proposal.service_life_years)} years is the letter's assumption "
                "and enters no number here; a design life is a basis of loads, not an expected life.",
            )
        )
    return findings


def added_work_doubt(low: float, high: float, lowest: float, highest: float) -> list[Finding]:
    """How far the verdict rests on our own price of the work that was added.

    low, high : the offer with that work at the ends of its middle half, $/sf; lowest, highest : their percentiles.
    """
    codes = sorted({verdict_code(lowest), verdict_code(highest)}, key=list(VERDICT_WORDS).index)
    between = " to ".join(VERDICT_WORDS[code].lower() for code in codes)
    text = (
        f"With the work that was added at the low or the high end of what we paid for it, the offer is "
        f"{wording.usd(low)} to {wording.per_sf(high)}: "
    )
    if len(codes) == 1:
        return [Finding("added_work_spread", "note", f"{text}{between} either way.")]
    do = "Ask the letter to price the missing work."
    return [Finding("added_work_spread", "check", f"{text}the verdict rests on it ({between}).", do)]


def offer_range(adjustments: tuple[Adjustment, ...], offer_per_sf: float) -> tuple[float, float]:
    """The offer with its scope steps at the ends of their middle halves, taken together as independent."""
    spread = [step for step in adjustments if step.low_per_sf is not None and step.high_per_sf is not None]
    down = sum((step.per_sf - (step.low_per_sf or 0.0)) ** 2 for step in spread) ** 0.5
    up = sum(((step.high_per_sf or 0.0) - step.per_sf) ** 2 for step in spread) ** 0.5
    return offer_per_sf - down, offer_per_sf + up


def gap_doubt(gap: tuple[str, ...], code: str, offer_per_sf: float, expected: dict[str, float]) -> list[Finding]:
    """How much delivery or setting may cost before the offer leaves the usual range."""
    room = expected["p90"] - offer_per_sf
    if not gap or room <= 0:
        return []
    words = " and ".join(gap)
    if code == "usual":
        text = (
            f"The offer stays usual while {words} cost{'s' if len(gap) == 1 else ''} less than {wording.per_sf(room)}."
        )
    else:
        text = f"The offer leaves {words} out, so it is lower than a price in place by an amount we do not know."
    return [Finding("room_for_setting", "note", text)]


def by_hand_doubts(history: pd.DataFrame, comparables: pd.DataFrame, kind: str) -> list[Finding]:
    """Prices behind the check that rest on unit prices typed, or bridges linked, by hand. kind : type offered."""
    said = marks_by_hand(history)
    own = history[(history["superstructure"] == kind) & (said != "")]
    near = comparables[comparables["by_hand"] != ""]
    if own.empty and near.empty:
        return []
    contracts = sorted({*own["contract_id"], *near["contract_id"]})
    typed = bool(said.str.contains("typed").any())
    of_type = wording.count(int((history["superstructure"] == kind).sum()), f"price of {kind}", f"prices of {kind}")
    text = (
        f"{len(own)} of {of_type}, and {len(near)} of the {len(comparables)} closest contracts, rest in part on what "
        f"was said by hand: {', '.join(contracts)}."
    )
    do = "The unit cost history says what, and where it is from." if contracts else ""
    return [Finding("rests_on_said_by_hand", "check" if typed else "note", text, do)]

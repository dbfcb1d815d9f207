"""Several offers for one bridge, side by side: comparable prices, what each type usually costs, what is noise."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from scipy.special import ndtr

from bidlens import wording
from bidlens.errors import BadValue
from bidlens.model import CostModel
from bidlens.proposal.offer import Proposal
from bidlens.proposal.spread import chance_below, total_points
from bidlens.proposal.usual_price import break_even_usd, questions, usual_price

if TYPE_CHECKING:
    from bidlens.proposal.check import ProposalCheck
    from bidlens.proposal.like_for_like import Offer

FEWEST, MOST = 2, 6
#: A chance inside these is as good as a coin for a decision. Judgement, no source.
COIN = (0.2, 0.8)
#: Half of all differences between two draws of a normal are within this many times its spread times root 2.
_HALF_OF_DIFFERENCES = 0.6745
#: Decks that differ by more than this share are not one bridge.
_SAME_BRIDGE = 0.02


@dataclass(frozen=True, slots=True)
class OfferedPrice:
    """One offer in the comparison. $/sf of deck but for names in _usd.

    low, middle, high : like for like; 8 in 10 lie from low to high, all one number where nothing had to be priced.
    expected_low, expected_middle, expected_high : 8 in 10 lettings of this type and bridge. usual_usd : quoted prices
        that would read as usual. break_even_usd : the quoted price that is level with the lowest other offer.
    None where declined.
    """

    proposal_id: str
    supplier: str
    superstructure: str
    verdict: str
    low: float | None
    middle: float | None
    high: float | None
    expected_low: float | None
    expected_middle: float | None
    expected_high: float | None
    quoted_usd: float
    usual_usd: tuple[float, float] | None
    break_even_usd: float | None
    questions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Pair:
    """Two offers: first less second in $/sf and as a ratio of the second; the chance that the first is cheaper.

    noise : the difference says nothing of supplier or type. ordinary_ratio : by which half of all pairs of lettings of
        one bridge differ, None where the history cannot say. text : that in words.
    """

    first: str
    second: str
    difference_per_sf: float
    difference_ratio: float
    chance_first_cheaper: float
    noise: bool
    ordinary_ratio: float | None
    text: str


@dataclass(frozen=True, slots=True)
class TypeEffect:
    """What one type costs over another on the same bridge by the county's history; 8 in 10 lie from low to high.

    chance_first_cheaper : that the first type is the cheaper one on average, given what the history leaves uncertain.
    """

    first: str
    second: str
    ratio: float
    low: float
    high: float
    chance_first_cheaper: float
    text: str


@dataclass(frozen=True, slots=True)
class SideBySide:
    """Offers in the order given; pairs lowest first. doubts : why the comparison may not hold, in words."""

    offers: tuple[OfferedPrice, ...]
    pairs: tuple[Pair, ...]
    type_effects: tuple[TypeEffect, ...]
    doubts: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """The public form."""
        return {
            "offers": [{name: getattr(one, name) for name in one.__slots__} for one in self.offers],
            "pairs": [{name: getattr(one, name) for name in one.__slots__} for one in self.pairs],
            "type_effects": [{name: getattr(one, name) for name in one.__slots__} for one in self.type_effects],
            "doubts": list(self.doubts),
        }


def side_by_side(checks: Sequence[ProposalCheck], model: CostModel | None) -> SideBySide:
    """Compare two to six checks made against one history. model : fitted to it.

    Raises BadValue for fewer or more, or checks on different bases.
    """
    if not FEWEST <= len(checks) <= MOST:
        raise BadValue(f"{len(checks)} offers cannot be shown side by side", do=f"Pick {FEWEST} to {MOST}.")
    if len({(check.basis, check.dollars_of) for check in checks}) > 1:
        raise BadValue("the offers are not on one basis", do="Check them on the same basis, in the same dollars.")
    known = sorted(
        (one for one in checks if math.isfinite(one.like_for_like_per_sf)), key=lambda one: one.like_for_like_per_sf
    )
    ordinary = _ordinary_ratio(model)
    return SideBySide(
        offers=tuple(_offered(one, [other for other in checks if other is not one]) for one in checks),
        pairs=tuple(_pair(first, second, ordinary) for first, second in itertools.combinations(known, 2)),
        type_effects=tuple(_type_effects(checks, model)),
        doubts=tuple(_doubts(checks)),
    )


def _offered(check: ProposalCheck, others: list[ProposalCheck]) -> OfferedPrice:
    known = math.isfinite(check.like_for_like_per_sf)
    low, high = np.quantile(check.offer.points(), [0.1, 0.9]) if known else (None, None)
    expected = check.expected or {}
    return OfferedPrice(
        proposal_id=check.proposal.proposal_id,
        supplier=check.proposal.supplier,
        superstructure=check.proposal.superstructure,
        verdict=check.verdict.code,
        low=None if low is None else float(low),
        middle=check.like_for_like_per_sf if known else None,
        high=None if high is None else float(high),
        expected_low=expected.get("p10"),
        expected_middle=expected.get("p50"),
        expected_high=expected.get("p90"),
        quoted_usd=check.quoted_usd,
        usual_usd=usual_price(check),
        break_even_usd=break_even_usd(check, others),
        questions=questions(check),
    )


def chance_cheaper(first: Offer, second: Offer) -> float:
    """Chance that the first offer is the cheaper one, like for like; an exact tie counts half.

    Work that both leave out and that is priced from the same bridges costs the same under either, and is left out of
    the doubt; all other priced work is taken as independent.
    """
    mine = {step.spread.drawn_from: step.spread for step in first.adjustments if step.spread}
    theirs = {step.spread.drawn_from: step.spread for step in second.adjustments if step.spread}
    shared = {key for key in mine.keys() & theirs.keys() if mine[key] == theirs[key]}
    points = []
    for offer, spreads in ((first, mine), (second, theirs)):
        firm = offer.per_sf - sum(one.sign * one.middle for one in spreads.values())
        points.append(total_points(firm, [one for key, one in spreads.items() if key not in shared]))
    return chance_below(*points)


def _pair(first: ProposalCheck, second: ProposalCheck, ordinary: float | None) -> Pair:
    difference = first.like_for_like_per_sf - second.like_for_like_per_sf
    ratio = difference / second.like_for_like_per_sf
    chance = chance_cheaper(first.offer, second.offer)
    small = ordinary is not None and abs(math.log1p(ratio)) <= math.log1p(ordinary) if ratio > -1 else False
    noise = small or COIN[0] < chance < COIN[1]
    text = _pair_words(_name(first.proposal), _name(second.proposal), difference, ratio, chance, noise, ordinary)
    return Pair(
        first.proposal.proposal_id, second.proposal.proposal_id, difference, ratio, chance, noise, ordinary, text
    )


def _name(offer: Proposal) -> str:
    return f"{offer.supplier} ({offer.superstructure})"


def _pair_words(
    first: str, second: str, difference: float, ratio: float, chance: float, noise: bool, ordinary: float | None
) -> str:
    apart = (
        f"{first} is {wording.per_sf(abs(difference), 1)} ({wording.number(100 * abs(ratio), 1)}%) below {second}, "
        "like for like"
        if wording.number(abs(difference), 1) != "0.0"
        else f"{first} and {second} are level, like for like"
    )
    if chance > 0.99:
        likely = "the work we priced cannot turn that around"
    else:
        likely = f"given what the added work may cost it is the cheaper one with a chance of {wording.chances(chance)}"
    if not noise:
        return f"{apart}; {likely}."
    spread = (
        f": two lettings of one bridge differ by {wording.number(100 * ordinary)}% or more half the time"
        if ordinary is not None
        else ""
    )
    return f"{apart}; {likely}. As a sign of what supplier or type costs, the difference is noise{spread}."


def _ordinary_ratio(model: CostModel | None) -> float | None:
    """By how much two lettings of one bridge differ, or more, half the time."""
    if model is None or model.fit is None:
        return None
    return math.expm1(_HALF_OF_DIFFERENCES * math.sqrt(2 * model.fit.scatter_variance))


def _type_effects(checks: Sequence[ProposalCheck], model: CostModel | None) -> list[TypeEffect]:
    kinds = list(dict.fromkeys(check.proposal.superstructure for check in checks))
    if model is None or model.fit is None:
        return []
    known = [kind for kind in kinds if kind in model.types]
    return [_type_effect(first, second, model) for first, second in itertools.combinations(known, 2)]


def _type_effect(first: str, second: str, model: CostModel) -> TypeEffect:
    """The ratio of two types on the same bridge, from the fit."""
    assert model.fit is not None
    names = model.layout.names
    along = np.zeros(len(names))
    along[names.index(f"type: {first}")], along[names.index(f"type: {second}")] = 1.0, -1.0
    middle, sd = model.fit.contrast(along)
    ratio, low, high = (math.exp(middle + times * sd) for times in (0.0, -1.2816, 1.2816))
    said = (
        f"On the same bridge our history puts {first} {_percent_words(ratio)} {second}; 8 in 10 chances lie "
        f"between {wording.percent(low - 1)} and {wording.percent(high - 1)}"
    )
    unsure = ", so the record cannot tell the two types apart" if low < 1 < high else ""
    chance = float(ndtr(-middle / sd))
    return TypeEffect(first, second, ratio, low, high, chance, f"{said}{unsure}.")


def _percent_words(ratio: float) -> str:
    size = wording.number(abs(100 * (ratio - 1)))
    return "level with" if size == "0" else f"{size}% {'above' if ratio > 1 else 'below'}"


def _doubts(checks: Sequence[ProposalCheck]) -> list[str]:
    areas = [check.deck_area_sf for check in checks]
    said = []
    if max(areas) / min(areas) - 1 > _SAME_BRIDGE:
        low, high = wording.number(min(areas)), wording.number(max(areas))
        said.append(f"The offers are for decks of {low} to {high} sf; compare dollars for the whole too.")
    if len({check.proposal.structure for check in checks if check.proposal.structure}) > 1:
        said.append("The offers name different bridges.")
    for check in checks:
        if not math.isfinite(check.like_for_like_per_sf):
            said.append(f"{_name(check.proposal)} could not be made like for like and is not ranked.")
        if check.offer.scope.gap:
            left = " and ".join(check.offer.scope.gap)
            said.append(f"{_name(check.proposal)} leaves {left} out, which is not priced here.")
    return said

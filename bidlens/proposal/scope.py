"""What a letter includes against what a cost basis contains, and the county's own price for the difference."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from bidlens import wording
from bidlens.errors import BadValue
from bidlens.findings import Finding
from bidlens.normalizer import UnitCostHistory, basis_named
from bidlens.proposal.adjustment import Adjustment, scope_rules, work_words
from bidlens.proposal.offer import Proposal
from bidlens.proposal.own_costs import own_costs
from bidlens.proposal.spread import Spread, spread_of

_STRUCTURE = ["contract_id", "structure_id", "letting_date"]


@dataclass(frozen=True, slots=True)
class ScopeMatch:
    """Steps that bring the letter's scope to the basis.

    not_priced : work the basis holds and the letter does not, for which too few bridges have a price; the offer
        cannot be made like for like while it is not empty.
    gap : how far the beams fall short of being in place: some of "delivery" and "setting".
    own : the engineer's own costs, in dollars of the letter; adjustments are in dollars of the base quarter.
    """

    adjustments: tuple[Adjustment, ...]
    not_priced: tuple[str, ...]
    gap: tuple[str, ...]
    findings: tuple[Finding, ...]
    own: tuple[Adjustment, ...] = ()


def bridge_words(kind: str) -> str:
    """Several bridges of a type: rolled steel beam bridges; buried structures."""
    return f"{kind}s" if kind.endswith(("structure", "culvert")) else f"{kind} bridges"


def offered_categories(scope: Iterable[str]) -> frozenset[str]:
    """Work categories a letter's scope covers. Beams count as offered when they are furnished."""
    parts = set(scope)
    offered = {scope_rules()["parts"][part] for part in parts}
    return frozenset(offered if "furnish" in parts else offered - {"beams"})


def match_scope(
    proposal: Proposal, kind: str, history: UnitCostHistory, deck_area_sf: float = float("nan")
) -> ScopeMatch:
    """Add what the basis holds and the letter leaves out, take out what the letter holds beyond the basis.

    kind : superstructure type offered. Prices are the county's own median $/sf of that work, in history.dollars_of:
        of the same type where enough rows bid it, else of all types. Work that fewer than half of the comparable
        bridges had is not taken to be missing. The engineer's own figure for a part wins over the median.
    deck_area_sf : needed where there are own costs.
    Raises BadValue where the letter does not say what its price includes.
    """
    if not proposal.scope:
        raise BadValue(
            f"the proposal of {proposal.supplier} does not say what its price includes",
            where=proposal.place,
            do="Give scope, for example: furnish, deliver, set, bearings.",
        )
    basis = basis_named(history.basis)
    held = frozenset(history.category_costs["work_category"]) if basis.whole_contract else basis.categories
    offered = offered_categories((*proposal.scope, *proposal.own_forces_scope))
    priced, costs = _work_bid(history)
    prices = {category: _price_of(category, kind, priced, costs) for category in sorted(held ^ offered, key=_in_order)}
    medians = {category: price.in_words() for category, price in prices.items() if price.n}
    own = own_costs(proposal, frozenset(held), deck_area_sf, medians)
    limits = scope_rules()["limits"]
    missing = [prices[category] for category in prices if category in held - own.categories]
    outside = [prices[category] for category in prices if category in offered]
    common = [price for price in missing if price.share >= limits["share_that_bid_it"]]
    usual, instead = _without_alternatives(common)
    not_priced = [price for price in [*usual, *outside] if price.n < limits["rows_for_a_median"]]
    lines = [price.line(+1) for price in usual if price not in not_priced]
    lines += [price.line(-1) for price in outside if price not in not_priced]
    gap = _gap(own.covered)
    findings = [*own.findings, *_gap_findings(proposal, gap), *_not_priced_findings(not_priced)]
    findings += [_alternative_finding(kept, other) for kept, other in instead]
    findings += _seldom_findings([price for price in missing if price not in common and price.share > 0])
    not_priced_names = tuple(price.category for price in not_priced)
    return ScopeMatch(tuple(lines), not_priced_names, gap, tuple(findings), own.steps)


def _in_order(category: str) -> int:
    """The order work is listed in, which is the order it is built in."""
    order = list(scope_rules()["work"])
    return order.index(category) if category in order else len(order)


@dataclass(frozen=True, slots=True)
class _WorkPrice:
    """The county's price for one kind of work: n bridges had it, `share` of `pool` comparable ones.

    whose : the bridges in words, such as "rolled steel beam bridges". bid_by : comparable structures that bid it.
    """

    category: str
    n: int
    share: float
    pool: int
    middle: float
    low: float
    high: float
    whose: str
    bid_by: frozenset[tuple[str, str, pd.Timestamp]]
    spread: Spread | None

    def in_words(self) -> str:
        """Our 17 rolled steel beam bridges: median $36/sf."""
        return f"our {self.n} {self.whose}: median {wording.per_sf(self.middle)}"

    def line(self, sign: int) -> Adjustment:
        """The step: added (+1), or taken out (-1) because it lies outside the basis."""
        low, high = sorted((sign * self.low, sign * self.high))
        what = work_words(self.category) if sign > 0 else f"{work_words(self.category)}, not in this basis"
        half = f"middle half {wording.number(self.low)} to {wording.number(self.high)}"
        spread = replace(self.spread, sign=sign) if self.spread else None
        source = f"our {self.n} {self.whose}, median; {half}"
        return Adjustment(what, sign * self.middle, source, self.n, low, high, spread)


def _work_bid(history: UnitCostHistory) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The priced structures of a history, and what each of them bid, category by category."""
    priced, costs = history.frame[history.frame["unit_cost_adjusted"].notna()], history.category_costs
    bid = costs[costs["unit_cost_adjusted"] > 0]
    return priced, bid.merge(priced[_STRUCTURE], on=_STRUCTURE, how="inner", validate="m:1")


def _price_of(category: str, kind: str, priced: pd.DataFrame, costs: pd.DataFrame) -> _WorkPrice:
    """Median and middle half of one kind of work, over the rows that bid it. priced, costs : of `_work_bid`."""
    limits = scope_rules()["limits"]
    costs = costs[costs["work_category"] == category]
    own = priced[priced["superstructure"] == kind]
    own_costs = costs[costs["superstructure"] == kind]
    enough_of_type = len(own) >= limits["rows_of_one_type"]
    pool, bid_it = (len(own), own_costs) if enough_of_type else (len(priced), costs)
    use_own = len(own_costs) >= limits["rows_of_one_type"]
    rows = own_costs if use_own else costs
    values = np.sort(rows["unit_cost_adjusted"].to_numpy(dtype=float))
    low, middle, high = np.quantile(values, [0.25, 0.5, 0.75]) if len(values) else (np.nan, np.nan, np.nan)
    whose = bridge_words(kind) if use_own else "bridges of all types"
    share = len(bid_it) / pool if pool else 1.0
    bid_by = frozenset(bid_it[_STRUCTURE].itertuples(index=False, name=None))
    spread = spread_of(values, (category, whose), **scope_rules()["spread"]) if len(values) else None
    return _WorkPrice(category, len(values), share, pool, float(middle), float(low), float(high), whose, bid_by, spread)


def _without_alternatives(
    prices: list[_WorkPrice],
) -> tuple[list[_WorkPrice], list[tuple[_WorkPrice, _WorkPrice]]]:
    """Of two kinds of work that are bid instead of each other, the more frequent; and the pairs (kept, left out).

    Adding both would price the same thing twice: a concrete topping here, an asphalt overlay there.
    """
    limit = scope_rules()["limits"]["share_bid_together"]
    kept: list[_WorkPrice] = []
    instead = []
    for price in sorted(prices, key=lambda price: -len(price.bid_by)):
        together = {other: len(price.bid_by & other.bid_by) for other in kept}
        other = next((other for other, both in together.items() if both < limit * len(price.bid_by)), None)
        if other is None:
            kept.append(price)
        else:
            instead.append((other, price))
    return [price for price in prices if price in kept], instead


def _alternative_finding(kept: _WorkPrice, other: _WorkPrice) -> Finding:
    difference = other.middle - kept.middle
    return Finding(
        "bid_instead_of_each_other",
        "check",
        f"The comparable bridges had {work_words(kept.category).lower()} ({len(kept.bid_by)}) or "
        f"{work_words(other.category).lower()} ({len(other.bid_by)}), seldom both; the first was added.",
        f"If this bridge gets the second instead, the offer is {wording.per_sf(abs(difference))} "
        f"{'higher' if difference > 0 else 'lower'}.",
    )


def _gap(covered: frozenset[str]) -> tuple[str, ...]:
    """What stands between furnished beams and beams in place."""
    if "furnish" not in covered:
        return ()
    steps = {"deliver": "delivery", "set": "setting"}
    return tuple(words for part, words in steps.items() if part not in covered)


def _gap_findings(proposal: Proposal, gap: tuple[str, ...]) -> list[Finding]:
    found = []
    if gap:
        words = " and ".join(gap)
        found.append(
            Finding(
                "scope_gap_setting",
                "check",
                f"The letter does not include {words}. Our bid tabs price beams in place and do not price {words} "
                "alone, so nothing was added for it.",
                f"Ask {proposal.supplier} for a price of {words}, or who would do it; the offer rises by that much.",
            )
        )
    if "furnish" not in proposal.scope and {"deliver", "set"} & set(proposal.scope):
        text = "The letter delivers or sets beams and does not furnish them; our price for beams in place was added."
        found.append(Finding("scope_without_furnish", "check", text, "Ask what the letter means by its scope."))
    if "closure" in proposal.scope and "deck" not in proposal.scope:
        text = "The letter includes closure pours and names no deck; the deck is taken as included."
        found.append(Finding("closure_taken_as_deck", "check", text, "Ask whether the deck comes with the beams."))
    return found


def _not_priced_findings(prices: list[_WorkPrice]) -> list[Finding]:
    if not prices:
        return []
    least = scope_rules()["limits"]["rows_for_a_median"]
    work = ", ".join(f"{work_words(price.category).lower()} ({price.n})" for price in prices)
    return [
        Finding(
            "scope_not_priced",
            "stop",
            f"The letter and the basis differ by {work}. In brackets: bridges on record that price it; {least} are "
            "needed to bring the offer to the basis, so no like-for-like price is given.",
            "Import more bid tabs, or check on a basis the letter covers.",
        )
    ]


def _seldom_findings(prices: list[_WorkPrice]) -> list[Finding]:
    if not prices:
        return []
    seldom = ", ".join(
        f"{work_words(price.category).lower()} ({wording.number(100 * price.share)}%)" for price in prices
    )
    return [
        Finding(
            "seldom_bid",
            "note",
            f"Not in the letter and not added, since fewer than half of the {prices[0].pool} comparable bridges had "
            f"it: {seldom}.",
            "If this bridge needs it, the offer rises by its price.",
        )
    ]

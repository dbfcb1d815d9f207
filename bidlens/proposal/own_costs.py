"""What the engineer knows better than the bid tabs: the own crew, and the price of a part the letter leaves out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from bidlens import wording
from bidlens.findings import Finding
from bidlens.proposal.adjustment import Adjustment, part_words, scope_rules, work_words
from bidlens.proposal.offer import SCOPE_PARTS, Proposal


@dataclass(frozen=True, slots=True)
class OwnCosts:
    """The engineer's own figures as steps.

    covered : parts of the work that the letter, the own crew or an own figure cover. categories : work categories an
        own figure prices, so that the county's median is not added too. steps : in dollars of the letter.
    """

    covered: frozenset[str]
    categories: frozenset[str]
    steps: tuple[Adjustment, ...]
    findings: tuple[Finding, ...]


def own_costs(proposal: Proposal, held: frozenset[str], deck_area_sf: float, medians: Mapping[str, str]) -> OwnCosts:
    """Own forces and own figures of a proposal.

    held : work categories of the basis. medians : what the county's median of a category would have been, in words.
    """
    included = frozenset(proposal.scope) | frozenset(proposal.own_forces_scope)
    steps, findings, covered, categories = [], [], set(included), set()
    if proposal.own_forces_usd is not None:
        steps.append(_own_forces(proposal, deck_area_sf))
        findings += _what_own_forces_do(proposal)
    for part, usd in proposal.own_figures:
        category = category_of(part)
        if part in included or category not in held:
            findings.append(_not_used(part, float(usd), part in included))
            continue
        covered.add(part)
        # Delivery or setting is a part of the beams in place, not the whole of them.
        if category != "beams" or part in ("furnish", "beams"):
            categories.add(category)
        instead = medians.get(category, "") if category in categories else ""
        source = f"your own figure, {wording.usd(float(usd))}" + (f"; {instead}" if instead else "")
        steps.append(Adjustment(_figure_words(part), float(usd) / deck_area_sf, source))
    return OwnCosts(frozenset(covered), frozenset(categories), tuple(steps), tuple(findings))


def category_of(part: str) -> str:
    """The work category of a scope part, or the category itself."""
    return str(scope_rules()["parts"].get(part, part))


def _figure_words(part: str) -> str:
    return part_words(part) if part in SCOPE_PARTS else work_words(part)


def _own_forces(proposal: Proposal, deck_area_sf: float) -> Adjustment:
    usd = float(proposal.own_forces_usd or 0)
    parts = ", ".join(part_words(part).lower() for part in proposal.own_forces_scope)
    source = f"your own figure, {wording.usd(usd)}" + (f", for {parts}" if parts else "")
    return Adjustment("Own forces", usd / deck_area_sf, source)


def _what_own_forces_do(proposal: Proposal) -> list[Finding]:
    if proposal.own_forces_scope:
        return []
    text = "Own forces are added without saying what they do; work the letter leaves out is added beside them."
    do = "Name their work under own_forces_scope, so that nothing is counted twice."
    return [Finding("own_forces_scope_missing", "check", text, do)]


def _not_used(part: str, usd: float, included: bool) -> Finding:
    why = "the letter or the own forces include it" if included else "the basis does not hold that work"
    text = f"Your own figure of {wording.usd(usd)} for {_figure_words(part).lower()} was not added: {why}."
    return Finding("own_figure_not_used", "note", text)

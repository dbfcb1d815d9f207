"""Doubts about a forecast, each with its effect on the number."""

from __future__ import annotations

import pandas as pd

from bidlens import wording
from bidlens.findings import Finding, Unavailable
from bidlens.program.mobilization import MobilizationShare
from bidlens.program.rotation import Rotation
from bidlens.program.schedule import Schedule
from bidlens.program.spread import Spread
from bidlens.program.words import millions


def doubts_of(
    structures: pd.DataFrame,
    total: Spread,
    sum_of_p80: float,
    stress: Spread | None,
    basis: str,
    mobilization: MobilizationShare | None,
    rotation: Rotation | Unavailable,
    laid_out: Schedule | None,
) -> list[Finding]:
    """Bridges hard to foretell, quantiles that must not be added, the price jump, and what the basis leaves out."""
    found = [*_grades(structures, total), _not_added(total, sum_of_p80, len(structures))]
    if stress:
        text = (
            f"If prices rose again as in 2021–23 (index up 59% in ten quarters), the list would most likely cost "
            f"{millions(stress.p50)} instead of {millions(total.p50)}. No forecast range held then."
        )
        found.append(Finding("price_jump", "note", text, "Keep it beside the P80 when the budget is set."))
    if basis == "bridge":
        found.append(_left_out(mobilization))
    if laid_out and laid_out.left:
        text = (
            f"In no year is there money for {', '.join(laid_out.left)}, with 80 chances of 100; not in these dollars."
        )
        found.append(Finding("fits_no_year", "check", text, "Give more dollars a year, or more years."))
    if isinstance(rotation, Unavailable):
        found.append(Finding("no_rotation", "note", f"The pace of replacement is not given: {rotation.reason}."))
    return [finding for finding in found if finding]


def _left_out(mobilization: MobilizationShare | None) -> Finding:
    """What the bridge basis leaves out, and what mobilization adds where it was asked for."""
    if mobilization is None:
        text = (
            "Bridge items only: mobilization, traffic, approaches, removal and channel work are not in these dollars."
        )
        return Finding("basis_leaves_out", "check", text, "Use the contract basis for a budget, or add mobilization.")
    share, low, high = (
        wording.number(100 * value, 1) for value in (mobilization.share, mobilization.low, mobilization.high)
    )
    text = (
        f"Mobilization is in these dollars in proportion to the bridge items: {share}% of them over "
        f"{wording.count(mobilization.contracts, 'contract')}, {low}% to {high}% in 8 of 10. Traffic, approaches, "
        "removal and channel work are not in these dollars."
    )
    return Finding("basis_leaves_out", "check", text, "Use the contract basis for a budget.")


def _grades(structures: pd.DataFrame, total: Spread) -> list[Finding]:
    """A finding a bridge of grade D or C, worst first."""
    found = []
    for grade, code, words in (("D", "too_thin", "too thin to judge"), ("C", "thin", "thin")):
        for row in structures[structures["grade"] == grade].to_dict("records"):
            share = wording.half_up(row["p50"] / total.p50 * 100)
            text = (
                f"{row['structure_id']} ({row['superstructure']}): history {words}: {row['reason']}. Its number "
                f"is given but marked; it carries about {share}% of the list's middle."
            )
            found.append(Finding(code, "check", text, "Look at the total without it before relying on it."))
    return found


def _not_added(total: Spread, sum_of_p80: float, bridges: int) -> Finding | None:
    if bridges < 2:
        return None
    text = (
        f"The bridges’ own P80s add to {millions(sum_of_p80)}; the P80 of the whole list is {millions(total.p80)}. "
        "The sum of P80s is not the P80 of the sum: bridges rarely all come in high."
    )
    return Finding("p80_not_added", "note", text)

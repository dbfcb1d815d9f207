"""Several offers beside each other, in words and tables for a terminal."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from bidlens.proposal.service_life import LIFE_CAUTION
from bidlens.report.answers import steps
from bidlens.report.terminal import WIDTH, paragraph, plain, table
from bidlens.wording import number, per_sf, usd

if TYPE_CHECKING:
    from bidlens.proposal import ProposalCheck, ServiceLife, SideBySide
    from bidlens.proposal.side_by_side import OfferedPrice

NOT_GIVEN = "not given"
HEAD = (
    "offer", "type", "quoted", "like for like", "8 in 10", "expected", "8 in 10 lettings", "would read usual",
    "level with the lowest other",
)  # fmt: skip


def comparison_answer(side: SideBySide | None, life: ServiceLife | None) -> list[str]:
    """The comparison as text, in pieces; nothing where there is none."""
    pieces = []
    if side is not None:
        pieces.append("\n".join(["Side by side", "─" * WIDTH, *_side(side)]))
    if life is not None:
        pieces.append("\n".join(["Cost a year", "─" * WIDTH, *_life(life)]))
    return pieces


def _side(side: SideBySide) -> list[str]:
    rows = [offered_row(one) for one in side.offers]
    parts = [table(HEAD, rows, "llrrrrrrr", 30), ""]
    parts += [paragraph(line) for line in said_of(side)]
    asked = [(one.supplier, question) for one in side.offers for question in one.questions]
    if asked:
        parts += ["", "Worth asking", table(("of", "question"), asked, "ll", 110)]
    return parts


def said_of(side: SideBySide) -> list[str]:
    """The comparison's sentences: pairs, types, doubts."""
    return [*(pair.text for pair in side.pairs), *(effect.text for effect in side.type_effects), *side.doubts]


def offered_row(one: OfferedPrice) -> tuple[str, ...]:
    """One offer under `HEAD`."""
    usual = NOT_GIVEN if one.usual_usd is None else f"{usd(one.usual_usd[0])} to {usd(one.usual_usd[1])}"
    return (
        plain(one.supplier),
        plain(one.superstructure),
        usd(one.quoted_usd),
        NOT_GIVEN if one.middle is None else per_sf(one.middle),
        _between(one.low, one.high),
        NOT_GIVEN if one.expected_middle is None else per_sf(one.expected_middle),
        _between(one.expected_low, one.expected_high),
        usual,
        NOT_GIVEN if one.break_even_usd is None else usd(one.break_even_usd),
    )


def steps_beside(checks: Sequence[ProposalCheck]) -> list[tuple[str, ...]]:
    """A row a step from letter to comparable price, a column an offer; each column adds up as printed."""
    columns = [{what: amount for what, amount, _ in steps(check)} for check in checks]
    first, last = steps(checks[0])[0][0], steps(checks[0])[-1][0]
    between = [
        what for what in dict.fromkeys(what for column in columns for what in column) if what not in (first, last)
    ]
    return [(what, *(column.get(what, "") for column in columns)) for what in (first, *between, last)]


def _between(low: float | None, high: float | None) -> str:
    if low is None or high is None:
        return NOT_GIVEN
    return "firm" if number(low, 2) == number(high, 2) else f"{usd(low)} to {usd(high)}"


def _life(life: ServiceLife) -> list[str]:
    head = ("offer", "type", "like for like", "life, years", "cost a year per sf", "level with the cheapest other at")
    rows = life_rows(life)
    rate = f"At {rate_words(life.rate)} a year; capital recovery of the like-for-like price."
    return [paragraph(rate), table(head, rows, "llrrrr", 30), "", paragraph(LIFE_CAUTION)]


def rate_words(rate: float) -> str:
    """3% or 2.75%."""
    return f"{number(100 * rate, 0 if math.isclose(100 * rate, round(100 * rate)) else 2)}%"


def life_rows(life: ServiceLife) -> Sequence[tuple[str, ...]]:
    """Offer, type, price, life, cost a year, and the life at which it draws level."""
    return [
        (
            plain(one.supplier),
            plain(one.superstructure),
            per_sf(one.first_cost_per_sf),
            number(one.life_years),
            per_sf(one.annual_per_sf, 2),
            crossover_words(one.crossover_years, len(life.offers)),
        )
        for one in life.offers
    ]


def crossover_words(years: float | None, offers: int) -> str:
    """The life at which an offer costs as much a year as the cheapest other."""
    if years is None:
        return "no life" if offers > 1 else "no other offer"
    return f"{number(years)} years"

"""Two to six offers side by side for the bridge file: at most two printed pages before each offer's own memo."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import pandas as pd

from bidlens import quarters
from bidlens.proposal.service_life import LIFE_CAUTION
from bidlens.report.answers import CAUTION
from bidlens.report.comparison import HEAD, life_rows, offered_row, rate_words
from bidlens.report.escaping import escape
from bidlens.report.memo_fit import cut
from bidlens.report.printed import section, table
from bidlens.report.steps_svg import beside_svg, waterfall_svg
from bidlens.wording import chances, count, number, percent, signed

if TYPE_CHECKING:
    from bidlens.proposal import ProposalCheck, ServiceLife, SideBySide
    from bidlens.proposal.side_by_side import Pair

#: Rows of words that have room; the rest is in the JSON answer and on the page.
_SENTENCES, _PAIRS_IN_ONE = 4, 6
#: Offers that fit on two pages in full size.
_AS_LARGE = 4
_HEAD = ("", "offer", *HEAD[2:-1], "level with lowest")


def comparison_html(
    checks: Sequence[ProposalCheck], side: SideBySide | None, life: ServiceLife | None, sources: str
) -> str:
    """The comparison as the first article of the printed memo; empty text where there is none."""
    if side is None:
        return ""
    first = checks[0]
    letters = {one.proposal_id: letter for one, letter in zip(side.offers, "ABCDEF", strict=False)}
    answer, support = _answer(side)
    rows = [_row(letters[one.proposal_id], offered_row(one)) for one in side.offers]
    smaller = ' style="zoom:.9"' if len(rows) > _AS_LARGE else ""
    parts = [
        f'<article class="memo compared"{smaller}><p class="question">Which offer costs less, like for like?</p>',
        f'<h1 class="answer">{escape(answer)}</h1><p class="support">{escape(support)}</p>',
        _title_block(first, checks),
        section("Offers in the ranges of their types", _RANGES, beside_svg(side.offers, letters)),
        section("Like for like", "Prices are $ per square foot of deck but for quoted, usual and level.",
                table(_HEAD, rows, "llrrrrrrr")),
        section("What stands between them", _BETWEEN, _pairs(side.pairs, letters) + _sentences(side)),
        section("From each letter to a comparable price", _FALLS, _falls(checks, letters)),
        _life(life),
        f'<p class="caution">{escape(CAUTION)}</p>',
        '<p class="signed">Reviewed by <span></span> Date <span></span></p>',
        f"<footer>{escape(sources)}</footer></article>",
    ]  # fmt: skip
    return "".join(parts)


_RANGES = "Bar: 8 in 10 lettings of that type; line: its middle; diamond: the offer, with what the added work may cost."
_BETWEEN = (
    "Chance: that the first is the cheaper, given what the work we priced may cost. Noise says nothing of either."
)
_FALLS = "Outlined: quoted; grey: added at what we paid for such work; hatched: taken off; filled: like for like. $/sf."


def _row(letter: str, cells: Sequence[str]) -> tuple[str, ...]:
    """One offer under _HEAD: supplier and type in one cell."""
    supplier, kind, *rest = cells
    return (letter, f"{cut(supplier, 24)}, {cut(kind, 20)}", *rest)


def _answer(side: SideBySide) -> tuple[str, str]:
    """The lowest offer beside the next, as one sentence and what comes after it."""
    if not side.pairs:
        return "Fewer than two of these offers could be made like for like.", "None is ranked."
    said, _, rest = side.pairs[0].text.partition("; ")
    return f"{cut(said, 190)}.", f"{rest[:1].upper()}{rest[1:]}"


def _title_block(first: ProposalCheck, checks: Sequence[ProposalCheck]) -> str:
    areas = sorted({number(check.deck_area_sf) for check in checks})
    bridges = sorted({check.proposal.structure or "geometry of the letter" for check in checks})
    cells = (
        ("Bridge", cut(", ".join(bridges), 60)),
        ("Offers", count(len(checks), "offer")),
        ("Deck area", f"{areas[0]} sf" if len(areas) == 1 else f"{areas[0]} to {areas[-1]} sf"),
        ("Basis", f"{first.basis}, in place"),
        ("Dollars of", quarters.shown(first.dollars_of)),
        ("History", f"{count(first.history.contracts, 'contract')} · {first.index_title}"),
    )
    body = "".join(f"<div><span>{key}</span>{escape(value)}</div>" for key, value in cells)
    return f'<div class="block">{body}</div>'


def _pairs(pairs: Sequence[Pair], letters: dict[str, str]) -> str:
    """A row a pair, by the letters of the offers; side by side where they are many."""
    rows = [
        (
            f"{letters[pair.first]} against {letters[pair.second]}",
            signed(pair.difference_per_sf, 1, "$"),
            percent(pair.difference_ratio, 1),
            chances(pair.chance_first_cheaper),
            "noise" if pair.noise else "",
        )
        for pair in pairs
    ]
    half = len(rows) if len(rows) <= _PAIRS_IN_ONE else -(-len(rows) // 2)
    head = ("offers", "$/sf", "apart", "chance it is cheaper", "")
    both = [table(head, part, "lrrrl") for part in (rows[:half], rows[half:])]
    return both[0] if half == len(rows) else f'<div class="falls">{both[0]}{both[1]}</div>'


def _sentences(side: SideBySide) -> str:
    said = [*side.doubts, *(effect.text for effect in side.type_effects)][:_SENTENCES]
    return "".join(f'<p class="soft">{escape(cut(one, 240))}</p>' for one in said)


def _falls(checks: Sequence[ProposalCheck], letters: dict[str, str]) -> str:
    tops = [max(check.like_for_like_per_sf, check.quoted_per_sf) for check in checks]
    top = max((one for one in tops if math.isfinite(one)), default=1.0)
    titled = [(escape(_title(check, letters)), waterfall_svg(check, top)) for check in checks]
    figures = "".join(f"<figure><figcaption>{title}</figcaption>{drawn}</figure>" for title, drawn in titled)
    return f'<div class="falls">{figures}</div>'


def _title(check: ProposalCheck, letters: dict[str, str]) -> str:
    offer = check.proposal
    return cut(f"{letters[offer.proposal_id]}. {offer.supplier}, {offer.superstructure}", 50)


def _life(life: ServiceLife | None) -> str:
    if life is None:
        return ""
    head = ("offer", "type", "like for like", "life, years", "cost a year per sf", "level with the cheapest at")
    rows = [tuple(cut(cell, 34) for cell in row) for row in life_rows(life)]
    lead = f"At {rate_words(life.rate)} a year; capital recovery of the like-for-like price. {LIFE_CAUTION}"
    return section("Cost a year", lead, table(head, rows, "llrrrr"))


def comparison_sheets(side: SideBySide | None) -> dict[str, pd.DataFrame]:
    """The comparison as frames: offers, and pairs of them."""
    if side is None:
        return {}
    offers = pd.DataFrame(side.as_dict()["offers"]).drop(columns="questions")
    usual = offers.pop("usual_usd")
    for place, name in enumerate(("usual_from_usd", "usual_to_usd")):
        offers[name] = [None if pair is None else pair[place] for pair in usual]
    return {"side by side": offers, "between offers": pd.DataFrame(side.as_dict()["pairs"])}

"""Offers drawn for print: the steps from letter to comparable price as a waterfall; offers in their types' ranges."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from bidlens.report.answers import steps
from bidlens.report.escaping import escape
from bidlens.report.memo_fit import cut
from bidlens.report.place_svg import diamond
from bidlens.wording import usd

if TYPE_CHECKING:
    from bidlens.proposal import ProposalCheck
    from bidlens.proposal.side_by_side import OfferedPrice

_INK, _SOFT, _FLAG, _FLAGTEXT, _ADDED = "#17262B", "#4A5A60", "#C24A0A", "#A63C05", "#BDBDBD"
_WIDTH, _ROW, _LABEL, _AMOUNT, _BARS = 340, 17, 150, 58, 120
_HATCH = (
    '<defs><pattern id="off" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    f'<line x1="0" y1="0" x2="0" y2="5" stroke="{_INK}" stroke-width="1.2"/></pattern></defs>'
)
_BESIDE_WIDTH, _BESIDE_ROW, _BESIDE_LEFT = 700, 36, 210


def waterfall_svg(check: ProposalCheck, top: float) -> str:
    """One offer from its letter to the comparable price, read downward; bars start at zero and end at `top` $/sf."""
    if not math.isfinite(check.like_for_like_per_sf):
        return '<p class="soft">not given: work of this basis could not be priced</p>'
    lines = steps(check)
    amounts = [step.per_sf for step in check.adjustments]
    ends = list(itertools.accumulate([check.quoted_per_sf, *amounts]))
    spans = [(0.0, ends[0]), *itertools.pairwise(ends), (0.0, ends[-1])]
    height = _ROW * len(lines) + 4
    rows = [
        _step(number, what, amount, span, top, number in (0, len(lines) - 1), number == len(lines) - 1)
        for number, ((what, amount, _), span) in enumerate(zip(lines, spans, strict=True))
    ]
    spoken = escape("; ".join(f"{what} {amount}" for what, amount, _ in lines))
    return (
        f'<svg viewBox="0 0 {_WIDTH} {height}" role="img" aria-label="{spoken}" font-family="inherit" font-size="11">'
        f"{_HATCH}{''.join(rows)}</svg>"
    )


def _step(number: int, what: str, amount: str, span: tuple[float, float], top: float, whole: bool, total: bool) -> str:
    """One row: label, amount, bar. whole : from zero, the quoted price or the total."""
    y = _ROW * number
    start, end = min(span), max(span)
    left = _LABEL + _AMOUNT + 8 + max(start, 0.0) / top * _BARS
    wide = max((end - max(start, 0.0)) / top * _BARS, 0.8)
    fill, edge = (_FLAG, _INK) if total else ("#fff", _FLAG) if whole else (_ADDED, _INK)
    if not whole and span[1] < span[0]:
        fill = "url(#off)"
    weight = ' font-weight="700"' if total else ""
    color = _FLAGTEXT if total else _INK
    return (
        f'<text x="{_LABEL}" y="{y + 12}" text-anchor="end" fill="{color}"{weight}>{escape(cut(what, 27))}</text>'
        f'<text x="{_LABEL + _AMOUNT}" y="{y + 12}" text-anchor="end" fill="{color}"{weight}>{amount}</text>'
        f'<rect x="{left:.1f}" y="{y + 3}" width="{wide:.1f}" height="{_ROW - 6}" fill="{fill}" stroke="{edge}" '
        'stroke-width=".9"/>'
    )


def beside_svg(offers: Sequence[OfferedPrice], letters: Mapping[str, str]) -> str:
    """A row an offer: its type's 8-in-10 range and middle, the offer as a diamond with what the added work may cost.

    letters : what each offer is called, by proposal.
    """
    drawn = [one for one in offers if one.middle is not None]
    ends = [end for one in drawn for end in (one.low, one.high, one.expected_low, one.expected_high) if end is not None]
    if not ends:
        return ""
    low, high = min(ends), max(ends)
    reach = (high - low) or 20.0

    def x(value: float) -> float:
        return _BESIDE_LEFT + 14 + (value - low) / reach * (_BESIDE_WIDTH - _BESIDE_LEFT - 60)

    height = _BESIDE_ROW * len(drawn) + 6
    rows = "".join(_offer_row(number, one, letters[one.proposal_id], x) for number, one in enumerate(drawn))
    spoken = escape("; ".join(f"{one.supplier} {usd(one.middle or 0)}" for one in drawn))
    return (
        f'<svg viewBox="0 0 {_BESIDE_WIDTH} {height}" role="img" aria-label="{spoken}" font-family="inherit" '
        f'font-size="12">{rows}</svg>'
    )


def _offer_row(number: int, one: OfferedPrice, letter: str, place: Callable[[float], float]) -> str:
    y = _BESIDE_ROW * number + _BESIDE_ROW / 2 + 6
    middle = place(one.middle or 0.0)
    name = escape(cut(f"{letter}. {one.supplier}", 32))
    parts = [
        f'<text x="{_BESIDE_LEFT}" y="{y - 3}" text-anchor="end" fill="{_INK}">{name}</text>',
        f'<text x="{_BESIDE_LEFT}" y="{y + 10}" text-anchor="end" fill="{_SOFT}" font-size="10.5">'
        f"{escape(cut(one.superstructure, 36))}</text>",
    ]
    if one.expected_low is not None and one.expected_high is not None and one.expected_middle is not None:
        left, right, usual = place(one.expected_low), place(one.expected_high), place(one.expected_middle)
        parts.append(
            f'<rect x="{left:.1f}" y="{y - 9}" width="{right - left:.1f}" height="18" fill="#DDDDDD"/>'
            f'<line x1="{usual:.1f}" x2="{usual:.1f}" y1="{y - 9}" y2="{y + 9}" stroke="{_INK}" stroke-width="2"/>'
        )
    low, high = place(one.low or 0.0), place(one.high or 0.0)
    parts += [
        f'<line x1="{low:.1f}" x2="{high:.1f}" y1="{y}" y2="{y}" stroke="{_FLAG}" stroke-width="1.6"/>',
        diamond(middle, y, _FLAG),
        f'<text x="{middle:.1f}" y="{y - 11}" text-anchor="middle" fill="{_FLAGTEXT}" font-weight="700">'
        f"{usd(one.middle or 0.0)}</text>",
    ]
    return "".join(parts)

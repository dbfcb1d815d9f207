"""The 50 dots of a program's total as inline SVG, for the printed report."""

from __future__ import annotations

import numpy as np

from bidlens.program import ProgramForecast, dots_of
from bidlens.program.words import millions

_WIDE, _BASE, _LEFT, _RIGHT = 700.0, 190.0, 20.0, 680.0


def dots_svg(found: ProgramForecast) -> str:
    """Filled dots: the budget covers them; hollow: beyond. P10, middle, P80 and P90 stand below."""
    budget = found.budget.usd if found.budget else None
    dots = dots_of(found.totals, budget)
    marks = [found.total.p10, found.total.p50, found.total.p80, found.total.p90]
    low = min(float(dots.x.min()), *marks, budget or np.inf) - dots.width
    high = max(float(dots.x.max()), *marks, budget or -np.inf) + dots.width
    scale = (_RIGHT - _LEFT) / (high - low)
    radius = min(dots.width * scale / 2, 150 / max(int(dots.y.max()), 1) / 2) * 0.94

    def across(usd: float) -> float:
        return _LEFT + (usd - low) * scale

    parts = [
        f'<circle cx="{across(x):.1f}" cy="{_BASE - (y - 0.5) * 2 * radius / 0.94:.1f}" r="{radius:.1f}" '
        f'fill="{"#17262B" if within else "#FFFFFF"}" stroke="#17262B"/>'
        for x, y, within in zip(dots.x, dots.y, dots.within, strict=True)
    ]
    for name, usd, row in zip(("P10", "middle", "P80", "P90"), marks, (0, 0, 0, 1), strict=True):
        parts.append(_mark(across(usd), name, millions(usd, short=True), row))
    if budget is not None:
        parts.append(_flag(across(budget), millions(budget, short=True), int(dots.within.sum())))
    return (
        f'<svg viewBox="0 0 {_WIDE:.0f} 262" role="img" aria-label="The whole list against the budget" '
        f'font-size="12" fill="#17262B">{"".join(parts)}'
        f'<line x1="{_LEFT}" x2="{_RIGHT}" y1="{_BASE}" y2="{_BASE}" stroke="#4A5A60"/></svg>'
    )


def _mark(x: float, name: str, amount: str, row: int) -> str:
    y = _BASE + 18 + 32 * row
    return (
        f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{_BASE}" y2="{y - 11:.1f}" stroke="#17262B"/>'
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="middle">{name}</text>'
        f'<text x="{x:.1f}" y="{y + 13:.1f}" text-anchor="middle">{amount}</text>'
    )


def _flag(x: float, amount: str, within: int) -> str:
    return (
        f'<line x1="{x:.1f}" x2="{x:.1f}" y1="8" y2="{_BASE}" stroke="#C24A0A" stroke-width="2.5"/>'
        f'<text x="{x + 6:.1f}" y="16" font-weight="700" fill="#A63C05">budget {amount}</text>'
        f'<text x="{x - 6:.1f}" y="16" text-anchor="end">{within} of 50 dots within</text>'
        f'<text x="{x + 6:.1f}" y="31">{50 - within} of 50 dots beyond</text>'
    )

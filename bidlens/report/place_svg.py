"""Where the offer lies in the expected range, as an SVG for print: bands in greys, offer as an outlined diamond."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bidlens.wording import usd

if TYPE_CHECKING:
    from bidlens.proposal import ProposalCheck

_WIDTH, _HEIGHT, _TOP, _BAR = 700, 150, 46, 30
_INK, _SOFT, _FLAG = "#17262B", "#4A5A60", "#C24A0A"


def place_svg(check: ProposalCheck) -> str:
    """The place strip of a check; empty text where no range is given, because a faded picture would still be read."""
    expected = check.expected
    if expected is None or check.verdict.code == "not_enough_history":
        return ""
    values = [expected["p05"], expected["p95"], check.like_for_like_per_sf, check.quoted_per_sf]
    low, high = min(values), max(values)
    margin = 0.12 * (high - low)

    def x(value: float) -> float:
        return (value - low + margin) / (high - low + 2 * margin) * _WIDTH

    def band(first: str, last: str, fill: str, edge: str) -> str:
        left, right = x(expected[first]), x(expected[last])
        return (
            f'<rect x="{left:.1f}" y="{_TOP}" width="{right - left:.1f}" height="{_BAR}" fill="{fill}" '
            f'stroke="{_SOFT}" stroke-width=".7" {edge}/>'
        )

    middle, offer, quoted = x(expected["p50"]), x(check.like_for_like_per_sf), x(check.quoted_per_sf)
    usual = f"usual: 8 in 10 lettings fall here, {usd(expected['p10'])} to {usd(expected['p90'])}"
    rail = _TOP + _BAR + 26
    apart = abs(quoted - offer) > 12
    spoken = f"{usual}; offer {usd(check.like_for_like_per_sf)}"
    parts = [
        f'<svg viewBox="0 0 {_WIDTH} {_HEIGHT}" role="img" aria-label="{spoken}" font-family="inherit" font-size="12">',
        band("p05", "p95", "#F1F1F1", 'stroke-dasharray="2 2"'),
        band("p10", "p90", "#DDDDDD", ""),
        band("p25", "p75", "#BDBDBD", ""),
        _dimension(x(expected["p10"]), x(expected["p90"]), 24, _INK),
        _text((x(expected["p10"]) + x(expected["p90"])) / 2, 16, usual, _INK),
        _upright(middle, _TOP - 4, _TOP + _BAR, _INK),
        _text(middle, _TOP - 8, f"middle {usd(expected['p50'])}", _INK),
        _dimension(min(quoted, offer), max(quoted, offer), rail, _FLAG) if apart else "",
        diamond(quoted, rail, "#fff") if apart else "",
        _text(quoted, rail + 22, f"quoted {usd(check.quoted_per_sf)}", _SOFT) if apart else "",
        _upright(offer, _TOP + _BAR / 2, rail, _FLAG),
        diamond(offer, _TOP + _BAR / 2, _FLAG),
        _text(offer, rail + 22, f"offer {usd(check.like_for_like_per_sf)}", "#A63C05", bold=True),
        _text(_WIDTH / 2, _HEIGHT - 4, "$ per square foot of deck, like for like", _SOFT),
        "</svg>",
    ]
    return "".join(parts)


def _upright(x: float, top: float, bottom: float, color: str) -> str:
    return f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{top}" y2="{bottom}" stroke="{color}" stroke-width="1.6"/>'


def _dimension(left: float, right: float, y: float, color: str) -> str:
    slashes = "".join(
        f'<line x1="{x - 4:.1f}" x2="{x + 4:.1f}" y1="{y + 4}" y2="{y - 4}" stroke="{color}"/>' for x in (left, right)
    )
    return f'<line x1="{left:.1f}" x2="{right:.1f}" y1="{y}" y2="{y}" stroke="{color}"/>{slashes}'


def diamond(x: float, y: float, fill: str) -> str:
    """The mark of the thing in question, 16 high, about a point."""
    return (
        f'<path d="M{x:.1f} {y - 8}L{x + 8:.1f} {y}L{x:.1f} {y + 8}L{x - 8:.1f} {y}Z" fill="{fill}" stroke="{_INK}" '
        'stroke-width="1.2"/>'
    )


def _text(x: float, y: float, words: str, color: str, *, bold: bool = False) -> str:
    weight = ' font-weight="700"' if bold else ""
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="middle" fill="{color}"{weight}>{words}</text>'

"""Bids against the estimate as an SVG for print: one row a contract, low bid filled, other bids as ticks."""

from __future__ import annotations

import math

import pandas as pd

from bidlens.letting import LettingReview
from bidlens.report.escaping import escape
from bidlens.wording import count, number, percent, usd

_LEFT, _RIGHT, _WIDTH, _ROW = 270, 20, 720, 22
_INK, _SOFT, _RULE, _BAND = "#17262B", "#4A5A60", "#C3CED0", "#E4E8E9"
#: A picture of more contracts than this would not fit a page: the largest are drawn, the table lists all.
MOST_CONTRACTS = 40


def bids_svg(review: LettingReview) -> str:
    """Each contract's bids as percent of its estimate, the largest of many; empty text where none has an estimate."""
    rows = review.contracts[review.contracts["estimate_usd"].notna() & (review.contracts["status"] != "rejected")]
    if rows.empty:
        return ""
    rows = rows.nlargest(MOST_CONTRACTS, "low_usd").sort_index()
    places = bid_ratios(review, rows)
    low, high = min([-0.15, *places["ratio"]]), max([0.15, *places["ratio"]])
    step = next(step for step in (0.1, 0.2, 0.5, 1.0, 5.0, 50.0) if (high - low) / step <= 9 or step == 50.0)
    first, last = math.floor(low / step), math.ceil(high / step)

    def x(ratio: float) -> float:
        return _LEFT + (ratio - first * step) / ((last - first) * step) * (_WIDTH - _LEFT - _RIGHT)

    bottom = 28 + _ROW * len(rows)
    parts = [
        f'<svg viewBox="0 0 {_WIDTH} {bottom + 46}" role="img" aria-label="Bids against the engineer’s estimate" '
        'font-family="inherit" font-size="11">',
        f'<rect x="{x(-0.1):.1f}" y="20" width="{x(0.1) - x(-0.1):.1f}" height="{bottom - 20}" fill="{_BAND}"/>',
        _words(x(0), 14, "engineer’s estimate", "middle"),
        *(_words(at, 14, title, "end") for at, title in ((110, "contract"), (200, "low bid"), (255, "bids"))),
        *(_tick(x(n * step), bottom, n * step) for n in range(first, last + 1)),
        f'<line x1="{x(0):.1f}" x2="{x(0):.1f}" y1="20" y2="{bottom}" stroke="{_INK}" stroke-width="1.6"/>',
    ]
    for place, row in enumerate(rows.to_dict("records")):
        own = places[(places["contract_id"] == row["contract_id"]) & (places["letting_date"] == row["letting_date"])]
        parts.append(_row(row, [x(ratio) for ratio in own["ratio"]], 28 + _ROW * place + _ROW / 2))
    axis = "difference from the estimate (shaded: within 10%)"
    parts.append(_words((_LEFT + _WIDTH) / 2, bottom + 34, axis, "middle"))
    return "".join([*parts, "</svg>"])


def bid_ratios(review: LettingReview, rows: pd.DataFrame) -> pd.DataFrame:
    """Each ranked bid of the contracts given, its ratio to the estimate less one; lowest first."""
    key = ["contract_id", "letting_date"]
    ranked = review.bids[review.bids["rank_corrected"].notna() & (review.bids["status"] == "responsive")]
    both = ranked.merge(rows[[*key, "estimate_usd"]], on=key, how="inner", validate="m:1")
    both["ratio"] = both["total_corrected"] / both["estimate_usd"] - 1
    return both.sort_values([*key[::-1], "ratio", "bidder"])[[*key, "bidder", "total_corrected", "ratio"]]


def _row(row: dict, places: list[float], y: float) -> str:
    if not places:
        return ""
    single = len(places) == 1
    bids = count(int(row["bids"]), "bid")
    weight = ' font-weight="700"' if single else ""
    marks = [
        f'<line x1="{places[0]:.1f}" x2="{places[-1]:.1f}" y1="{y}" y2="{y}" stroke="{_RULE}" stroke-width="1.2"/>'
    ]
    marks += [f'<line x1="{at:.1f}" x2="{at:.1f}" y1="{y - 5}" y2="{y + 5}" stroke="{_SOFT}"/>' for at in places[1:]]
    fill = "#fff" if single else _INK
    marks.append(f'<circle cx="{places[0]:.1f}" cy="{y}" r="4.5" fill="{fill}" stroke="{_INK}" stroke-width="1.6"/>')
    name = escape(str(row["contract_id"])[:20])
    return "".join(
        [
            _words(110, y + 4, name, "end"),
            _words(200, y + 4, usd(row["low_usd"]), "end"),
            f'<text x="255" y="{y + 4}" text-anchor="end" fill="{_INK}"{weight}>{bids}</text>',
            *marks,
        ]
    )


def _tick(at: float, bottom: float, ratio: float) -> str:
    line = f'<line x1="{at:.1f}" x2="{at:.1f}" y1="20" y2="{bottom}" stroke="#E3E9EA"/>'
    return line + _words(at, bottom + 16, percent(ratio) if ratio else "0", "middle")


def _words(x: float, y: float, words: str, anchor: str) -> str:
    return f'<text x="{x:.1f}" y="{y}" text-anchor="{anchor}" fill="{_INK}">{words}</text>'


def index_svg(review: LettingReview) -> str:
    """The county's price index over the years beside the published one; empty text under three years with both."""
    table = review.price_index.dropna(subset=["index", "published"])
    if len(table) < 3:
        return ""
    left, right, top, bottom = 60, 150, 12, 150
    first, last = int(table["year"].min()), int(table["year"].max())
    highest = max(table["index"].max(), table["published"].max()) * 1.05
    lowest = min(1.0, table["index"].min(), table["published"].min()) * 0.95

    def at(year: float, value: float) -> tuple[float, float]:
        x = left + (year - first) / (last - first) * (_WIDTH - left - right)
        return x, bottom - (value - lowest) / (highest - lowest) * (bottom - top)

    parts = [
        f'<svg viewBox="0 0 {_WIDTH} {bottom + 30}" role="img" aria-label="County price index and published index" '
        'font-family="inherit" font-size="11">',
        f'<line x1="{left}" x2="{_WIDTH - right}" y1="{bottom}" y2="{bottom}" stroke="{_SOFT}"/>',
    ]
    step = 0.25 if highest - lowest < 1.5 else 0.5 if highest - lowest < 3 else 1.0
    for n in range(math.ceil(lowest / step), math.floor(highest / step) + 1):
        y = at(first, n * step)[1]
        parts.append(f'<line x1="{left}" x2="{_WIDTH - right}" y1="{y:.1f}" y2="{y:.1f}" stroke="#E3E9EA"/>')
        parts.append(_words(left - 6, y + 4, number(n * step, 2), "end"))
    for year in range(first, last + 1, max(1, (last - first) // 6)):
        parts.append(_words(at(year, 1)[0], bottom + 16, str(year), "middle"))
    ends = {}
    for column, said, dash, color in (("published", "published", ' stroke-dasharray="5 3"', _SOFT),
                                      ("index", "county", "", _INK)):  # fmt: skip
        places = [at(year, value) for year, value in zip(table["year"], table[column], strict=True)]
        line = " ".join(f"{x:.1f},{y:.1f}" for x, y in places)
        parts.append(f'<polyline points="{line}" fill="none" stroke="{color}" stroke-width="1.8"{dash}/>')
        ends[said] = (places[-1], float(table[column].iloc[-1]))
    (_, upper), (_, lower) = ends["county"][0], ends["published"][0]
    apart = 7 if abs(upper - lower) < 14 else 0
    above = -apart if upper <= lower else apart
    for said, shift in (("county", above), ("published", -above)):
        (x, y), value = ends[said]
        parts.append(_words(x + 8, y + 4 + shift, f"{said} {number(value, 2)}", "start"))
    return "".join([*parts, "</svg>"])

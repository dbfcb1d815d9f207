"""The marks of past contracts: shapes by superstructure type, hover lines, and the key that leads to the papers."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

import pandas as pd

from bidlens import wording
from bidlens.figures import words
from bidlens.figures.drawing import Trace, scatter
from bidlens.figures.theme import Palette

#: Shape of a type when it is not the one asked about. The type asked about is always the filled circle.
SHAPES = {
    "concrete slab": "square-open",
    "adjacent box beam": "triangle-up-open",
    "prestressed I-beam": "diamond-tall-open",
    "timber": "x-thin-open",
    "steel plate girder": "pentagon-open",
    "spread box beam": "triangle-down-open",
    "steel tub girder": "hexagon-open",
}
ANYTHING_ELSE = "cross-thin-open"

_KEY = re.compile(r"(?P<contract>.*)\|(?P<day>\d{4}-\d\d-\d\d)\|(?P<structure>.*)", re.DOTALL)

OWN_SIZE, OTHERS_SIZE = 11, 8


def key_of(contract_id: object, letting_date: object, structure_id: object) -> str:
    """What a mark carries so that a click finds its papers: contract, letting day and structure with bars between."""
    return f"{contract_id}|{pd.Timestamp(str(letting_date)):%Y-%m-%d}|{structure_id}"


def keys_of(history: pd.DataFrame) -> list[str]:
    """`key_of` for n rows."""
    columns = (history["contract_id"], history["letting_date"], history["structure_id"])
    return [key_of(*row) for row in zip(*columns, strict=True)]


def parted(key: str) -> tuple[str, str, str] | None:
    """Contract, letting day and structure of a key; None for text that is none."""
    found = _KEY.fullmatch(key)
    return (found["contract"], found["day"], found["structure"]) if found else None


def hover_lines(history: pd.DataFrame, value: str) -> list[str]:
    """Three lines a mark: contract and type; price, span, year and bids; what a click does.

    value : column with the $/sf drawn.
    """
    return [_hover(row, value) for row in history.to_dict("records")]


def _hover(row: dict[Any, Any], value: str) -> str:
    facts = [f"{wording.usd(row[value])}/sf"]
    if words.is_number(row.get("span_ft")):
        facts.append(words.feet(row["span_ft"]))
    facts.append(f"let {pd.Timestamp(row['letting_date']).year}")
    if words.is_number(row.get("bidders")):
        facts.append(wording.count(int(row["bidders"]), "bid"))
    first = f"<b>{words.escape(row['contract_id'], 40)}</b> · {words.escape(row['superstructure'], 40)}"
    return f"{first}<br>{' · '.join(facts)}<br>click: its bid tab"


def history_traces(
    history: pd.DataFrame, asked: str, x: Sequence[Any], value: str, palette: Palette, size: float = 1.0
) -> list[Trace]:
    """One trace a type: others open and grey first, then the type asked about filled and blue, first in the key.

    history : HISTORY rows drawn. x : n positions. value : column with the $/sf drawn. size : factor on mark sizes.
    """
    placed = history.assign(_x=list(x), _key=keys_of(history), _hover=hover_lines(history, value))
    own = placed[placed["superstructure"] == asked]
    others = placed[placed["superstructure"] != asked]
    traces = []
    for rank, (shape, name, rows) in enumerate(by_shape(others)):
        marker = {
            "symbol": shape,
            "size": OTHERS_SIZE * size,
            "color": palette.others,
            "line": {"width": 1.3, "color": palette.others},
        }
        traces.append(_trace(rows, value, name, marker, 10 + rank))
    if not own.empty:
        marker = {
            "symbol": "circle",
            "size": OWN_SIZE * size,
            "color": palette.own,
            "line": {"width": 1.2, "color": palette.paper},
        }
        traces.append(_trace(own, value, words.escape(asked, 30), marker, 1))
    return traces


def by_shape(others: pd.DataFrame) -> list[tuple[str, str, pd.DataFrame]]:
    """Shape, name in the key, rows; most contracts first. Types without a shape of their own share one entry."""
    named = others["superstructure"].map(lambda kind: kind if kind in SHAPES else "")
    groups = []
    for kind in named.value_counts().index:
        rows = others[named == kind]
        if kind:
            groups.append((SHAPES[kind], kind, rows))
            continue
        kinds = sorted(rows["superstructure"].unique())
        name = words.escape(kinds[0], 30) if len(kinds) == 1 else f"{len(kinds)} other types"
        groups.append((ANYTHING_ELSE, name, rows))
    return groups


def _trace(rows: pd.DataFrame, value: str, name: str, marker: dict[str, Any], rank: int) -> Trace:
    return scatter(
        x=rows["_x"].tolist(),
        y=rows[value].tolist(),
        mode="markers",
        name=name,
        marker=marker,
        customdata=rows["_key"].tolist(),
        hovertext=rows["_hover"].tolist(),
        hoverinfo="text",
        legendrank=rank,
        unselected={"marker": {"opacity": 1}},
        selected={"marker": {"opacity": 1}},
    )


def picked_ring(x: Any, y: float, palette: Palette) -> Trace:
    """A ring around the mark whose papers are open."""
    return scatter(
        x=[x],
        y=[y],
        mode="markers",
        marker={
            "symbol": "circle-open",
            "size": 20,
            "color": palette.ink,
            "line": {"width": 2.2, "color": palette.ink},
        },
        hoverinfo="skip",
        showlegend=False,
        name="picked",
        unselected={"marker": {"opacity": 1}},
    )


def offer_diamond(x: Any, y: float, palette: Palette, size: int = 18) -> Trace:
    """The thing in question: filled diamond with an ink outline."""
    return scatter(
        x=[x],
        y=[y],
        mode="markers",
        marker={
            "symbol": "diamond",
            "size": size,
            "color": palette.flag,
            "opacity": 1,
            "line": {"width": 1.6, "color": palette.ink},
        },
        hoverinfo="skip",
        showlegend=False,
        name="offer",
        unselected={"marker": {"opacity": 1}},
    )

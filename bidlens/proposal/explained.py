"""Why the expected price is what it is: from a stated reference bridge to the offered one, part by part."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import pandas as pd

from bidlens import quarters, wording
from bidlens.model import CostModel
from bidlens.proposal.dollars import QuotedDollars

_PARTS = ("type", "span", "deck_area", "bidders", "skew", "market", "index")


@dataclass(frozen=True, slots=True)
class Contribution:
    """One part of the expected middle price.

    what : in words, the offered bridge's own value in it. ratio : what it multiplies the price by; 1 for the
    reference. per_sf : $/sf of deck once this part and those before it are in, in dollars of the base quarter.
    """

    part: str
    what: str
    ratio: float
    per_sf: float

    def as_dict(self) -> dict[str, Any]:
        return {"part": self.part, "what": self.what, "ratio": self.ratio, "per_sf": self.per_sf}


def explain_expected(model: CostModel | None, row: pd.DataFrame, dollars: QuotedDollars) -> tuple[Contribution, ...]:
    """The parts of the expected middle price in order; the last `per_sf` is the expected p50. Empty without one.

    row : the offered bridge, let on the day the quoted dollars are of. The index part reaches from the dollars of the
    reference bridge to those of the base quarter.
    """
    if model is None:
        return ()
    found = model.explain(row).iloc[0]
    if not math.isfinite(float(found["p50"])):
        return ()
    running = float(found["reference"])
    said = [Contribution("reference", model.reference_words, 1.0, running)]
    for part in _PARTS:
        ratio = float(found[part]) * (dollars.ratio if part == "index" else 1.0)
        running *= ratio
        said.append(Contribution(part, _words(part, model, row.iloc[0], dollars), ratio, running))
    return tuple(said)


def _words(part: str, model: CostModel, offered: pd.Series, dollars: QuotedDollars) -> str:
    kind = str(offered["superstructure"])
    not_restated = model.levels.index is None or model.levels.index.is_none
    said = {
        "type": kind if kind in model.types else f"{kind}: no history, so the middle type",
        "span": _given("span", offered["span_ft"], "ft"),
        "deck_area": _given("deck", offered["deck_area_sf"], "sf"),
        "bidders": _bidders(model),
        "skew": _given("skew", offered["skew_deg"], "degrees", "taken as none"),
        "market": f"price level of {pd.Timestamp(offered['letting_date']).year} beside the index",
        "index": "no cost index" if not_restated else f"index to {quarters.shown(dollars.dollars_of)}",
    }
    return said[part]


def _given(name: str, value: Any, unit: str, instead: str = "the usual one stands in") -> str:
    return f"{name} not known: {instead}" if pd.isna(value) else f"{name} {wording.number(float(value))} {unit}"


def _bidders(model: CostModel) -> str:
    usual = model.filler.bidders_median
    return "bidders never known" if usual is None else f"bidders not known yet: {usual:g} as usual here"

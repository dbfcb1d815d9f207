"""Terms a letter may add: price by the beam or the pound, clear width, F.O.B., validity, and the owner's own costs."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pandas as pd

from bidlens.errors import BadValue, Place
from bidlens.ingest import cells
from bidlens.ingest.nearest import nearest
from bidlens.proposal.adjustment import scope_rules
from bidlens.proposal.offer import SCOPE_PARTS, Proposal

if TYPE_CHECKING:
    from bidlens.ingest.proposal_fields import Given

NAMES = (
    "price_per_beam", "beams", "price_per_lb", "weight_lb", "valid_until", "fob", "clear_width", "clear_width_ft",
    "clear_width_m", "clear_width_adds", "clear_width_adds_ft", "clear_width_adds_m", "own_forces_usd",
    "own_forces_scope", "own_figures", "estimate_usd", "deck_area", "deck_area_sf", "deck_area_m2",
)  # fmt: skip
#: Fields stored as they are, and the decimals of the money among them.
_SAME = (
    "price_per_beam", "beams", "price_per_lb", "weight_lb", "valid_until", "fob", "clear_width_ft",
    "clear_width_adds_ft", "own_forces_usd", "estimate_usd", "deck_area_sf",
)  # fmt: skip
_MONEY = {"price_per_beam": 2, "price_per_lb": 5, "own_forces_usd": 2, "estimate_usd": 2}
#: A part and its dollars in one text: “set 12,000”, “wearing surface: $8,000.00”.
_FIGURE = re.compile(r"([A-Za-z][A-Za-z _]*?)\s*[:=]?\s*(\$?\s*[0-9][0-9,]*(?:\.[0-9]*)?)")
_ALSO_CALLED = {"setting": "set", "delivery": "deliver", "tax": "sales_tax", "drawings": "engineering"}


def read(given: Given, fob: str | None) -> dict[str, Any]:
    """The further terms as fields of a `Proposal`. fob : where the scope's words say the beams change hands.

    Raises BadValue for a value that cannot be used.
    """
    own_forces = given.values.get("own_forces_scope")
    return {
        "price_per_beam": given.money("price_per_beam", 2),
        "beams": given.count("beams"),
        "price_per_lb": given.money("price_per_lb", 5),
        "weight_lb": _weight(given),
        "valid_until": given.date("valid_until"),
        "fob": _fob(given) or fob,
        "clear_width_ft": given.length_ft("clear_width"),
        "clear_width_adds_ft": given.length_ft("clear_width_adds"),
        "own_forces_usd": given.money("own_forces_usd", 2),
        "own_forces_scope": given.scope_at("own_forces_scope") if own_forces is not None else (),
        "own_figures": _own_figures(given),
        "estimate_usd": given.money("estimate_usd", 2),
        "deck_area_sf": given.area_sf("deck_area"),
    }


def stored(offer: Proposal) -> dict[str, Any]:
    """The further terms as the columns of the table `proposal`."""
    same = {name: getattr(offer, name) for name in _SAME}
    return same | {
        "own_forces_scope": ", ".join(offer.own_forces_scope) or None,
        "own_figures": "; ".join(f"{part} {usd}" for part, usd in offer.own_figures) or None,
        "scope_unclear": " | ".join(offer.scope_unclear) or None,
    }


def from_stored(row: Mapping[str, Any]) -> dict[str, Any]:
    """The further terms of a stored row, None where missing, as fields of a `Proposal`."""
    known = {name: row.get(name) for name in _SAME}
    for name, scale in _MONEY.items():
        if known[name] is not None:
            known[name] = Decimal(str(known[name])).quantize(Decimal(1).scaleb(-scale))
    if known["beams"] is not None:
        known["beams"] = int(known["beams"])
    if known["valid_until"] is not None:
        known["valid_until"] = pd.Timestamp(known["valid_until"]).date()
    figures = [entry.split() for entry in _pieces(row.get("own_figures"), ";")]
    return known | {
        "own_forces_scope": tuple(_pieces(row.get("own_forces_scope"), ",")),
        "own_figures": tuple((part, Decimal(usd)) for part, usd in figures),
        "scope_unclear": tuple(_pieces(row.get("scope_unclear"), "|")),
    }


def _pieces(text: str | None, between: str) -> list[str]:
    return [piece.strip() for piece in (text or "").split(between) if piece.strip()]


def _weight(given: Given) -> float | None:
    value = given.values.get("weight_lb")
    if value is None:
        return None
    do = "Give pounds above zero, for example 48,500."
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise BadValue(f"weight_lb is “{value}”", where=given.where("weight_lb"), do=do)
    try:
        read = cells.number(value, 2)
    except ValueError as error:
        raise BadValue(f"cannot read “{value}” as pounds", where=given.where("weight_lb"), do=do) from error
    if read is None or read <= 0:
        raise BadValue(f"weight_lb is “{value}”", where=given.where("weight_lb"), do=do)
    return float(read)


def _fob(given: Given) -> str | None:
    value = given.text("fob")
    if value is None:
        return None
    if value.lower() not in ("plant", "site"):
        raise BadValue(f"fob is “{value}”", where=given.where("fob"), do="Write plant or site.")
    return value.lower()


def _own_figures(given: Given) -> tuple[tuple[str, Decimal], ...]:
    """Dollars by part of the work (set_usd) or work category (substructure_usd), in a table or as one text."""
    told = given.values.get("own_figures")
    if told is None:
        return ()
    where = given.where("own_figures")
    do = "Write a table: [own_figures], then set_usd = 12000. In a cell: set 12,000; deck 36,000."
    pairs = _written(told, where, do) if isinstance(told, str) else told
    if not isinstance(pairs, Mapping):
        raise BadValue(f"own_figures is “{told}”", where=where, do=do)
    known = [*SCOPE_PARTS, *scope_rules()["work"]]
    figures: dict[str, Decimal] = {}
    for name, value in pairs.items():
        bare = str(name).removesuffix("_usd")
        part = _ALSO_CALLED.get(bare, bare)
        if part not in known:
            raise BadValue(f"own_figures names “{name}”", where=where, do=nearest(bare, known) + do)
        if part in figures:
            raise BadValue(f"own_figures gives {part} twice", where=where, do="Keep one of them.")
        usd = given.with_value(str(name), value).money(str(name), 2)
        if usd is not None:
            figures[part] = usd
    return tuple(figures.items())


def _written(text: str, where: Place | str, do: str) -> dict[str, str]:
    """“set 12,000; deck: $36,000” as names and dollars; pieces stand between semicolons."""
    found: dict[str, str] = {}
    for piece in _pieces(text, ";"):
        said = _FIGURE.fullmatch(piece)
        if said is None:
            raise BadValue(f"own_figures is “{text}”", where=where, do=do)
        name = "_".join(said[1].lower().split())
        if name in found:
            raise BadValue(f"own_figures gives {name} twice", where=where, do="Keep one of them.")
        found[name] = said[2]
    return found

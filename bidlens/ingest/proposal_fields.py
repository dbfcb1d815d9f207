"""One supplier's proposal from named values: a TOML file, a table row or a form on the screen.

Every value that cannot be used is an error naming its place, what was seen and what to write instead; a name that is
not known is an error too, with the name it is most like.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal

from bidlens.errors import BadValue, Place
from bidlens.findings import Finding
from bidlens.ingest import cells, further_terms, lists
from bidlens.ingest.nearest import nearest
from bidlens.ingest.scope_text import HOW_TO_SCOPE, ScopeText, read_scope
from bidlens.lengths import parse_area_sf, parse_length_ft
from bidlens.proposal.offer import Proposal
from bidlens.superstructure import all_types, read_type
from bidlens.wording import per_sf, usd

#: Names a proposal may use. Lengths may carry their unit in the name.
NAMES = (
    "proposal", "supplier", "date", "structure", "superstructure", "length", "length_ft", "length_m", "width",
    "width_ft", "width_m", "spans", "span", "span_ft", "span_m", "skew", "skew_deg", "price_usd", "price_per_sf",
    "scope", "delivery", "service_life_years", *further_terms.NAMES,
)  # fmt: skip
PRICES_TOLERANCE_RATIO = 0.02
#: Stands for a superstructure type that a list of quotations leaves out.
NOT_STATED = "not stated"

_AROUND_MONEY = re.compile(
    r"\b(usd|dollars?|lump\s+sum)\b|(/|\bper\b)\s*(sf|sq\.?\s*ft\.?|square\s+foot)\b", re.IGNORECASE
)


def parse_proposal(
    fields: Mapping[str, object], place: Place | None = None, headings: Mapping[str, str] | None = None
) -> Proposal:
    """A proposal from values by name (`NAMES`); None and empty text count as not given.

    place : file and row, for messages. headings : what the file calls each name, where that differs.
    Raises BadValue for an unknown name, a value that cannot be used, and a missing supplier, type, price or scope.
    """
    given = _given(fields, place, headings)
    as_read = given.needed_text("superstructure", f"Write one of: {', '.join(kind.name for kind in all_types())}.")
    return _proposal(given, as_read, given.scope())


def parse_quotation(
    fields: Mapping[str, object],
    scope: ScopeText,
    place: Place | None = None,
    headings: Mapping[str, str] | None = None,
) -> Proposal:
    """As `parse_proposal`, of a row in a list of quotations, which may leave out type and scope: a Finding says so.

    scope : as read from the words beside the price; it may name no part.
    """
    given = _given(fields, place, headings)
    offer = _proposal(given, given.text("superstructure") or NOT_STATED, scope)
    return offer if scope.parts else replace(offer, findings=(*offer.findings, _no_scope(offer)))


def type_told(as_read: str, place: Place | None) -> tuple[str, Finding | None]:
    """The standard type, or the words as written, with a Finding where they are no standard type or there are none."""
    if as_read != NOT_STATED:
        return read_type(as_read, place)
    text = "No superstructure type is stated; the quotation can be held against no type of bridge."
    return as_read, Finding("superstructure_not_stated", "check", text, "Ask the supplier, and fill it in.", place)


def _no_scope(offer: Proposal) -> Finding:
    text = f"Nothing says what the price of {offer.supplier} covers; it is kept and cannot be compared."
    do = "Ask whether it furnishes, delivers and sets the beams, and what else, and fill in the scope."
    return Finding("scope_not_stated", "stop", text, do, offer.place)


def _given(fields: Mapping[str, object], place: Place | None, headings: Mapping[str, str] | None) -> Given:
    given = Given({name: value for name, value in fields.items() if not _is_blank(value)}, place, headings or {})
    given.refuse_unknown_names()
    return given


def _proposal(given: Given, as_read: str, scope: ScopeText) -> Proposal:
    place = given.place
    supplier = given.needed_text("supplier", "Name the firm that makes the offer.")
    structure = given.text("structure")
    superstructure, unknown = type_told(as_read, place)
    date = given.date("date")
    named = " / ".join(filter(None, (supplier, structure, date.isoformat() if date else None)))
    proposal = Proposal(
        proposal_id=given.text("proposal") or named,
        supplier=supplier,
        superstructure=superstructure,
        scope=scope.parts,
        scope_unclear=scope.unclear,
        price_usd=given.money("price_usd", 2),
        price_per_sf=given.money("price_per_sf", 5),
        date=date,
        structure=structure,
        length_ft=given.length_ft("length"),
        width_ft=given.length_ft("width"),
        spans=given.count("spans"),
        span_ft=given.length_ft("span"),
        skew_deg=given.skew(),
        delivery=given.date("delivery"),
        service_life_years=given.years("service_life_years"),
        superstructure_as_read=as_read,
        place=place,
        **further_terms.read(given, scope.fob),
    )
    doubts = (unknown, _prices_differ(proposal))
    return replace(proposal, findings=tuple(doubt for doubt in doubts if doubt))


def scope_of(written: object, where: Place | str | None = None) -> tuple[str, ...]:
    """The parts of the work in a list or in text, in the order of `SCOPE_PARTS`, each once; see `read_scope`."""
    return read_scope(written, where).parts


def _is_blank(value: object) -> bool:
    return value is None or (isinstance(value, str) and not value.strip()) or value != value  # NaN is not itself


def _prices_differ(offer: Proposal) -> Finding | None:
    """A lump sum and a price by deck area that do not say the same."""
    if offer.price_usd is None or offer.price_per_sf is None or not offer.length_ft or not offer.width_ft:
        return None
    by_area = float(offer.price_usd) / (offer.length_ft * offer.width_ft)
    if abs(by_area / float(offer.price_per_sf) - 1) <= PRICES_TOLERANCE_RATIO:
        return None
    return Finding(
        "prices_differ",
        "check",
        f"The lump sum of {usd(float(offer.price_usd))} is {per_sf(by_area, 2)} by the deck area, but the letter says "
        f"{per_sf(float(offer.price_per_sf), 2)}.",
        "Ask the supplier which one stands.",
        offer.place,
    )


@dataclass(frozen=True, slots=True)
class Given:
    """Values by name, and where each stands."""

    values: Mapping[str, object]
    place: Place | None
    headings: Mapping[str, str] = field(default_factory=dict)

    def where(self, name: str) -> Place | str:
        shown = self.headings.get(name, name)
        if self.place is None:
            return f"“{shown}”"
        if self.place.row is None:
            return f"{self.place}, key “{shown}”"
        return replace(self.place, column=shown)

    def refuse_unknown_names(self) -> None:
        for name in self.values:
            if name not in NAMES:
                do = f"{nearest(name, NAMES)}Names used: {', '.join(NAMES)}."
                raise BadValue(f"“{name}” is not part of a proposal", where=self.where(name), do=do)

    def text(self, name: str) -> str | None:
        value = self.values.get(name)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, str | int | float | Decimal):
            raise BadValue(f"{name} is “{value}”", where=self.where(name), do="Write it as text in quotation marks.")
        return cells.text(value if isinstance(value, str | float) else str(value))

    def needed_text(self, name: str, do: str) -> str:
        found = self.text(name)
        if found is None:
            raise BadValue(f"the proposal gives no {name}", where=self.place or self.where(name), do=do)
        return found

    def date(self, name: str) -> dt.date | None:
        value = self.values.get(name)
        if value is None:
            return None
        if not isinstance(value, str | int | float | dt.date):
            raise BadValue(f"{name} is “{value}”", where=self.where(name), do="Write it as 2031-04-08.")
        return cells.date(value, self.where(name))

    def length_ft(self, name: str) -> float | None:
        units = {name: "ft", f"{name}_ft": "ft", f"{name}_m": "m"}
        given = [key for key in units if key in self.values]
        if len(given) > 1:
            raise BadValue(f"{' and '.join(given)} are both given", where=self.where(given[1]), do="Keep one of them.")
        return parse_length_ft(self.values[given[0]], units[given[0]], self.where(given[0])) if given else None

    def area_sf(self, name: str) -> float | None:
        units = {name: "sf", f"{name}_sf": "sf", f"{name}_m2": "m2"}
        given = [key for key in units if key in self.values]
        return parse_area_sf(self.values[given[0]], units[given[0]], self.where(given[0])) if given else None

    def count(self, name: str) -> int | None:
        value = self.values.get(name)
        return None if value is None else lists.whole_number(value, name, self.where(name))

    def skew(self) -> float | None:
        name = "skew_deg" if "skew_deg" in self.values else "skew"
        value = self.values.get(name)
        return None if value is None else lists.degrees(value, self.where(name))

    def years(self, name: str) -> float | None:
        value = self.values.get(name)
        if value is None:
            return None
        shown = re.sub(r"\s*(years?|yrs?\.?)$", "", str(value).strip(), flags=re.IGNORECASE)
        if not re.fullmatch(r"\d+(\.\d+)?", shown) or not 0 < float(shown) <= 500:
            raise BadValue(f"{name} is “{value}”", where=self.where(name), do="Give years above zero, for example 75.")
        return float(shown)

    def money(self, name: str, scale: int) -> Decimal | None:
        """A price above zero, with or without $ and thousands marks."""
        value = self.values.get(name)
        if value is None:
            return None
        do = "Write a price above zero, as 158000 or $158,000.00."
        try:
            if not isinstance(value, str | int | float | Decimal):
                raise ValueError("not a number")
            plain = _AROUND_MONEY.sub("", value) if isinstance(value, str) else value
            read = cells.number(float(plain) if isinstance(plain, Decimal) else plain, scale)
        except ValueError as error:
            raise BadValue(f"cannot read “{value}” as a price", where=self.where(name), do=do) from error
        if read is None or read <= 0:
            raise BadValue(f"{name} is “{value}”", where=self.where(name), do=do)
        return read

    def scope_at(self, name: str) -> tuple[str, ...]:
        return read_scope(self.values[name], self.where(name)).parts

    def with_value(self, name: str, value: object) -> Given:
        """The same place with one value more, for a value that stands inside another."""
        return replace(self, values={**self.values, name: value})

    def scope(self) -> ScopeText:
        if "scope" not in self.values:
            raise BadValue("the proposal states no scope", where=self.place or self.where("scope"), do=HOW_TO_SCOPE)
        return read_scope(self.values["scope"], self.where("scope"))

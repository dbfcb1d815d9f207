"""One job that suppliers were asked to price, and one supplier's row, as far as a file tells of them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from bidlens.errors import BadValue, Place
from bidlens.findings import Finding
from bidlens.ingest import cells, lists
from bidlens.ingest import quotation_text as says
from bidlens.ingest.grid import Cell, Grid
from bidlens.ingest.headers import Header
from bidlens.superstructure import standard_type

#: Columns that speak of the job: on the rows below, a blank there means the same as above.
OF_THE_JOB = (
    "structure", "size", "length", "width", "deck_area", "spans", "span", "skew_deg", "estimate_usd", "date", "bridges",
)  # fmt: skip
_OTHER_PRICES = ("price_per_sf", "price_per_beam", "price_per_lb")
_BETWEEN_IDS = re.compile(r"\s*(?:[,;&+]|\band\b)\s*", re.IGNORECASE)

Size = tuple[float, float]


@dataclass(slots=True, eq=False)
class Quote:
    """One supplier's row. price : the cell as it stands; said : words beside it; scope_text : those under “scope”.

    lead : words before the supplier on its line. fields : cells of a table by the names of `layouts/proposals.toml`.
    flags : part of the work -> what its column of yes and no says. in_total : a row of totals below has counted it.
    """

    row: int
    supplier: str
    price: Cell
    said: Sequence[str]
    lead: str = ""
    scope_text: str = ""
    fields: Mapping[str, Cell] = field(default_factory=dict)
    header: Header | None = None
    flags: Mapping[str, bool] = field(default_factory=dict)
    prices: says.Prices | None = None
    titles: tuple[str, ...] = ()  # the bridges, where each has a column of prices of its own
    in_total: bool = False

    def words(self) -> str:
        return "; ".join(filter(None, (self.lead, *self.said)))

    def no_bid(self) -> bool:
        shown = cells.text(self.price)
        if self.titles or any(self.fields.get(name) for name in _OTHER_PRICES):
            return False
        return says.says_no_bid(shown) or (not shown and says.says_no_bid(self.words()))

    def read_prices(self, place: Place) -> says.Prices:
        """The prices of the row. Raises BadValue where there is none, two that nothing joins, or one not above zero."""
        if self.prices is not None:
            return self.prices
        where = self.header.name_of("price_usd") if self.header else None
        place = Place(place.file, place.sheet, place.row, where)
        shown = cells.text(self.price)
        try:
            found = says.prices_in(shown)
        except BadValue as problem:
            raise BadValue(
                problem.what, where=place, do="Write one price, or a sum as $1,000 + $2,000 = $3,000."
            ) from problem
        if found is None and not shown and any(self.fields.get(name) for name in _OTHER_PRICES):
            return says.Prices((), None, None, 0, 0)
        if found is None or (not found.parts and found.per_sf is None):
            found = says.Prices((_alone(self.price, place),), None, None, 0, 0)
        if any(part <= 0 for part in found.parts):
            raise BadValue(f"the price is “{shown}”", where=place, do=_HOW_TO_PRICE)
        return found


_HOW_TO_PRICE = "Write a price above zero, as 158000 or $158,000.00; where the supplier gave none, “no bid”."


def _alone(cell: Cell, place: Place) -> Decimal:
    shown = says.without_words_of_money(cell) if isinstance(cell, str) else cell
    try:
        read = cells.number(shown, 2)
    except ValueError as error:
        raise BadValue(f"cannot read “{cells.text(cell)[:60]}” as a price", where=place, do=_HOW_TO_PRICE) from error
    return Decimal(0) if read is None else read


@dataclass(slots=True, eq=False)
class Job:
    """What suppliers were asked for, as far as the file tells.

    title : as the file names it. sizes : length and width of each bridge named, ft. area_sf : deck area as stated.
    own : row, words and dollars of what the owner's crew adds. notes : row and words where a deck area is worked out.
    placed : the title names a road or a bridge. keyed : it is named in a column of its rows.
    """

    grid: Grid
    title: str = ""
    structure: str | None = None
    date: str | None = None
    date_from: str = ""
    superstructure: str | None = None
    sizes: tuple[Size, ...] = ()
    bridges: int | None = None
    area_sf: float | None = None
    estimate: Decimal | None = None
    own: list[tuple[int, str, Decimal]] = field(default_factory=list)
    quotes: list[Quote] = field(default_factory=list)
    notes: list[tuple[int, str]] = field(default_factory=list)
    placed: bool = False
    keyed: bool = False

    def tell(self, pieces: Sequence[str]) -> None:
        """Take in a line that heads the job."""
        text = "  ".join(pieces)
        self.estimate = says.estimate_in(text) or self.estimate
        self.sizes = (*self.sizes, *says.sizes_in(text))
        self.bridges = says.bridges_in(text) or self.bridges
        self.structure = says.structure_in(text) or self.structure
        self.superstructure = self.superstructure or standard_type(says.without(text, "size", "estimate"))
        if (areas := says.areas_in(text)) and self.area_sf is None:
            self.area_sf = areas[0]
        if day := says.day_in(text):
            self.date, self.date_from = day, "the heading"
        if not self.title or not self.placed:
            words = says.without(pieces[0], "size", "estimate", "day", "price").replace("( )", " ").split(",")[0]
            self.placed = says.names_a_job(text)
            words = " ".join(words.split()).strip(" ,:;-–—")[:80]
            if words and (self.placed or not self.title):
                self.title = words

    def of_its_own(self, title: str) -> Job:
        """A job that a column of the rows names, with what the lines above them say of the day."""
        return Job(
            self.grid, title, date=self.date, date_from=self.date_from, superstructure=self.superstructure, keyed=True
        )

    def facts_of(self, quote: Quote) -> dict[str, Any]:
        """The cells of a row by name, with what it leaves blank from its job."""
        fields: dict[str, Any] = {name: cell for name, cell in quote.fields.items() if cells.text(cell)}
        for name in OF_THE_JOB if self.keyed else ():
            others = {
                cells.text(one.fields[name]): one.fields[name]
                for one in self.quotes
                if cells.text(one.fields.get(name))
            }
            if len(others) == 1:
                fields.setdefault(name, next(iter(others.values())))
        told = {
            "structure": self.structure,
            "date": self.date,
            "estimate_usd": self.estimate,
            "deck_area": self.area_sf,
        }
        fields = {name: value for name, value in told.items() if value is not None} | fields
        if len(self.structures_of(quote)) > 1 or _is_title(cells.text(quote.fields.get("structure"))):
            fields.pop("structure", None)
        return fields

    def sizes_of(self, quote: Quote, place: Place) -> tuple[tuple[Size, ...], list[Finding]]:
        """Length and width of the bridge, or bridges, of a row: its own, else those of the job."""
        cell = self.facts_of(quote).get("size")
        if cell is None:
            return says.sizes_in(quote.words()) or (() if quote.fields.get("length") else self.sizes), []
        shown = cells.text(cell)
        heading = quote.header.name_of("size") if quote.header else ""
        found = says.sizes_in(shown, lists.length_unit(heading))
        where = Place(place.file, place.sheet, place.row, heading or None)
        if not found:
            text = f"The size is “{shown[:60]}”, which cannot be read as length x width; it is left empty."
            return (), [Finding("size_not_read", "check", text, "Write it as 42 ft x 26 ft.", where)]
        if not says.names_unit(f"{heading} {shown}"):
            text = f"No unit stands beside the size “{shown[:60]}”; feet are assumed."
            return found, [Finding("feet_assumed", "note", text, "Write it as 42 ft x 26 ft.", where)]
        return found, []

    def structures_of(self, quote: Quote) -> tuple[str, ...]:
        """The structure numbers a row names: one, or several split by commas."""
        shown = cells.text(quote.fields.get("structure"))
        named = [one for one in _BETWEEN_IDS.split(shown) if one]
        alone = len(named) < 2 or not all(any(map(str.isdigit, one)) and len(one.split()) < 3 for one in named)
        return (shown,) if alone else tuple(named)

    def bridges_of(self, quote: Quote) -> int | None:
        """How many bridges one row prices, where that is two or more."""
        stated = cells.text(self.facts_of(quote).get("bridges"))
        if stated.isdigit():
            return int(stated) if int(stated) > 1 else None
        told = says.bridges_in(
            "; ".join((quote.words(), cells.text(quote.fields.get("job")), cells.text(quote.fields.get("structure"))))
        )
        named = len(self.structures_of(quote))
        own = bool(quote.fields.get("structure") or quote.fields.get("job") or quote.fields.get("size"))
        return told or (named if named > 1 else None) or (None if own else self.bridges)


def _is_title(shown: str) -> bool:
    """Words, and not the number of a structure: “Township Road 9 over Sample Ditch”."""
    return len(shown.split()) > 2

"""A job's quotations as proposals, one a bridge, each with what is doubtful about it.

Nothing is parted by a guess: a sum must add up, and one price for several bridges is parted by deck area alone, where
every bridge's size is stated.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any

from bidlens.errors import BadValue, Place
from bidlens.findings import Finding, Severity
from bidlens.ingest import cells
from bidlens.ingest import quotation_text as says
from bidlens.ingest.grid import Grid
from bidlens.ingest.proposal_fields import NAMES, parse_quotation
from bidlens.ingest.quotation_job import Job, Quote
from bidlens.ingest.scope_text import ScopeText, scope_in_words
from bidlens.proposal.offer import SCOPE_PARTS, Proposal
from bidlens.superstructure import standard_type
from bidlens.wording import number, percent, usd

AREA_TOLERANCE_RATIO = 0.002  # a deck area worked out in the file is printed to the foot
STATED_TOLERANCE_RATIO = 0.02
_OF_ALL_BRIDGES = ("estimate_usd", "structure", "deck_area")


@dataclass(slots=True, eq=False)
class Offers:
    """What the jobs of a file come to: proposals, findings, and the rows that are none, with the reason."""

    offers: list[Proposal] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    aside: list[tuple[Grid, int, str]] = field(default_factory=list)
    first_problem: BadValue | None = None

    def take(self, job: Job) -> None:
        """The proposals of one job."""
        if not job.sizes and job.area_sf is None:
            job.area_sf = next((area for _, text in job.notes for area in says.areas_in(text)), None)
        made: list[Proposal] = []
        for quote in job.quotes:
            place = job.grid.place(quote.row)
            if quote.no_bid():
                self.aside.append((job.grid, quote.row, f"{quote.supplier} made no bid"))
                self._find(place, "no_quotation", "note", f"{quote.supplier} was asked and gave no price.")
                continue
            try:
                made += self._of(job, quote, place)
            except BadValue as problem:
                self.not_taken(job.grid, quote.row, problem)
        self.findings += [*_against_estimate(job, made), *_noted_areas(job, made)]
        self.offers += self._with_own_cost(job, made)

    def not_taken(self, grid: Grid, row: int, problem: BadValue) -> None:
        """Set a row aside that cannot be used, and say so in a Finding."""
        self.first_problem = self.first_problem or problem
        self.aside.append((grid, row, str(problem).splitlines()[0]))
        where = problem.where if isinstance(problem.where, Place) else grid.place(row)
        text = f"The row is set aside: {problem.what}."
        self.findings.append(Finding("row_set_aside", "stop", text, problem.do, where))

    # --- one row --------------------------------------------------------------------------------------------------

    def _of(self, job: Job, quote: Quote, place: Place) -> list[Proposal]:
        prices = quote.prices = quote.read_prices(place)
        sizes, doubts = job.sizes_of(quote, place)
        self.findings += doubts
        bridges = job.bridges_of(quote)
        parts = prices.parts
        if len(parts) > 1:
            self._check_sum(quote, prices, place)
            if bridges and bridges != len(parts):
                text = f"{quote.supplier} states {len(parts)} prices for {bridges} bridges."
                self._find(place, "bridges_differ", "check", text, "Ask which price is for which bridge.")
        elif bridges and parts and (in_words := _sum_in_words(quote, parts[0])):
            parts = in_words
        elif bridges and parts and not quote.titles:
            parts = self._parted(quote, place, parts[0], sizes, bridges)
        if len(parts) < 2:
            return [self._one(job, quote, place, parts[0] if parts else None, sizes if len(sizes) == 1 else ())]
        of_each = sizes if len(sizes) == len(parts) else ()
        return [
            self._one(job, quote, place, part, of_each[at : at + 1], (at + 1, len(parts)))
            for at, part in enumerate(parts)
        ]

    def _check_sum(self, quote: Quote, prices: says.Prices, place: Place) -> None:
        """Raises BadValue where the parts do not add up to the sum stated: which is right cannot be told."""
        summed, shown = sum(prices.parts, Decimal(0)), " + ".join(usd(float(part), 2) for part in prices.parts)
        if prices.total is not None and summed != prices.total:
            raise BadValue(
                f"{shown} is {usd(float(summed), 2)}, and the sum stated is {usd(float(prices.total), 2)}",
                where=place,
                do=f"Ask {quote.supplier} which stands, correct the file and import it again.",
            )
        told = "as stated" if prices.total is not None else "no sum is stated"
        text = f"{quote.supplier} prices {len(prices.parts)} bridges: {shown} = {usd(float(summed), 2)}, {told}; "
        self._find(place, "several_bridges", "note", f"{text}each is a proposal of its own.")

    def _parted(
        self, quote: Quote, place: Place, lump: Decimal, sizes: Sequence[tuple[float, float]], bridges: int
    ) -> tuple[Decimal, ...]:
        """One price for several bridges, by deck area where every bridge's size is stated; else BadValue."""
        if len(sizes) != bridges:
            raise BadValue(
                f"one price of {usd(float(lump), 2)} is for {bridges} bridges, and their deck areas are not stated",
                where=place,
                do=f"Ask {quote.supplier} for the price of each bridge, or write the length and width of each into the "
                "row; the price is not parted by a guess.",
            )
        areas = [length * width for length, width in sizes]
        text = f"{quote.supplier}: one price of {usd(float(lump), 2)} for {bridges} bridges is parted by deck area, "
        text += " and ".join(f"{number(area)} sf" for area in areas) + ": every bridge has the same price per sf."
        self._find(place, "lump_sum_by_area", "check", text, f"Ask {quote.supplier} for the price of each bridge.")
        return says.shares(lump, areas)

    def _one(
        self, job: Job, quote: Quote, place: Place, price: Decimal | None, size: Sequence[tuple[float, float]],
        which: tuple[int, int] | None = None,
    ) -> Proposal:  # fmt: skip
        """One proposal. which : place and number of bridges, where the row prices several."""
        scope, remarks = _scope(quote)
        fields: dict[str, Any] = {name: cell for name, cell in job.facts_of(quote).items() if name in NAMES}
        fields |= {"supplier": quote.supplier, "price_usd": price}
        if quote.prices and quote.prices.per_sf is not None:
            fields.setdefault("price_per_sf", quote.prices.per_sf)
        if size:
            fields = {name: cell for name, cell in fields.items() if name != "deck_area"}
            fields = {"length": size[0][0], "width": size[0][1]} | fields
        named = job.structures_of(quote)
        if which:
            fields = {name: cell for name, cell in fields.items() if name not in _OF_ALL_BRIDGES}
        if which and len(named) == which[1]:
            fields["structure"] = named[which[0] - 1]
        own_type = next((kind for text in quote.said if (kind := standard_type(text))), None)
        if not cells.text(fields.get("superstructure")):
            fields["superstructure"] = own_type or job.superstructure
        if not cells.text(fields.get("proposal")):
            fields["proposal"] = _name(job, quote, fields, which)
        headings = {name: quote.header.name_of(name) for name in fields} if quote.header else {}
        offer = parse_quotation(fields, scope, place, headings)
        self.findings += _about(offer, job, quote, own_type, remarks)
        return offer

    # --- what the owner adds --------------------------------------------------------------------------------------

    def _with_own_cost(self, job: Job, made: Sequence[Proposal]) -> list[Proposal]:
        """The own crew's cost on every proposal that leaves its work out; else told in a Finding and added to none."""
        offers = list(made)
        for row, words, amount in job.own:
            scope, rest = scope_in_words([says.own_work(words)])
            of_bridge = bool(scope.parts) and not rest and not scope.unclear
            fitting = [
                at
                for at, offer in enumerate(offers)
                if of_bridge and offer.own_forces_usd is None and not {*offer.scope} & {*scope.parts}
            ]
            alone = len({offer.place for offer in offers}) == len(offers)  # no row prices several bridges
            for at in fitting if alone else ():
                offers[at] = replace(offers[at], own_forces_usd=amount, own_forces_scope=scope.parts)
            self._tell_own_cost(job, row, words, amount, [offers[at].supplier for at in fitting] if alone else [])
        return offers

    def _tell_own_cost(self, job: Job, row: int, words: str, amount: Decimal, added_to: Sequence[str]) -> None:
        text = f"Beside the quotations the file states the owner's own cost, {usd(float(amount), 2)}: “{words[:160]}”; "
        if added_to:
            self._find(job.grid.place(row), "own_cost", "note", f"{text}it is added to {', '.join(added_to)}.")
            return
        self.aside.append((job.grid, row, "the owner's own cost, added to no quotation"))
        do = (
            "Where it is work a quotation leaves out, write it into that proposal: own_forces_usd and own_forces_scope."
        )
        self._find(job.grid.place(row), "own_cost", "check", f"{text}it is added to no quotation.", do)

    def _find(self, place: Place, code: str, severity: Severity, text: str, do: str = "") -> None:
        self.findings.append(Finding(code, severity, text, do, place))


def _scope(quote: Quote) -> tuple[ScopeText, list[str]]:
    """What a row's words and its columns of yes and no say the price covers, and the remarks among the words."""
    read, remarks = scope_in_words(quote.said)
    yes = {part for part, included in quote.flags.items() if included}
    no = set(quote.flags) - yes
    parts = tuple(part for part in SCOPE_PARTS if part in ({*read.parts} | yes) - no)
    of_scope = [piece for piece in remarks if piece in quote.scope_text]
    unclear = (*read.unclear, *(piece for piece in of_scope if standard_type(piece) is None))
    return ScopeText(parts, unclear, read.fob), [piece for piece in remarks if piece not in of_scope]


def _sum_in_words(quote: Quote, price: Decimal) -> tuple[Decimal, ...]:
    """The parts of a price where the words beside it give them: `$30,000 + $21,660 = $51,660`."""
    for text in quote.said:
        try:
            found = says.prices_in(text)
        except BadValue:
            continue
        if found and len(found.parts) > 1 and sum(found.parts) == price:
            return found.parts
    return ()


def _name(job: Job, quote: Quote, fields: Mapping[str, Any], which: tuple[int, int] | None) -> str:
    """What the proposal goes by: supplier, bridge, day."""
    day = _shown_day(fields)
    bridge = cells.text(fields.get("structure")) or job.title
    if quote.titles:
        return " / ".join(
            filter(None, (quote.supplier, quote.titles[which[0] - 1 if which else 0], _shown_day(fields)))
        )
    place = f"bridge {which[0]} of {which[1]}" if which else ""
    return " / ".join(filter(None, (quote.supplier, bridge, place, day)))


def _shown_day(fields: Mapping[str, Any]) -> str:
    date = fields.get("date")
    day = cells.date(date) if isinstance(date, str | float | int) and cells.text(date) else date
    return str(day)[:10] if day else ""


def _about(offer: Proposal, job: Job, quote: Quote, own_type: str | None, remarks: Sequence[str]) -> Iterator[Finding]:
    """Remarks beside a quotation, and a type other than the one the job names."""
    if remarks:
        said = "; ".join(remarks)[:200]
        yield Finding("quotation_remark", "note", f"{offer.supplier}: the file says “{said}”.", "", offer.place)
    if own_type and job.superstructure and own_type != job.superstructure and offer.superstructure == own_type:
        text = f"{offer.supplier} offers {own_type}, the job names {job.superstructure}."
        yield Finding("other_type_offered", "note", text, "", offer.place)
    if offer.deck_area_sf and offer.length_ft and offer.width_ft:
        by_size = offer.length_ft * offer.width_ft
        if abs(offer.deck_area_sf / by_size - 1) > STATED_TOLERANCE_RATIO:
            text = f"{offer.supplier}: the stated deck area is {number(offer.deck_area_sf)} sf, length x width is "
            yield Finding(
                "deck_area_differs", "check", f"{text}{number(by_size)} sf.", "Look which is meant.", offer.place
            )
    if job.date_from and offer.date and not quote.fields.get("date"):
        text = f"{offer.supplier}: the date {offer.date.isoformat()} is from {job.date_from}."
        yield Finding("quotation_date", "note", text, "", offer.place)


def _against_estimate(job: Job, made: Sequence[Proposal]) -> Iterator[Finding]:
    """The owner's estimate beside what was asked."""
    told = [
        (offer, float(offer.price_usd), float(offer.estimate_usd))
        for offer in made
        if offer.price_usd and offer.estimate_usd
    ]
    if not told:
        return
    beside = [f"{offer.supplier} {_apart(price / estimate - 1)}" for offer, price, estimate in told]
    estimates = ", ".join(dict.fromkeys(usd(estimate, 2) for *_, estimate in told))
    text = f"The owner's estimate is {estimates}; {', '.join(beside)}."
    do = "Look whether the estimate covers the same work as each quotation."
    yield Finding("owners_estimate", "note", text, do, told[0][0].place)


def _apart(ratio: float) -> str:
    return (
        "at it"
        if abs(ratio) < 0.0005
        else f"{percent(abs(ratio), 1).lstrip('+')} {'above' if ratio > 0 else 'below'} it"
    )


def _noted_areas(job: Job, made: Sequence[Proposal]) -> Iterator[Finding]:
    """A deck area or a price by deck area that the file works out, against what its rows come to."""
    areas = [offer.length_ft * offer.width_ft for offer in made if offer.length_ft and offer.width_ft]
    asked = [float(offer.price_usd) / area for offer, area in zip(made, areas, strict=False) if offer.price_usd]
    for row, text in job.notes:
        place = job.grid.place(row)
        for area in says.areas_in(text) if areas else ():
            if not any(abs(area / own - 1) <= AREA_TOLERANCE_RATIO for own in areas):
                words = f"The file works out a deck area of {number(area)} sf; length x width is {number(areas[0])} sf."
                yield Finding("deck_area_differs", "check", words, "Look which size is meant.", place)
        for per_sf in says.per_sf_in(text) if asked and len(areas) == len(made) else ():
            if not any(abs(float(per_sf) - own) <= 0.006 for own in asked):
                words = f"The file works out {usd(float(per_sf), 2)} per sf, which no quotation of the job comes to."
                yield Finding("noted_price_differs", "check", words, "Look which quotation is meant.", place)


def told_apart(offers: Sequence[Proposal]) -> tuple[list[Proposal], list[Finding]]:
    """Names that differ: a second quotation of one supplier for one job is kept beside the first.

    Raises BadValue where two rows are the same in every part: one is there twice.
    """
    known: dict[str, Proposal] = {}
    findings = []
    for offer in offers:
        first = known.get(offer.proposal_id)
        number_of = 2
        name = offer.proposal_id
        while name in known:
            if _terms(known[name]) == _terms(offer):
                raise _twice(known[name], offer)
            name, number_of = f"{offer.proposal_id} / offer {number_of}", number_of + 1
        if first is not None:
            text = f"{offer.supplier} stands twice for one job, with other terms; both are kept."
            findings.append(Finding("second_quotation", "check", text, "Ask which one stands.", offer.place))
        known[name] = replace(offer, proposal_id=name)
    return list(known.values()), findings


def _terms(offer: Proposal) -> Proposal:
    return replace(offer, proposal_id="", place=None, findings=())


def _twice(first: Proposal, offer: Proposal) -> BadValue:
    row = f" in row {first.place.row}" if first.place and first.place.row else ""
    return BadValue(
        f"the proposal {first.proposal_id} stands{row} already",
        where=offer.place,
        do="Give each its own name under “proposal”.",
    )

"""The tables of a sheet with bidders side by side, and the contract each belongs to.

A sheet may hold several contracts, one below another or told apart by a column. Each is taken for its own where the
file names it; where two tables list the same items for the same bidder and nothing tells them apart, they are refused.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from bidlens.errors import BadValue
from bidlens.ingest import above, cells
from bidlens.ingest.blocks import BidderBlock
from bidlens.ingest.grid import Grid
from bidlens.ingest.headers import Header, match_headings, tidy
from bidlens.ingest.layout import Layout, cell_words, fields

_NAMED = re.compile(r"^(?:contract|project|solicitation|proposal)\s*(?:name)?\s*[:#]\s*(?P<name>\S.*)$", re.IGNORECASE)


@dataclass(slots=True, eq=False)
class Segment:
    """One table on a sheet: its headings, its bidders, and which rows are what."""

    grid: Grid
    header: Header
    blocks: list[BidderBlock]
    items: list[int]  # grid indexes
    schedules: list[str]  # the section heading above each item, "" if none
    total_rows: list[int]
    tails: dict[int, str]  # the wrapped rest of a description, by the item's grid index
    reasons: dict[int, str]
    contract: str = ""
    letting_date: object = None
    work: str = ""
    title: str = ""  # words of its own above it, where it is not the first table of its sheet
    left_out: list[str] = field(default_factory=list)  # names of columns that hold what was worked out from the bids

    def text(self, index: int, field: str) -> str:
        column = self.header.column(field)
        return "" if column is None else cells.text(self.grid.rows[index][column])

    def line(self, index: int) -> str:
        return self.text(index, "line") or self.text(index, "item_code")

    def signature(self) -> list[tuple[str, str, str, str]]:
        """What the items are, to tell whether two sheets list the same ones."""
        return [
            (schedule, self.line(index), self.text(index, "description").lower(), self.text(index, "quantity"))
            for index, schedule in zip(self.items, self.schedules, strict=True)
        ]

    def bidders(self) -> set[str]:
        return {block.name for block in self.blocks if not cell_words().is_estimate(block.name)}


def heads_below(grid: Grid, header: Header) -> list[Header]:
    """The further heading rows of a sheet: those with the description under the same heading, and unit prices."""
    column = header.columns["description"][0]
    found = []
    for index in range(header.row + 1, len(grid.rows)):
        row = grid.rows[index]
        if header.over:  # the heading of the description may stand on the row above
            prices = [at for at in header.columns["unit_price"] if at < len(row)]
            if prices and all(cells.text(row[at]) and cells.text(row[at]) in header.names[at] for at in prices):
                found.append(replace(header, row=index))
            continue
        if column >= len(row) or cells.text(row[column]) != header.names[column]:
            continue
        if grid.told is not None and grid.told.columns:  # the heading of the description decides alone
            found.append(replace(header, row=index))
            continue
        columns = match_headings(row, fields())
        if "unit_price" in columns and "quantity" in columns:
            names = tuple(tidy(cell) for cell in row)
            found.append(Header(index, columns, names + ("",) * (len(header.names) - len(names))))
    return found


def as_wide_as_blocks(grid: Grid, header: Header) -> Header:
    """The heading row, as wide as the widest of its sheet: a later table may have more bidders."""
    widest = max((len(head.names) for head in heads_below(grid, header)), default=0)
    return replace(header, names=header.names + ("",) * (widest - len(header.names)))


def tell_contracts(segments: Sequence[Segment], layout: Layout) -> None:
    """Contract, letting date and work of the tables of one sheet: their own words above each, else the first's."""
    grid, header = segments[0].grid, segments[0].header
    day, contract = above.letting_date_found(grid, header.row, layout), ""
    if not _dated_by_column(segments[0]):
        day = (above.letting_date(grid, header.row, layout), "")
    if header.column("contract") is None:
        contract = above.contract(grid, header.row, layout)
    named = [_name_above(grid, first, segment.header.top) for first, segment in _with_tops(segments)]
    by_name = len(set(filter(None, named))) > 1 and all(named)
    first_day = day[0] if day else None
    work = above.description(grid, header.top)
    for number, ((first, segment), name) in enumerate(zip(_with_tops(segments), named, strict=True)):
        row = segment.header.top
        own = above.contract_between(grid, first, row) if number else None
        segment.contract = name if by_name else own or contract
        segment.letting_date = (above.date_between(grid, first, row) if number else None) or first_day
        segment.title = above.description(grid, row, first) if number else ""
        segment.work = segment.title if own or (by_name and number) else work
        if own or by_name:
            contract, first_day, work = segment.contract, segment.letting_date, segment.work


def _with_tops(segments: Sequence[Segment]) -> list[tuple[int, Segment]]:
    """Each table with the row at which what stands above it begins: below the last row of the table before."""
    tops = [0, *(max(*segment.items, *segment.total_rows, segment.header.row) + 1 for segment in segments[:-1])]
    return list(zip(tops, segments, strict=True))


def _name_above(grid: Grid, first: int, row: int) -> str:
    """What follows “Project:” or its like in a cell between two rows."""
    texts = (cells.text(cell) for here in grid.rows[first:row] for cell in here if isinstance(cell, str))
    return next((match["name"].strip() for text in texts if (match := _NAMED.match(text))), "")


def _dated_by_column(segment: Segment) -> bool:
    column = segment.header.column("letting_date")
    return column is not None and all(cells.text(segment.grid.rows[index][column]) for index in segment.items)


def by_contract_column(segment: Segment) -> list[Segment]:
    """A table whose rows name their contract, as one table for each; the table itself where they do not."""
    column, dates = segment.header.column("contract"), segment.header.column("letting_date")
    if column is None and not _dated_by_column(segment):
        return [segment]
    keys: dict[int, tuple[str, object]] = {}
    contract = segment.contract
    for index in segment.items:
        row = segment.grid.rows[index]
        contract = (cells.text(row[column]) if column is not None else "") or contract  # blank: as above
        if not contract:
            place = segment.grid.place(index, segment.header.name_of("contract"))
            raise BadValue("the contract number is blank", where=place, do="Fill it in.")
        own = cells.date(row[dates], segment.grid.place(index)) if dates is not None else None
        keys[index] = contract, own or segment.letting_date
    parts = []
    for key in dict.fromkeys(keys.values()):
        items = [index for index in segment.items if keys[index] == key]
        schedules = [name for index, name in zip(segment.items, segment.schedules, strict=True) if keys[index] == key]
        totals = [row for row in segment.total_rows if _last_above(segment.items, row, keys) == key]
        parts.append(
            replace(segment, items=items, schedules=schedules, contract=key[0], letting_date=key[1], total_rows=totals)
        )
    return parts


def _last_above(items: Sequence[int], row: int, keys: dict[int, tuple[str, object]]) -> object:
    before = [index for index in items if index < row]
    return keys[before[-1]] if before else None


def without_repeats(segments: Sequence[Segment]) -> list[Segment]:
    """The tables without those that give the same prices once more, whose rows are then set aside.

    Raises BadValue where a bidder stands above the same items of one contract twice with other prices: nothing tells
    the two apart.
    """
    seen: dict[tuple[str, str, str, tuple[tuple[str, str, str, str], ...]], tuple[Segment, list[str]]] = {}
    left = []
    for segment in segments:
        again = []
        for block in segment.blocks:
            key = (segment.contract, str(segment.letting_date), block.name, tuple(segment.signature()))
            prices = [cells.text(segment.grid.rows[index][block.price]) for index in segment.items]
            first, known = seen.setdefault(key, (segment, prices))
            if first is segment:
                continue
            if known == prices:
                again.append(block)
            elif block.name in segment.bidders():
                raise _told_twice(first, segment, block.name)
        segment.blocks = [block for block in segment.blocks if block not in again] or segment.blocks
        if again and segment.blocks and all(block in again for block in segment.blocks):
            segment.reasons |= dict.fromkeys(segment.items, "the same items and prices once more")
            segment.items, segment.schedules = [], []
        else:
            left.append(segment)
    return left


def _told_twice(first: Segment, other: Segment, bidder: str) -> BadValue:
    here, there = first.grid.place(first.header.row), other.grid.place(other.header.row)
    return BadValue(
        f"the bidder “{bidder}” stands above the same items twice, and both tables would be contract {other.contract}",
        where=there,
        do=f"The other is {here}. If they are two contracts, write “Contract” and its number above each, or add a "
        "column “Contract”; nothing was imported from this file.",
    )

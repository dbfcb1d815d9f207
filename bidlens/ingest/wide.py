"""Bid tabs with bidders side by side: each bidder's name stands above its own one or two columns.

A workbook may spread its bidders over several sheets (the same items each time), or its schedules and alternates (items
that start again at 1). Sheets with the same items are one schedule; sheets with other items and the same bidders are
schedules of one contract; anything else is refused.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pandas as pd
import pyarrow as pa

from bidlens.errors import BadValue
from bidlens.findings import Finding
from bidlens.ingest import cells, lump_sum, totals
from bidlens.ingest.blocks import BidderBlock, bidder_blocks, top_of_names
from bidlens.ingest.cells import RowPlaces, whole
from bidlens.ingest.grid import Cell, Grid, is_blank
from bidlens.ingest.headers import Header
from bidlens.ingest.layout import TAX, Layout, cell_words
from bidlens.ingest.long import square
from bidlens.ingest.priced import PricedRows, join, set_aside
from bidlens.ingest.rules import AS_READ, TENTH_OF_A_CENT, BidRules, by_tenth_of_a_cent
from bidlens.ingest.wide_notes import notes
from bidlens.ingest.wide_segments import (
    Segment,
    as_wide_as_blocks,
    by_contract_column,
    heads_below,
    tell_contracts,
    without_repeats,
)
from bidlens.ingest.worked_out import parted

_NAMED_SCHEDULE = re.compile(
    r"(?:(?:additive|deductive)\s+)?(?:schedule|section|part|alternate|alt\.?)\s+#?[\w-]+|base bid", re.I
)
_PLAIN_NUMBER = re.compile(r"\d{1,4}")


def read(
    fitted: list[tuple[Grid, Layout, Header]], visible: list[Grid], rules: BidRules = AS_READ
) -> tuple[PricedRows, pd.DataFrame, list[Grid]]:
    """The priced rows of all price sheets, their rows set aside, and the sheets that were price sheets.

    Raises BadValue where prices stand beside no item or under no bidder, or sheets do not belong together.
    """
    found: list[Finding] = []
    for grid, _, header in fitted:
        square(grid, as_wide_as_blocks(grid, header))
        found += lump_sum.note(lump_sum.fill_in(grid, header), grid.place())
    every = [segment for grid, layout, header in fitted for segment in _segments(grid, layout, header)]
    if not every:
        raise BadValue(
            "no bidder's name stands above a column of unit prices",
            where=fitted[0][0].place(fitted[0][2].row),
            do="Write each bidder's name above its own columns (with one bidder to a table: “Bidder: its name” above "
            "it), or use one row per item and bidder.",
        )
    segments = without_repeats(every)
    named = _name_schedules(segments)
    frames: list[pd.DataFrame] = []
    printed: dict[tuple[str, str, str], int | None] = {}
    for segment, schedule in zip(segments, named, strict=True):
        own = _schedule_of_items(segment, schedule)
        frames += [_frame(segment, block, own, rules) for block in segment.blocks]
        printed |= _printed(segment, schedule, own)
    has_line = all(segment.line(index) for segment in segments for index in segment.items)
    used = [segment.grid for segment in every]
    sheets = [grid for grid in visible if any(grid is other for other in used)]
    kept = sum(len(segment.items) for segment in segments) + len(sheets)
    priced = PricedRows(join(frames), has_line, kept, printed, [*found, *notes(visible, segments)])
    aside = pd.concat([_aside(grid, every) for grid in sheets], ignore_index=True)
    return priced, aside, sheets


# --- one sheet ----------------------------------------------------------------------------------------------------


def _segments(grid: Grid, layout: Layout, header: Header) -> list[Segment]:
    """The tables of a sheet: one below each heading row that has bidders above it, or repeats the first's headings."""
    heads = [header, *heads_below(grid, header)]
    found: list[Segment] = []
    for own, following in zip(heads, [*heads[1:], None], strict=True):
        blocks = bidder_blocks(grid, own)
        if not blocks and found and own.columns["unit_price"] == found[-1].header.columns["unit_price"]:
            blocks = found[-1].blocks
        if blocks:
            end = len(grid.rows) if following is None else top_of_names(grid, replace(own, row=following.row), blocks)
            segment = _tell_rows_apart(grid, own, blocks, end)
            segment.blocks, others = parted(grid, segment.items, blocks)
            segment.left_out = [block.name for block in others]
            if segment.items and segment.blocks:
                found.append(segment)
    if not found:
        return []
    tell_contracts(found, layout)
    return [part for segment in found for part in by_contract_column(segment)]


def _tell_rows_apart(grid: Grid, header: Header, blocks: list[BidderBlock], end: int) -> Segment:
    segment = Segment(grid, header, blocks, [], [], [], {}, {})
    schedule = ""
    for index in range(header.row + 1, end):
        row = grid.rows[index]
        if is_blank(row):
            continue
        description, quantity = segment.text(index, "description"), segment.text(index, "quantity")
        words = " ".join(cells.text(cell) for cell in row if isinstance(cell, str) and cells.text(cell))
        facts = " ".join(filter(None, map(cells.text, row[: blocks[0].price])))
        if description and quantity and not (cell_words().says("total_row", description) and not segment.line(index)):
            segment.items.append(index)
            segment.schedules.append(schedule)
        elif cell_words().says("total_row", words):
            segment.total_rows.append(index)
            segment.reasons[index] = "a total, used as a check only"
        elif not quantity and cell_words().says("tax_row", description or words):
            segment.reasons[index] = TAX
        elif any(_is_price(row, block) for block in blocks):
            missing = "item and no quantity" if not description else "quantity"
            raise BadValue(
                f"prices stand in this row beside no {missing}",
                where=grid.place(index),
                do="Fill in the item and its quantity (open and save the workbook if formulas give them), "
                "then import again; nothing was imported from this file.",
            )
        elif cell_words().says("section_row", facts):
            schedule = facts
            segment.reasons[index] = "a section heading, not an item"
        else:
            segment.reasons[index] = _other_reason(segment, index, description)
    return segment


def _other_reason(segment: Segment, index: int, description: str) -> str:
    below_item = bool(segment.items) and segment.items[-1] == index - 1
    if description and not segment.line(index) and below_item:
        segment.tails[index - 1] = description
        return "continuation of the description above"
    return "text that stands alone, without quantity and price"


def _is_price(row: list[Cell], block: BidderBlock) -> bool:
    """Whether a bidder's cells hold a price, or something meant as one; its name, and a 0, are none."""
    shown = [cells.text(row[column]) for column in (block.price, block.amount) if column is not None]
    return any(text not in ("", "0", block.name) and any(map(str.isdigit, text)) for text in shown)


def _shown(cell: object) -> bool:
    return cells.text(cell) not in ("", "0")  # type: ignore[arg-type]


# --- sheets together ----------------------------------------------------------------------------------------------


def _name_schedules(segments: list[Segment]) -> list[str]:
    """The schedule of each segment: "" where a contract has one list of items, else a name of its own for each list."""
    names = [""] * len(segments)
    for contract in dict.fromkeys((segment.contract, segment.letting_date) for segment in segments):
        own = [place for place, segment in enumerate(segments) if (segment.contract, segment.letting_date) == contract]
        groups = _same_items([segments[place] for place in own])
        if len(groups) == 1:
            continue
        taken: set[str] = set()
        for group in groups:
            name = _schedule_name(segments[own[group[0]]])
            while name in taken:
                name += "+"
            taken.add(name)
            for member in group:
                names[own[member]] = name
    return names


def _same_items(segments: list[Segment]) -> list[list[int]]:
    """Segments that list the same items, together; sheets that share neither items nor bidders are refused."""
    groups: list[list[int]] = []
    for place, segment in enumerate(segments):
        home = next((group for group in groups if segments[group[0]].signature() == segment.signature()), None)
        if home is None:
            groups.append([place])
        else:
            home.append(place)
    everyone = [set().union(*(segments[member].bidders() for member in group)) for group in groups]
    for group, bidders in zip(groups[1:], everyone[1:], strict=True):
        if bidders and everyone[0] and not bidders & everyone[0]:
            first, other = segments[groups[0][0]], segments[group[0]]
            raise BadValue(
                f"the items on this sheet are not those on “{first.grid.sheet}”, and no bidder is on both: "
                + _first_difference(first, other),
                where=other.grid.place(other.items[0]),
                do="Correct the item that differs, or import the sheets as files of their own.",
            )
    return groups


def _first_difference(one: Segment, other: Segment) -> str:
    for mine, theirs in zip(one.signature(), other.signature(), strict=False):
        if mine != theirs:
            return f"“{' | '.join(filter(None, mine))}” there, “{' | '.join(filter(None, theirs))}” here"
    return f"{len(one.items)} items there, {len(other.items)} here"


def _schedule_name(segment: Segment) -> str:
    """From its total row (“Total Amount Bid Schedule A” is Schedule A), the words above it, else the sheet's name."""
    for index in segment.total_rows:
        match = _NAMED_SCHEDULE.search(" ".join(map(cells.text, segment.grid.rows[index])))
        if match:
            return " ".join(match[0].split())
    return segment.title or segment.grid.sheet or "1"


def _schedule_of_items(segment: Segment, schedule: str) -> list[str]:
    return [": ".join(filter(None, (schedule, section))) for section in segment.schedules]


# --- typed columns ------------------------------------------------------------------------------------------------


def _frame(segment: Segment, block: BidderBlock, schedules: list[str], rules: BidRules) -> pd.DataFrame:
    rows = np.array(segment.items)
    grid, header = segment.grid, segment.header

    def column(field: str) -> list[Cell]:
        place = header.column(field)
        return [""] * len(rows) if place is None else [grid.rows[index][place] for index in rows]

    def places(at: int) -> RowPlaces:
        return RowPlaces(grid.file, grid.sheet, rows + 1, header.names[at] or block.name)

    prices = [grid.rows[index][block.price] for index in rows]
    amounts = [""] * len(rows) if block.amount is None else [grid.rows[index][block.amount] for index in rows]
    nothing_bid = not any(_shown(cell) for cell in (*prices, *amounts)) and "" in map(cells.text, prices)
    quantity = cells.numbers(column("quantity"), 4, places(header.columns["quantity"][0]), "a quantity")
    _refuse_negative(quantity, places(header.columns["quantity"][0]))
    codes = cells.categories(column("item_code"))
    constants = {
        "contract_id": segment.contract, "bidder": block.name, "bid_status": "", "contract_status": "", "agency": "",
        "work": segment.work, "source_sheet": grid.sheet,
    }  # fmt: skip
    frame = {
        "line": pd.Categorical([segment.line(index) for index in rows]),
        "schedule": pd.Categorical(schedules),
        "item_code": _without_plain_numbers(codes) if header.column("line") is None else codes,
        "description": cells.categories(column("description")),
        "tail": cells.categories([segment.tails.get(index, "") for index in rows]),
        "pay_unit": cells.categories(column("unit")),
        "structure": cells.categories(column("structure")),
        **{name: pd.Categorical([value] * len(rows)) for name, value in constants.items()},
        "letting_date": totals.column(pa.array([segment.letting_date] * len(rows), type=pa.date32())),
        "is_estimate": cell_words().is_estimate(block.name),
        "no_bid": [
            nothing_bid or _says_no_bid(price) or _says_no_bid(amount)
            for price, amount in zip(prices, amounts, strict=True)
        ],
        "order": np.nan,
        "quantity": totals.column(quantity),
        "unit_price": totals.column(cells.numbers(prices, 5, places(block.price), "a unit price", blanks=cells.NO_BID)),
        "extension_as_read": totals.column(
            cells.numbers(
                amounts,
                2,
                places(block.price if block.amount is None else block.amount),
                "an amount",
                blanks=cells.NO_BID,
            )
        ),
        "bid_total": totals.column(pa.nulls(len(rows), totals.MONEY)),
        "source_row": rows + 1,
    }
    if rules.entry_rule == TENTH_OF_A_CENT:
        entered = cells.numbers(prices, 3, places(block.price), "a unit price", blanks=cells.NO_BID)
        frame["entered_price"] = totals.column(by_tenth_of_a_cent(entered))
    return pd.DataFrame(frame)


def _says_no_bid(cell: object) -> bool:
    return isinstance(cell, str) and cell.strip().lower() in cells.NO_BID


def _without_plain_numbers(codes: pd.Categorical) -> pd.Categorical:
    """“Item No. 0007” is a line number and not a pay item code."""
    if all(_PLAIN_NUMBER.fullmatch(code) for code in codes.categories if code):
        return cells.categories([""] * len(codes))
    return codes


def _refuse_negative(quantity: pa.Array, places: RowPlaces) -> None:
    negative = np.flatnonzero(whole(quantity) < 0)
    if len(negative):
        shown = quantity[int(negative[0])].as_py()
        raise BadValue(
            f"the quantity is negative ({shown.normalize():f})",
            where=places[int(negative[0])],
            do="Correct the quantity and import again; nothing was imported from this file.",
        )


# --- totals and notes ---------------------------------------------------------------------------------------------


def _printed(segment: Segment, schedule: str, own: list[str]) -> dict[tuple[str, str, str], int | None]:
    """(contract, schedule, bidder) -> total in whole cents, from the total row that speaks of this schedule alone."""
    if len(set(own)) > 1 or not segment.total_rows:
        return {}
    said = {index: " ".join(map(cells.text, segment.grid.rows[index])).lower() for index in segment.total_rows}
    row = next(
        (index for index, words in said.items() if schedule and schedule.lower() in words), segment.total_rows[0]
    )
    return {
        (segment.contract, schedule, block.name): _cents(
            segment.grid.rows[row][block.amount if block.amount is not None else block.price]
        )
        for block in segment.blocks
    }


def _cents(cell: object) -> int | None:
    shown = cell.strip().rstrip("*^ ") if isinstance(cell, str) else cell
    try:
        value = cells.number(shown, 2)  # type: ignore[arg-type]
    except ValueError:
        return None
    return int(value * 100) if value else None


def _aside(grid: Grid, segments: list[Segment]) -> pd.DataFrame:
    """The rows of a price sheet that are no items and no headings."""
    own = [segment for segment in segments if segment.grid is grid]
    reasons = {index: reason for segment in own for index, reason in segment.reasons.items()}
    again = {segment.header.row for segment in own} - {own[0].header.row}
    reasons |= dict.fromkeys(again, "the headings once more")
    reasons |= {index: "above the headings" for index in range(own[0].header.row) if not is_blank(grid.rows[index])}
    known = {*reasons, own[0].header.row, *(index for segment in own for index in segment.items)}
    reasons |= {
        index: "above the headings of a later block"
        for index in range(len(grid.rows))
        if index not in known and not is_blank(grid.rows[index])
    }
    order = sorted(reasons)
    return set_aside(grid, order, [reasons[index] for index in order])

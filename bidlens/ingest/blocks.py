"""Whose columns are whose in a bid tab with bidders side by side."""

from __future__ import annotations

import re
from dataclasses import dataclass

from bidlens.errors import BadValue
from bidlens.ingest import cells
from bidlens.ingest.grid import Cell, Grid
from bidlens.ingest.headers import Header

_PRICE_WORDS = re.compile(
    r"[\s\-–—:,(]*\b(?:bid unit price|unit bid price|unit price|unit bid|unit cost|bid price|price)\b.*$", re.IGNORECASE
)

_SAID = re.compile(
    r"(?:name of )?(?:bidder|contractor|vendor|firm|company|bid of|bid by|submitted by)(?:'?s name)?\s*[:–—-]\s*"
    r"(?P<name>\S.*)",
    re.IGNORECASE,
)
#: Words that give a bidder's place and not its name, above the name itself.
_PLACE_ONLY = re.compile(
    r"(?:bidder|bid|contractor|firm|no\.?|#|\s)*\d{1,2}|"
    r"(?:apparent\s+)?(?:\d{1,2}(?:st|nd|rd|th)|first|second|third|fourth|fifth)?\s*(?:low(?:est)?)?\s*(?:bid|bidder)?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class BidderBlock:
    """One bidder, or the estimate: its name and its columns (from 0)."""

    name: str
    price: int
    amount: int | None


def bidder_blocks(grid: Grid, header: Header) -> list[BidderBlock]:
    """The bidders above a heading row, left to right; none if no name stands there (a list of items only).

    Raises BadValue if one column of prices has no name while others have, or one name stands twice.
    """
    prices = _prices(header)
    blocks = []
    for price, amount in zip(prices, _amounts(header, prices), strict=True):
        name = _name(grid, header, price, amount)
        if name or _has_prices(grid, header.row, price):
            blocks.append(BidderBlock(name, price, amount))
    if not any(block.name for block in blocks):
        return []
    _refuse_unclear(grid, header, blocks)
    return blocks


def _amounts(header: Header, prices: list[int]) -> list[int | None]:
    """The column of amounts of each column of prices: the one right of it, before the next, or the one left of it where
    the amounts stand first throughout."""
    amounts = _columns(header, "amount", "low_amount", "bid_total")  # “Wren Contracting Total” is no contract's total
    first = [amount for amount, price in zip(amounts, prices, strict=False) if amount < price]
    if len(first) == len(prices) == len(amounts) and sorted([*amounts, *prices])[::2] == amounts:
        return list(amounts)
    ends = [*prices[1:], len(header.names)]
    return [
        next((amount for amount in amounts if price < amount < end), None)
        for price, end in zip(prices, ends, strict=True)
    ]


def is_place(name: str) -> bool:
    """Whether a name is only a place among the bidders, such as “Bidder 2” or “Low Bid”."""
    return bool(_PLACE_ONLY.fullmatch(name))


def _prices(header: Header) -> list[int]:
    return _columns(header, "unit_price", "estimate_price", "low_unit_price")


def _columns(header: Header, *fields: str) -> list[int]:
    return sorted({column for field in fields for column in header.columns.get(field, ())})


def _refuse_unclear(grid: Grid, header: Header, blocks: list[BidderBlock]) -> None:
    seen: set[str] = set()
    for block in blocks:
        if not block.name or block.name in seen:
            told = f"the bidder “{block.name}” stands above two pairs of columns" if block.name else "no bidder's name"
            raise BadValue(
                told if block.name else "prices stand in a column under no bidder's name",
                where=grid.place(header.row, f"{header.names[block.price]}, column {block.price + 1}"),
                do="Write each bidder's name once, above its own columns.",
            )
        seen.add(block.name)


def _name(grid: Grid, header: Header, price: int, amount: int | None) -> str:
    if header.under_names:
        return header.names[price]
    found = [
        _in_merged_block(grid, header.row, price),
        _above(grid, header, price, amount),
        _in_heading(header, price),
        _below(grid, header, price, amount),
        _said_above(grid, header) if len(_prices(header)) == 1 else "",
    ]
    own = [name for name in found if name and not is_place(name)]
    return next((name for name in [*own, *found] if name), "")


def _in_merged_block(grid: Grid, header_row: int, column: int) -> str:
    """The text of the merged block that reaches over a column, above the headings; the lowest such block."""
    over = [
        (first[0], cells.text(grid.rows[first[0]][first[1]]))
        for first, last in grid.merged
        if first[0] < header_row and first[1] <= column <= last[1] and first[1] < last[1] and first[1] > 0
    ]
    named = [entry for entry in over if _is_name(entry[1])]
    return max(named)[1] if named else ""


def _above(grid: Grid, header: Header, price: int, amount: int | None) -> str:
    """The topmost text above the bidder's columns, looking up until numbers or another table begin."""
    found = ""
    for index in range(header.row - 1, max(header.row - 12, -1), -1):
        row = grid.rows[index]
        here = [row[column] for column in (price, amount) if column is not None and column < len(row)]
        if any(is_number(cell) or cells.text(cell) == header.names[price] for cell in here):
            break
        texts = [text for cell in here if _is_name(text := cells.text(cell))]
        if texts and not (found and is_place(texts[0])):
            found = texts[0]
    return found


def _below(grid: Grid, header: Header, price: int, amount: int | None) -> str:
    """The name in the row right below the headings, such as one that opens a schedule, where no item stands in it."""
    quantity = header.column("quantity")
    row = grid.rows[header.row + 1] if header.row + 1 < len(grid.rows) else []
    if quantity is None or len(row) < len(header.names) or cells.text(row[quantity]):
        return ""
    return next(
        (text for column in (price, amount) if column is not None and _is_name(text := cells.text(row[column]))), ""
    )


def _said_above(grid: Grid, header: Header) -> str:
    """“Bidder: Heron Bridge Co.” above the table of one bidder, in one cell or in two; the nearest such words."""
    for row in reversed(grid.rows[max(header.top - 12, 0) : header.top]):
        shown = [text for cell in row if (text := cells.text(cell))]
        for text, following in zip(shown, [*shown[1:], ""], strict=False):  # a blank row has neither
            match = _SAID.match(text if not text.endswith(":") else f"{text} {following}")
            if match and _is_name(match["name"]):
                return match["name"].strip()
    return ""


def _in_heading(header: Header, price: int) -> str:
    """“Alder Co Unit Price” in the heading itself names Alder Co."""
    name = _PRICE_WORDS.sub("", header.names[price]).strip(" -–—:,(")
    return name if _is_name(name) else ""


def _is_name(text: str) -> bool:
    return any(map(str.isalpha, text))


def _has_prices(grid: Grid, header_row: int, column: int) -> bool:
    return any(is_number(row[column]) for row in grid.rows[header_row + 1 :] if column < len(row))


def is_number(cell: Cell) -> bool:
    """Whether a cell holds a number other than 0, be it typed or as text."""
    return bool(cells.plain_number(cell))


def top_of_names(grid: Grid, header: Header, blocks: list[BidderBlock]) -> int:
    """The first of the rows above a later heading row that belong to it: no prices stand in them."""
    columns = [column for block in blocks for column in (block.price, block.amount) if column is not None]
    top = header.row
    while top > 0 and not any(is_number(cell) for cell in _cells_at(grid.rows[top - 1], columns)):
        top -= 1
    return top


def _cells_at(row: list[Cell], columns: list[int]) -> list[Cell]:
    return [row[column] for column in columns if column < len(row)]

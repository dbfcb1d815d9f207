"""A row of a file of quotations as running text: who quotes, what price, and which columns say yes or no."""

from __future__ import annotations

import re
from decimal import Decimal

from bidlens.errors import BadValue
from bidlens.ingest import cells, lists
from bidlens.ingest import quotation_text as says
from bidlens.ingest.grid import Cell, Grid, is_blank
from bidlens.ingest.headers import Header, match_headings
from bidlens.ingest.layout import cell_words
from bidlens.ingest.quotation_job import Quote
from bidlens.ingest.scope_text import part_named

_YES = frozenset({"x", "y", "yes", "true", "1", "✓", "✔", "incl", "incl.", "included"})
_NO = frozenset({"", "n", "no", "false", "0", "-", "--", "–", "—", "none", "excl", "excl.", "not included", "excluded"})
_EDGES = " \t:,;-–—*•·"
_LONGEST_NAME = 60
_NUMBERED = re.compile(r"^\s*(?:\(?\d{1,2}[.)]|#\d{1,2}:?)\s+")
_IN_BRACKETS = re.compile(r"\s*\((?P<words>[^)]*)\)\s*$")
_RECEIVED_FROM = re.compile(
    r".*\b(?:received|quotes?|quoted|quotations?|bids?|offers?|submitted|prices?)\b.*\b(?:from|by|was|is)\s+(?P<name>[A-Z].*)$"
)
_GAP = re.compile(r"\t|\n| {2,}| [-–—] ")
_BEGINS = re.compile(r"\$\s?\d{1,3}(?:,\d{3})*$")
_GOES_ON = re.compile(r"\d{3}(?:\.\d{2})?(?!\d)")


class Line:
    """A row as the words in its cells, parted also where wide gaps stand between them."""

    def __init__(self, grid: Grid, index: int) -> None:
        self.index = index
        shown = [cell if isinstance(cell, str) else cells.text(cell) for cell in grid.rows[index]]
        whole = [",".join(shown)] if grid.file.lower().endswith(".txt") else shown  # prose that was parted at commas
        self.pieces = _with_thousands([piece for cell in whole for piece in _parted(cell)])
        self.text = "  ".join(self.pieces)

    def first_price(self) -> Decimal | None:
        """The first price of the line, whatever it is for."""
        for at, piece in enumerate(self.pieces):
            try:
                found = says.prices_in(piece, bare=at > 0)
            except BadValue:
                return None
            if found and found.parts:
                return found.total or found.parts[0]
        return None

    def is_estimate(self) -> bool:
        """The line states the owner's estimate and nothing else."""
        if cell_words().is_estimate(self.pieces[0].rstrip(_EDGES)):
            return True
        rest = says.without(self.text, "estimate")
        return says.estimate_in(self.text) is not None and not any(map(str.isalpha, rest))

    def is_total(self) -> bool:
        """The line adds up others."""
        return any(cell_words().says("total_row", piece[:40]) for piece in self.pieces[:2])

    def heads_columns(self) -> bool:
        """The line names columns: a supplier and a price."""
        found = match_headings(self.pieces, lists.stems_of("proposals"))
        return "supplier" in found and any(name.startswith("price_") for name in found)

    def works_out_an_area(self) -> bool:
        """The line is arithmetic on a deck area: `deck area = length x width = 1,092 sf`."""
        return "area" in self.text.lower() and bool(says.areas_in(self.text)) and self.quoted() is None

    def quoted(self) -> Quote | None:
        """A supplier's name, then a price or the word that there is none; None for any other line."""
        if says.is_own_cost(self.text.split(": ")[0]) or _is_table_row(self.pieces):
            return None
        for at, piece in enumerate(self.pieces):
            bare = says.without(piece, "estimate")
            try:
                found = says.prices_in(bare, bare=at > 0)
            except BadValue:
                return None
            start = found.start if found else says.no_bid_at(bare)
            if start is None:
                continue
            inside = _NUMBERED.sub("", bare[:start]).strip(_EDGES)
            before = [one for one in self.pieces[:at] if any(map(str.isalpha, one))]
            told = inside if any(map(str.isalpha, inside)) else (before[-1] if before else "")
            lead, _, supplier = told.rpartition(": ")
            lead = "  ".join([*before[: -1 if told is not inside else None], lead])
            if verbal := _RECEIVED_FROM.match(supplier):
                lead, supplier = f"{lead} {supplier[: verbal.start('name')]}", verbal["name"]
            if aside := _IN_BRACKETS.search(supplier):
                supplier = supplier[: aside.start()]
            after = [*([aside["words"]] if aside else []), *self.pieces[at + 1 :]]
            return self._quote(_NUMBERED.sub("", supplier).strip(_EDGES), lead.strip(_EDGES), bare, found, after)
        return None

    def _quote(self, supplier: str, lead: str, piece: str, found: says.Prices | None, after: list[str]) -> Quote | None:
        if not supplier or len(supplier) > _LONGEST_NAME or "=" in supplier or says.sizes_in(supplier):
            return None
        if cell_words().is_estimate(supplier) or cell_words().says("total_row", supplier):
            return None
        price = piece[found.start : found.end] if found else piece
        if found and found.parts and found.per_sf is not None:
            price = piece[min(found.start, len(piece)) :]
        if any(says.price_beside(other) for other in after):
            price = f"{price}; {'; '.join(other for other in after if says.price_beside(other))}"
        said = [says.without(piece[found.end :], "per sf").strip(_EDGES + "()"), *after] if found else after
        return Quote(self.index, supplier, price, [text for text in said if text], lead)


def _is_table_row(pieces: list[str]) -> bool:
    """Several cells hold bare numbers: quantities, prices and amounts of a table, and no line of text."""
    return sum(not any(map(str.isalpha, piece)) and "$" not in piece for piece in pieces) > 1


def _parted(cell: str) -> list[str]:
    return [piece.strip() for piece in _GAP.split(cell) if piece.strip()]


def _with_thousands(pieces: list[str]) -> list[str]:
    """`$51` and `660` put together again: a price without quotation marks in a file parted at commas."""
    joined: list[str] = []
    for piece in pieces:
        if joined and _BEGINS.search(joined[-1]) and _GOES_ON.match(piece):
            joined[-1] = f"{joined[-1]},{piece}"
        else:
            joined.append(piece)
    return joined


def flag_columns(grid: Grid, header: Header) -> dict[int, str]:
    """Column -> part of the work, where a column headed by a part holds yes and no alone."""
    taken = {column for name, columns in header.columns.items() for column in columns[:1] if name != "delivery"}
    found: dict[int, str] = {}
    for column, name in enumerate(header.names):
        part = part_named(name) if name and column not in taken else None
        if part is None or part in found.values():
            continue
        below = [row[column] for row in grid.rows[header.row + 1 :] if not is_blank(row) and column < len(row)]
        shown = [cells.text(cell).lower() for cell in below]
        if any(shown) and all(text in _YES | _NO for text in shown):
            found[column] = part
    return found


def bridge_columns(grid: Grid, header: Header) -> dict[int, str]:
    """Column -> bridge, where beside the total each of several bridges has a column of prices of its own."""
    total, supplier = header.column("price_usd"), header.column("supplier")
    named = {column: name for name, columns in header.columns.items() for column in columns[:1]}
    found: dict[int, str] = {}
    for column, name in enumerate(header.names):
        if not name or column == total or named.get(column) not in (None, "structure", "job"):
            continue
        rows = [row for row in grid.rows[header.row + 1 :] if supplier is not None and max(supplier, column) < len(row)]
        below = [row[column] for row in rows if cells.text(row[supplier or 0]) and cells.text(row[column])]
        prices = [price for cell in below if (price := says.price_alone(cell)) is not None]
        empty = sum(says.says_no_bid(cells.text(cell)) for cell in below)
        if prices and len(prices) + empty == len(below) and min(prices) >= _LEAST_PRICE:
            found[column] = name
    return found if total is not None and len(found) > 1 else {}


_LEAST_PRICE = 1_000  # below it numbers count beams or feet


def says_yes(cell: Cell) -> bool:
    return cells.text(cell).lower() in _YES

"""Columns beside the bidders' own that hold what was worked out from the bids: averages, the lowest of each item.

Taken for a bidder, such a column would be a bid that nobody made: it would be ranked, counted and priced.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from bidlens.errors import Place
from bidlens.findings import Finding
from bidlens.ingest import cells
from bidlens.ingest.blocks import BidderBlock
from bidlens.ingest.grid import Grid
from bidlens.ingest.headers import words_of
from bidlens.ingest.layout import cell_words


def parted(
    grid: Grid, items: Sequence[int], blocks: Sequence[BidderBlock]
) -> tuple[list[BidderBlock], list[BidderBlock]]:
    """The bidders' columns, and those of figures worked out from them. items : the rows with prices, by grid index."""
    own = [block for block in blocks if not cell_words().is_worked_out(block.name)]
    bids = [block for block in own if not _repeats_others(grid, items, block, own)]
    return bids, [block for block in blocks if block not in bids]


def left_out(names: Iterable[str], place: Place, contract: str) -> list[Finding]:
    """Says what was left out, once."""
    shown = " and ".join(f"“{name}”" for name in dict.fromkeys(names))
    if not shown:
        return []
    text = f"contract {contract}: {shown} was left out: worked out from the bids, and no bid"
    return [Finding("worked_out_left_out", "note", text, "Look whether it is a bidder after all.", place, contract)]


def _repeats_others(grid: Grid, items: Sequence[int], block: BidderBlock, blocks: Sequence[BidderBlock]) -> bool:
    """Whether a column is named for the lowest or highest price, and each price in it is one of the others' too."""
    if not cell_words().says("extreme_name", " ".join(words_of(block.name))):
        return False
    others = [other.price for other in blocks if other != block]
    rows = [grid.rows[index] for index in items]
    return all(cells.plain_number(row[block.price]) in [cells.plain_number(row[at]) for at in others] for row in rows)

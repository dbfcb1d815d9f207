"""What is doubtful about the bidders of a sheet that has them side by side."""

from __future__ import annotations

from bidlens.findings import Finding
from bidlens.ingest import cells
from bidlens.ingest.blocks import is_place
from bidlens.ingest.grid import Grid
from bidlens.ingest.layout import cell_words
from bidlens.ingest.wide_segments import Segment
from bidlens.ingest.worked_out import left_out


def notes(visible: list[Grid], segments: list[Segment]) -> list[Finding]:
    """Columns that were left out, and words such as “non-responsive” that stand outside the tables: shown, since they
    are not tied to a bidder."""
    words = cell_words()
    used = {(id(segment.grid), index) for segment in segments for index in segment.items}
    found = [finding for segment in segments for finding in (*_left_out(segment), *_not_named(segment))]
    for grid in visible:
        for index, row in enumerate(grid.rows):
            for cell in row if (id(grid), index) not in used else ():
                if isinstance(cell, str) and any(
                    words.says(kind, cell) for kind in ("irregular", "rejected", "withdrawn")
                ):
                    text = f"the sheet “{grid.sheet}” says “{cells.text(cell)[:120]}”; no bid is set apart for it"
                    do = "Look which bid is meant; its status is not taken from a note."
                    found.append(Finding("status_note", "check", text, do, grid.place(index), segments[0].contract))
    return found


def _left_out(segment: Segment) -> list[Finding]:
    return left_out(segment.left_out, segment.grid.place(segment.header.row), segment.contract)


def _not_named(segment: Segment) -> list[Finding]:
    """Bidders of which the sheet gives the place alone."""
    names = [f"“{block.name}”" for block in segment.blocks if is_place(block.name)]
    if not names:
        return []
    text = f"contract {segment.contract}: {' and '.join(names)} is a place among the bidders; the sheet gives no name"
    do = "Write the names above the columns and import again, to follow a bidder from letting to letting."
    return [Finding("bidder_not_named", "check", text, do, segment.grid.place(segment.header.row), segment.contract)]

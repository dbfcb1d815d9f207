"""What stands above a table, on its sheet or in its file's name: the letting date and the contract."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path

from bidlens.errors import BadValue
from bidlens.ingest import cells
from bidlens.ingest.grid import Grid
from bidlens.ingest.layout import Layout, cell_words

#: A day of the calendar within a text, in the ways people write it.
DAY = re.compile(
    r"\b(?:\d{4}-\d{1,2}-\d{1,2}|\d{1,2}/\d{1,2}/\d{2,4}|(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?\s+"
    r"\d{1,2},\s*\d{4}|\d{1,2}\s+(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\s+\d{4})\b",
    re.IGNORECASE,
)
#: A sheet's title that names its contract.
_SHEET_OF = re.compile(
    r"^(?:contract|project|solicitation|proposal)\s*(?:no\.?|#)?\s*:?\s*(?P<id>\S*\d\S*)$", re.IGNORECASE
)
_PARTS = re.compile(r",\s+|\s[-–—]\s")


def letting_date(grid: Grid, header_row: int, layout: Layout) -> dt.date:
    """The letting date of a sheet without a date column, from the places its layout names.

    Raises BadValue, saying how to give it, if none of them holds a date.
    """
    found = letting_date_found(grid, header_row, layout)
    if found:
        return found[0]
    raise BadValue(
        "no letting date stands in a column, above the headings or in the file's name",
        where=grid.place(),
        do="Rename the file to the day of the letting, as 2031-04-08, or add a column “Letting date”; "
        "on the Records page it can be typed.",
    )


def letting_date_found(grid: Grid, header_row: int, layout: Layout) -> tuple[dt.date, str] | None:
    """The letting date of a sheet without a date column, and where it stands; None if it is nowhere."""
    if grid.told and grid.told.letting_date:
        return grid.told.letting_date, "as told"
    for place in layout.letting_date_from:
        found = date_between(grid, 0, header_row) if place == "above" else None
        if place == "name":
            found = cells.date_in_name(Path(grid.file).stem) or (cells.date_in_name(grid.sheet) if grid.sheet else None)
        if found:
            return found, "above the headings" if place == "above" else "in the file's name"
    return None


def date_between(grid: Grid, first: int, header_row: int) -> dt.date | None:
    """A true date in a cell above the headings, or a text that is a date, if need be after words of a letting."""
    for index, row in enumerate(grid.rows[first:header_row], start=first):
        for cell in row:
            if isinstance(cell, dt.date):  # a datetime is one too
                return cells.date(cell, grid.place(index))
            if isinstance(cell, str) and (found := _date_in_words(cell)):
                return cells.in_reach(found, grid.place(index))
    return None


def _date_in_words(shown: str) -> dt.date | None:
    tidy = " ".join(shown.split())
    if not any(letter.isdigit() for letter in tidy) or len(tidy) > 80:
        return None
    words = cell_words()
    match = words.patterns["date_above"].match(tidy)
    try:
        if match:
            return cells.date(match["date"])
    except BadValue:
        pass  # the words go on: look for one day among them
    days = DAY.findall(tidy)
    if len(days) != 1 or not words.says("date_words", tidy) or words.says("other_date", tidy):
        return None
    try:
        return cells.date(days[0])
    except BadValue:
        return None


def contract(grid: Grid, header_row: int, layout: Layout) -> str:
    """The contract of a sheet without a contract column: after its word above the headings, or the file's name."""
    if grid.told and grid.told.contract:
        return grid.told.contract
    for place in layout.contract_from:
        if place == "above" and (found := contract_between(grid, 0, header_row)):
            return found
        if place == "above" and (named := _SHEET_OF.match(grid.sheet)):
            return named["id"]
        if place == "name":
            return Path(grid.file).stem
    raise BadValue(
        "no contract number stands in a column or above the headings",
        where=grid.place(),
        do="Add a column “Contract”.",
    )


def contract_between(grid: Grid, first: int, header_row: int) -> str | None:
    """“Solicitation No. 2031-007” in one cell, or its word in one cell and the number in the next; None if in none."""
    pattern = cell_words().patterns["contract_above"]
    for row in grid.rows[first:header_row]:
        shown = [text for cell in row if (text := cells.text(cell))]
        for text, following in zip(shown, [*shown[1:], ""], strict=False):  # a blank row has neither
            match = pattern.match(text) or pattern.match(f"{text.rstrip(' :')} {following}")
            match = match or pattern.match(_PARTS.split(text)[-1])  # Larch Road Bridge, Project 2031-07
            if match:
                return match["id"]
    within = cell_words().patterns["contract_within"]  # Larch Road Bridge, Contract No. 31-07, Phase 2
    texts = (cell for row in grid.rows[first:header_row] for cell in row if isinstance(cell, str))
    return next((match["id"] for text in texts if (match := within.search(cells.text(text)))), None)


def description(grid: Grid, header_row: int, first: int = 0) -> str:
    """The work as the first column above the headings describes it: its texts that are no date and no contract."""
    pattern = cell_words().patterns["contract_above"]
    told = []
    for row in grid.rows[first:header_row]:
        shown = cells.text(row[0]) if row and isinstance(row[0], str) else ""
        if shown and not pattern.match(shown) and _date_in_words(shown) is None and any(map(str.isalpha, shown)):
            told.append(shown)
    return ", ".join(told)

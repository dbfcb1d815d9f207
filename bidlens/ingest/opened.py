"""Printed reports of bids as opened (.txt): a record on one or two lines, columns set by blanks, totals and no items.

Each bid has up to three totals: as read at the opening, the sum of its extensions, and recalculated. The first and the
last are stored; a sum of extensions that is neither is told in a Finding.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from pathlib import Path

from bidlens.batch import Batch
from bidlens.errors import BadValue
from bidlens.findings import Finding
from bidlens.ingest import cells, lists
from bidlens.ingest.by_total import BidTotal, LettingTotal, batch_of
from bidlens.ingest.doubts import usd
from bidlens.ingest.fixed_lines import Piece, pieces
from bidlens.ingest.grid import Grid
from bidlens.ingest.headers import match_headings
from bidlens.ingest.layout import WORKED_OUT, cell_words
from bidlens.ingest.priced import set_aside
from bidlens.ingest.sheet_read import ColumnRead, SheetRead

LAYOUT = "bids_as_opened"
_MONEY = ("as_read", "extensions", "recalculated")
_IS_MONEY = re.compile(r"\$?\d[\d,]*\.\d{2}\Z")
_PARTS = re.compile(r"\S+")
FIRST_BIDS = 3
_NEAR = 3  # characters beside its heading at which an entry is still taken to stand under it
_NUMBER_FIRST = re.compile(r"\d{1,5}[A-Z]?\s+(?=\S)")
_CONTRACT = re.compile(r"\bcontract\s*(?:no\b\.?|number\b|id\b|#)?\s*:?\s*(?P<id>[A-Z0-9][\w\-./]*\d[\w\-./]*)", re.I)
_LETTING = re.compile(
    r"\b(?:letting|opening|opened|bid date)\b(?:\s+(?:of|on|date))?\s*:?\s*(?P<date>\S+(?: \d{1,2}, \d{4})?)", re.I
)
_ESTIMATE = re.compile(r"\bestimate\s*:?\s*\$?(?P<usd>\d[\d,]*\.\d{2})", re.I)
_COMBINATION = re.compile(r"\bcombin", re.I)


def is_report(grids: Sequence[Grid]) -> bool:
    """The file is a printed report with a line that heads bidders and their totals as read."""
    return len(grids) == 1 and any(_heading(line) is not None for _, line in _lines(grids[0]))


def read(grids: Sequence[Grid], sha256: str) -> Batch:
    """The contracts and bids of a report. Raises BadValue at a line that cannot be read, with its number."""
    report = _Report(grids[0])
    for index, line in _lines(grids[0]):
        report.line(index, line)
    report.end()
    lettings = [letting for letting in report.lettings.values() if letting.bids]
    if not lettings:
        raise BadValue("the report holds no bid below its headings", where=grids[0].place(), do="Check the file.")
    order = sorted(report.aside)
    aside = set_aside(grids[0], order, [report.aside[index] for index in order])
    rows_read = sum(1 for _ in _lines(grids[0]))
    return batch_of(lettings, grids[0].file, sha256, LAYOUT, rows_read, aside, report.findings)


def recognised(grid: Grid) -> SheetRead:
    """What is recognised in a report: its headings, and the first bids as they are understood."""
    row, columns = next((index, found) for index, line in _lines(grid) if (found := _heading(line)) is not None)
    report = _Report(grid)
    unsure: tuple[str, ...] = ()
    try:
        for index, line in _lines(grid):
            report.line(index, line)
    except BadValue as problem:
        unsure = (problem.what,)
    lettings = list(report.lettings.values())
    bids = [(letting, bid) for letting in lettings for bid in letting.bids][:FIRST_BIDS]
    shown = {
        "bidder": [bid.bidder for _, bid in bids],
        "as_read": ["" if bid.as_read is None else usd(bid.as_read) for _, bid in bids],
        "recalculated": ["" if bid.corrected is None else usd(bid.corrected) for _, bid in bids],
    }
    in_order = sorted(columns.items(), key=lambda column: column[1].start)
    return SheetRead(
        grid.sheet,
        "bid-tab",
        LAYOUT,
        row + 1,
        tuple(
            ColumnRead(str(number), piece.text, field, tuple(dict.fromkeys(filter(None, shown.get(field, [])))))
            for number, (field, piece) in enumerate(in_order, start=1)
        ),
        lettings[0].letting_date.isoformat() if lettings else "",
        "in the report" if lettings else "not found",
        tuple(
            {"contract": letting.contract_id} | {name: values[at] for name, values in shown.items() if values[at]}
            for at, (letting, _) in enumerate(bids)
        ),
        unsure if lettings or unsure else ("no contract is named in the report",),
    )


def _lines(grid: Grid) -> list[tuple[int, str]]:
    """The lines that are not blank, with their index."""
    found = [(index, row[0]) for index, row in enumerate(grid.rows) if len(row) == 1]
    return [(index, line) for index, line in found if isinstance(line, str) and line.strip()]


def _heading(line: str) -> dict[str, Piece] | None:
    """The columns a heading line names: field -> its words and where they stand."""
    found = pieces(line)
    columns = match_headings([piece.text for piece in found], lists.stems_of("opened"))
    if "bidder" not in columns or "as_read" not in columns:
        return None
    return {field: found[places[0]] for field, places in columns.items()}


class _Report:
    """A report being read line by line: the contract and the bid at hand, and what was found so far."""

    def __init__(self, grid: Grid) -> None:
        self.grid = grid
        self.lettings: dict[str, LettingTotal] = {}
        self.aside: dict[int, str] = {}
        self.findings: list[Finding] = []
        self.columns: dict[str, Piece] | None = None
        self.contract = ""
        told = grid.told.letting_date if grid.told else None
        self.day: dt.date | None = told or cells.date_in_name(Path(grid.file).stem)
        self.marked: dict[str, set[str]] = {}  # bidders the report marks as low, by contract
        self.waiting: tuple[int, str] | None = None  # a bidder's name whose totals come on the next line

    def line(self, index: int, line: str) -> None:
        heading = _heading(line)
        if heading is not None:
            if self.columns is not None:
                self.aside[index] = "the headings once more"
            self.columns = heading
            return
        if self._facts(index, line):
            return
        amounts = [match for match in _PARTS.finditer(line) if _IS_MONEY.match(match[0])]
        if self.columns is None or not self.contract:
            if amounts and self.columns is not None:
                raise self._bad(index, "the line has totals but no contract is named above it", "Name the contract.")
            self.aside[index] = "above the headings"
        elif amounts:
            self._bid(index, line, amounts[0].start())
        elif _COMBINATION.search(line):
            self._combination(index, line)
        elif self._is_name(line):
            self._drop_waiting()
            self.waiting = (index, line)
        else:
            self.aside[index] = "a note, not a bid"

    def end(self) -> None:
        self._drop_waiting()
        for contract, marked in self.marked.items():
            bids = [bid for bid in self.lettings[contract].bids if bid.status == "responsive"]
            low = {min(bids, key=lambda bid, at=at: bid.both()[at]).bidder for at in (0, 1)} if bids else set()  # type: ignore[misc]
            if not low & marked:
                text = f"contract {contract}: the report marks {' and '.join(sorted(marked))} as low, by total it is "
                text += " or ".join(sorted(low)) or "nobody"
                self.contract = contract
                self._find(self.lettings[contract].row - 1, "low_mark_differs", "check", text, "Look at the report.")

    def _facts(self, index: int, line: str) -> bool:
        """Contract, letting date and estimate, where the line gives any: then it is the head of a page."""
        contract, letting, estimate = _CONTRACT.search(line), _LETTING.search(line), _ESTIMATE.search(line)
        day = _day(letting["date"]) if letting else None
        if contract is None and day is None:
            return False
        self._drop_waiting()
        self.day = day or self.day
        again = contract is not None and contract["id"] in self.lettings
        if contract is not None:
            self._begin(index, contract["id"])
        if estimate and self.contract:
            self.lettings[self.contract].estimate = self._cents(index, estimate["usd"])
        if again or contract is None:
            self.aside[index] = "the head of a page"
        return True

    def _begin(self, index: int, contract: str) -> None:
        if self.day is None:
            do = "Rename the file to the day of the letting, as 2031-04-08."
            raise self._bad(index, "no letting date stands in the report or in the file's name", do)
        known = self.lettings.setdefault(contract, LettingTotal(contract, self.day, index + 1))
        if known.letting_date != self.day:
            told = f"contract {contract} is let on {known.letting_date} above and on {self.day} here"
            raise self._bad(index, told, "Correct the date, or import the lettings as files of their own.")
        self.contract = contract

    def _is_name(self, line: str) -> bool:
        """The line holds a bidder's name alone, under its heading or led by the bidder's number."""
        bidder = (self.columns or {})["bidder"]
        found = pieces(line)
        name = found[-1]
        told = _NUMBER_FIRST.match(line.strip()) is not None or abs(name.start - bidder.start) <= _NEAR
        plain = not cell_words().says("total_row", line) and ":" not in line
        return told and plain and len(found) <= 2 and name.start <= bidder.end and any(map(str.isalpha, name.text))

    def _bid(self, index: int, line: str, first_amount: int) -> None:
        before = line[:first_amount].strip(" *")
        if cell_words().says("total_row", before):
            self.aside[index] = "a total, not a bid"
            return
        if before and self.waiting:
            self._drop_waiting()
        if before:
            row, name = index, before
        elif self.waiting:
            row, name = self.waiting[0], self.waiting[1].strip()
        else:
            raise self._bad(
                index, "the line has totals but no bidder stands above it", "Write the bidder's name above."
            )
        self.waiting = None
        bidder = " ".join(_NUMBER_FIRST.sub("", name, count=1).split())
        self._store(index, row, bidder, self._entries(index, line, first_amount))
        if "*" in line[first_amount:]:
            self.marked.setdefault(self.contract, set()).add(bidder)

    def _entries(self, index: int, line: str, start: int) -> dict[str, str]:
        """What stands under each heading: the entry that overlaps it most, or is nearest within a few characters."""
        columns = {name: piece for name, piece in (self.columns or {}).items() if name != "bidder"}
        found: dict[str, str] = {}
        for match in _PARTS.finditer(line, start):
            if match[0] == "*":
                continue  # the mark of the low bid
            entry = Piece(match[0], match.start(), match.end())
            suited = {
                name: piece for name, piece in columns.items() if (name in _MONEY) == bool(_IS_MONEY.match(entry.text))
            }
            name = max(suited, key=lambda name: suited[name].overlap(entry), default=None)
            if name is None or suited[name].overlap(entry) <= -_NEAR:
                raise self._bad(index, f"“{entry.text}” stands under no heading", "Set it below its heading.")
            if name in found:
                told = f"“{found[name]}” and “{entry.text}” both stand under “{columns[name].text}”"
                raise self._bad(index, told, "Set each below its own heading.")
            found[name] = entry.text
        return found

    def _store(self, index: int, row: int, bidder: str, found: dict[str, str]) -> None:
        letting = self.lettings[self.contract]
        as_read, extensions, recalculated = (self._cents(index, found.get(name)) for name in _MONEY)
        if cell_words().is_estimate(bidder):
            letting.estimate = next((total for total in (recalculated, extensions, as_read) if total is not None), None)
            return
        if cell_words().is_worked_out(bidder):
            self.aside[index] = WORKED_OUT
            return
        corrected = extensions if recalculated is None else recalculated
        blanks = found.get("blanks", "0")
        if not blanks.isdigit():
            raise self._bad(index, f"the number of blank prices is “{blanks}”", "Give a whole number.")
        status = "irregular" if int(blanks) else "responsive"
        letting.bids.append(BidTotal(bidder, as_read, corrected, row + 1, status))
        name = f"contract {self.contract}: {bidder}"
        if int(blanks):
            text = f"{name} left {int(blanks)} {'price' if int(blanks) == 1 else 'prices'} blank; the bid is irregular"
            self._find(row, "blank_unit_price", "stop", f"{text} and not ranked", "Look at the bid as handed in.")
        if extensions is not None and extensions != corrected:
            text = f"{name}: the extensions add up to {usd(extensions)}, recalculated to {usd(corrected or 0)}"
            self._find(row, "sum_of_extensions_differs", "check", text, "The recalculated total is used.")
        elif extensions is not None and as_read is not None and extensions != as_read:
            text = f"{name}: read at {usd(as_read)}, the extensions add up to {usd(extensions)}"
            self._find(row, "sum_of_extensions_differs", "check", text, "The recalculated total is used.")

    def _cents(self, index: int, shown: str | None) -> int | None:
        if shown is None:
            return None
        try:
            value = cells.number(shown, 2)
        except ValueError as error:
            raise self._bad(index, f"cannot read “{shown[:40]}” as a total", "Correct it.") from error
        return None if value is None else int(value * 100)

    def _combination(self, index: int, line: str) -> None:
        self.aside[index] = "a combination bid, one price for several contracts"
        text = f"contract {self.contract}: “{' '.join(line.split())[:120]}”: a combination bid is not parted"
        self._find(index, "combination_bid", "check", text, "The award may rest on it; look at the report.")

    def _drop_waiting(self) -> None:
        """A line that looked like a name and had no totals below it."""
        if self.waiting is not None:
            self.aside[self.waiting[0]] = "text that stands alone, without totals"
            self.waiting = None

    def _find(self, index: int, code: str, severity: str, text: str, do: str) -> None:
        place = self.grid.place(index)
        self.findings.append(Finding(code, severity, text, do, place, self.contract))  # type: ignore[arg-type]

    def _bad(self, index: int, what: str, do: str) -> BadValue:
        return BadValue(what, where=self.grid.place(index), do=f"{do} Nothing was imported from this file.")


def _day(shown: str) -> dt.date | None:
    try:
        return cells.date(shown)
    except BadValue:
        return None

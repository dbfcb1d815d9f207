"""Summaries of contracts: a row a contract (or a contract and bidder), with totals and no items.

A ranking of the bidders of one contract is one too, where the contract is named above it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pandas as pd

from bidlens.batch import Batch
from bidlens.errors import BadValue
from bidlens.findings import Finding
from bidlens.ingest import above, cells, lists
from bidlens.ingest.by_total import BidTotal, LettingTotal, batch_of
from bidlens.ingest.doubts import usd
from bidlens.ingest.grid import Grid, is_blank
from bidlens.ingest.headers import Header, contains, words_of
from bidlens.ingest.layout import WORKED_OUT, Layout, cell_words
from bidlens.ingest.lists import Row
from bidlens.ingest.priced import set_aside

_REQUIRED: lists.Required = (("contract", "bidder", "total_corrected"), ("contract", "bidder", "total_as_read"))
_REQUIRED_OF_ONE: lists.Required = (("bidder", "total_corrected"), ("bidder", "total_as_read"))
LAYOUT = Layout(
    "contract_summary", "totals of contracts, no items", "summary", (), ("column", "above", "name"), ("column",), ""
)
#: Headings of lists that also name a contract and what it cost, and of tabulations by item.
_OTHER_LISTS = (("structure",), ("bridge",), ("length",), ("width",), ("span",), ("item",), ("quantit",), ("qty",),
                ("unit", "pri"), ("supplier",), ("scope",), ("cover",), ("furnish",))  # fmt: skip
_NO_BIDS = frozenset({"", "no bids", "(no bids)", "no bid", "none", "-"})


def header_of(grid: Grid) -> Header | None:
    """The heading row of a summary of contracts; None if the sheet is none."""
    stems = lists.stems_of("summary")
    header = lists.header_of(grid, stems, _REQUIRED)
    if header is None:
        ranking = lists.header_of(grid, stems, _REQUIRED_OF_ONE)
        header = ranking if ranking and above.contract_between(grid, 0, ranking.row) else None
    return None if header is None or lists.mentions(header, _OTHER_LISTS) else header


def read(grids: Sequence[Grid], sha256: str) -> Batch:
    """The contracts of a summary. Raises BadValue at a cell that cannot be read and where no letting date is given."""
    sheets = [(grid, header) for grid in grids if (header := header_of(grid)) is not None]
    lettings: list[LettingTotal] = []
    findings = [finding for grid in grids if header_of(grid) is None for finding in lists.not_read(grid)]
    aside: list[pd.DataFrame] = []
    rows_read = 0
    for grid, header in sheets:
        of_sheet = _Sheet(grid, header)
        of_sheet.read()
        lettings += of_sheet.lettings.values()
        findings += of_sheet.findings
        order = sorted(of_sheet.aside)
        aside.append(set_aside(grid, order, [of_sheet.aside[index] for index in order]))
        rows_read += sum(not is_blank(row) for row in grid.rows)
    if not lettings:
        grid, header = sheets[0]
        raise BadValue("no row below the headings is a contract", where=grid.place(header.row), do="Check the file.")
    _refuse_twice(lettings, grids[0].file)
    whole = pd.concat(aside, ignore_index=True)
    return batch_of(lettings, grids[0].file, sha256, LAYOUT.name, rows_read, whole, findings)


def _refuse_twice(lettings: Sequence[LettingTotal], file: str) -> None:
    keys = [(letting.contract_id, letting.letting_date) for letting in lettings]
    twice = next((key for key in keys if keys.count(key) > 1), None)
    if twice:
        raise BadValue(
            f"contract {twice[0]} stands on two sheets", where=file, do="Import the sheets as files of their own."
        )


class _Sheet:
    """One sheet being read: its contracts in order, its rows set aside, its findings."""

    def __init__(self, grid: Grid, header: Header) -> None:
        self.grid, self.header = grid, header
        self.lettings: dict[tuple[str, object], LettingTotal] = {}
        self.aside: dict[int, str] = {}
        self.findings: list[Finding] = []
        self.sums: dict[str, int] = {}
        self.contract = above.contract_between(grid, 0, header.row) if header.column("contract") is None else None
        self.day = None if header.column("letting_date") is not None else above.letting_date(grid, header.row, LAYOUT)

    def read(self) -> None:
        for index, cells_here in enumerate(self.grid.rows):
            if is_blank(cells_here) or index == self.header.row:
                continue
            row = Row(self.grid, self.header, index)
            words = " ".join(cells.text(cell) for cell in cells_here if isinstance(cell, str) and cells.text(cell))
            if index < self.header.row:
                self.aside[index] = "above the headings"
            elif tuple(map(cells.text, cells_here)) == self.header.names:
                self.aside[index] = "the headings once more"
            elif cell_words().says("total_row", " ".join([row.text("contract"), words[:60]])) and not row.text(
                "bidder"
            ):
                self._total_row(row)
            elif self._is_contract(row):
                self._contract(row)
            else:
                self._note(index, words)

    def _is_contract(self, row: Row) -> bool:
        if not (self.contract or row.text("contract")):
            return False
        return bool(row.text("bidder")) or any(self._cents(row, name) is not None for name in _MONEY)

    def _contract(self, row: Row) -> None:
        if cell_words().is_worked_out(row.text("bidder")):
            self.aside[row.index] = WORKED_OUT
            return
        day = self.day or row.date("letting_date")
        if day is None:
            raise BadValue("the letting date is blank", where=row.place_of("letting_date"), do="Fill it in.")
        key = (self.contract or row.text("contract"), day)
        number = row.index + 1
        first = key not in self.lettings  # facts of the contract may repeat on the row of each bidder
        letting = self.lettings.setdefault(key, LettingTotal(*key, number, self.grid.sheet, work=row.text("work")))
        bidder = row.text("bidder")
        read, corrected = self._cents(row, "total_as_read"), self._cents(row, "total_corrected")
        estimate = self._cents(row, "estimate")
        if cell_words().is_estimate(bidder):
            letting.estimate = corrected if read is None else read
            return
        letting.estimate = estimate if letting.estimate is None else letting.estimate
        self._add("estimate", estimate if first else None)
        stated = self._count(row)
        letting.bids_stated = stated if letting.bids_stated is None else letting.bids_stated
        said = row.text("status")
        if cell_words().says("awarded", said) and not cell_words().says("not_awarded", said):
            letting.status = "awarded"
        if bidder.lower() in _NO_BIDS:
            if (read, corrected) != (None, None):
                raise BadValue("a total stands beside no bidder", where=row.place, do="Fill in the bidder.")
            return
        if (read, corrected) == (None, None):
            raise BadValue(f"the bid of {bidder} has no total", where=row.place, do="Fill it in, or clear the bidder.")
        self._add("total_corrected", corrected)
        self._add("total_as_read", read)
        status = next((word for word in ("irregular", "rejected", "withdrawn") if cell_words().says(word, said)), "")
        letting.bids.append(BidTotal(bidder, read, corrected, number, status or "responsive"))

    def _cents(self, row: Row, name: str) -> int | None:
        cell = row.cell(name)
        if cell is None or (isinstance(cell, str) and cell.strip().lower() in cells.NO_BID):
            return None
        read = cells.numbers([cell], 2, [row.place_of(name)], "an amount")[0].as_py()
        return None if read is None else int(read * 100)

    def _count(self, row: Row) -> int | None:
        shown = row.text("bids")
        if not shown:
            return None
        if not shown.isdigit() or len(shown) > 4:
            raise BadValue(
                f"the number of bids is “{shown[:40]}”", where=row.place_of("bids"), do="Give a whole number."
            )
        return int(shown)

    def _add(self, name: str, value: int | None) -> None:
        self.sums[name] = self.sums.get(name, 0) + (value or 0)

    def _total_row(self, row: Row) -> None:
        """A row of totals: a check on what stands above it."""
        self.aside[row.index] = "a total, used as a check only"
        for name in _MONEY:
            stated, summed = self._cents(row, name), self.sums.get(name)
            if stated is not None and summed is not None and stated != summed:
                text = f"the total row states {usd(stated)} under “{self.header.name_of(name)}”, the rows add up to "
                place = self.grid.place(row.index)
                do = "Look whether contracts are missing from the file."
                self.findings.append(Finding("letting_total_differs", "check", text + usd(summed), do, place))

    def _note(self, index: int, words: str) -> None:
        """Text below the table. One that says of a contract that all bids were rejected is taken at its word."""
        told = [key for key in self.lettings if contains_name(words, key[0])]
        rejected = cell_words().says("rejected", words) and "all bids" in words.lower()
        self.aside[index] = "a note, not a contract"
        for key in told:
            letting = self.lettings[key]
            if rejected:
                letting.status = "rejected"
                letting.bids = [replace(bid, status="rejected") for bid in letting.bids]
                self.aside[index] = "a note; its contracts are kept as rejected"
            text = f"contract {letting.contract_id}: the file says “{words[:160]}”"
            code = "all_bids_rejected" if rejected else "note_on_contract"
            place = self.grid.place(index)
            self.findings.append(Finding(code, "check", text, "", place, letting.contract_id))
        if rejected and not told:
            text = f"the note “{words[:160]}” names no contract above it; no status is taken from it"
            self.findings.append(Finding("status_note", "check", text, "", self.grid.place(index)))


_MONEY = ("total_as_read", "total_corrected", "estimate")


def contains_name(words: str, contract: str) -> bool:
    """Whether a text names a contract: its words side by side, none of them only begun."""
    name = tuple(f"{word}." for word in words_of(contract))
    return bool(name) and contains(words_of(words), name)


def is_summary(grids: Sequence[Grid]) -> bool:
    """Some visible sheet is a summary of contracts."""
    return any(header_of(grid) is not None for grid in grids)

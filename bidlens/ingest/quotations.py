"""Suppliers' quotations in a list: several suppliers on one job, as a table, or as lines of minutes and letters.

A job is a bridge, or several, with its size, its estimate and what the owner's own crew adds; below it stand the
suppliers, what each asks and what that covers. Each quotation becomes a proposal a bridge and keeps its row. What
cannot be parted without a guess is set aside, with the question to ask.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from pathlib import Path

from bidlens.errors import BadValue, UnreadableFile
from bidlens.findings import Finding, Severity
from bidlens.ingest import cells, lists
from bidlens.ingest import quotation_text as says
from bidlens.ingest.grid import Cell, Grid, is_blank
from bidlens.ingest.headers import Header, contains, words_of
from bidlens.ingest.quotation_job import Job, Quote
from bidlens.ingest.quotation_lines import Line, bridge_columns, flag_columns, says_yes
from bidlens.ingest.quotation_offers import Offers
from bidlens.ingest.sheet_read import IN_LINES, ColumnRead, SheetRead
from bidlens.wording import usd

REQUIRED: lists.Required = tuple(
    ("supplier", price) for price in ("price_usd", "price_per_sf", "price_per_beam", "price_per_lb")
)
_SUPPLIERS = (("supplier",), ("fabricator",), ("manufacturer",), ("producer",), ("quoted", "by"), ("offered", "by"))
_OF_AN_OFFER = frozenset({"scope", "size"})
_OF_A_BRIDGE = frozenset({"superstructure", "length", "width"})
_PAID_FOR = (("contract",), ("year",), ("let.",), ("letting",))  # a list of bridges built, and what they cost
_QUANTITIES = (("quantit",), ("qty",), ("extension",), ("unit", "pri"), ("line",))
_PRICES = ("price_usd", "price_per_sf", "price_per_beam", "price_per_lb")
_OF_QUOTATIONS = ("quot", "furnish", "deliver", "supplier", "fabricat", "precast", "superstructure")
_MOST_LINES = 2_000
_FIRST = 3


def header_of(grid: Grid) -> Header | None:
    """The heading row of a table of suppliers and their prices; None if the sheet has none."""
    header = lists.header_of(grid, lists.stems_of("proposals"), REQUIRED)
    if header is None or grid.told:
        return header
    named = header.columns.keys()
    of_offer = _OF_AN_OFFER & named or flag_columns(grid, header)
    of_bridge = _OF_A_BRIDGE & named and not lists.mentions(header, _PAID_FOR)
    if lists.mentions(header, _QUANTITIES) or not (of_offer or of_bridge or lists.mentions(header, _SUPPLIERS)):
        return None
    return header


def in_lines(grids: Sequence[Grid]) -> bool:
    """Some sheet holds, line by line, a supplier with a price, and words of what was quoted."""
    return any(_holds_quotes(grid) for grid in grids if not grid.hidden)


def _holds_quotes(grid: Grid) -> bool:
    if len(grid.rows) > _MOST_LINES:
        return False
    lines = [Line(grid, index) for index, row in enumerate(grid.rows) if not is_blank(row)]
    quoted = [line for line in lines if line.quoted() is not None]
    speaks = any(contains(words_of(line.text), (stem,)) for line in lines for stem in _OF_QUOTATIONS)
    return bool(quoted) and speaks and len(quoted) * 8 >= len(lines)


def recognised(grid: Grid) -> SheetRead | None:
    """What is recognised on a sheet of lines: the first quotations as they are understood; None if it holds none."""
    if header_of(grid) is not None or not _holds_quotes(grid):
        return None
    lines = [Line(grid, index).quoted() for index, row in enumerate(grid.rows) if not is_blank(row)]
    quotes = [quote for quote in lines if quote is not None][:_FIRST]
    shown = {
        "supplier": [quote.supplier for quote in quotes],
        "price_usd": [cells.text(quote.price) for quote in quotes],
        "scope": ["; ".join(quote.said) for quote in quotes],
    }
    columns = tuple(
        ColumnRead(str(at), "", name, tuple(dict.fromkeys(filter(None, values))))
        for at, (name, values) in enumerate(shown.items(), start=1)
    )
    first = tuple({name: values[at] for name, values in shown.items() if values[at]} for at in range(len(quotes)))
    return SheetRead(grid.sheet, "proposals", IN_LINES, None, columns, "", "not needed", first, ())


def read_sheets(grids: Sequence[Grid]) -> tuple[Offers, int, list[tuple[Grid, Header]]]:
    """The quotations of all sheets, the rows read, and the heading rows of those that are tables.

    Raises UnreadableFile where no sheet holds any.
    """
    found = Offers()
    headers: list[tuple[Grid, Header]] = []
    rows_read = 0
    for grid in grids:
        header = header_of(grid)
        if grid.hidden or (header is None and not _holds_quotes(grid)):
            found.findings += lists.not_read(grid)
            continue
        sheet = _Sheet(grid, header, found, one_of_several=sum(not other.hidden for other in grids) > 1)
        rows_read += sheet.read()
        headers += [(grid, header)] if header else []
        for job in sheet.jobs:
            found.take(job)
    if not rows_read:
        raise UnreadableFile(
            "no row names the supplier and a price", where=grids[0].file if grids else None, do=lists.HOW_TO_HEAD
        )
    return found, rows_read, headers


@dataclass(slots=True, eq=False)
class _Sheet:
    """One sheet being read: its jobs in order, each with its quotations.

    at_hand : the job that lines without a job of their own belong to.
    """

    grid: Grid
    header: Header | None
    found: Offers
    jobs: list[Job] = field(default_factory=list)
    at_hand: Job = field(init=False)
    last: Job = field(init=False)
    by_name: dict[tuple[int, str], Job] = field(default_factory=dict)
    flags: Mapping[int, str] = field(default_factory=dict)
    one_of_several: bool = False
    of_bridges: Mapping[int, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.of_bridges = bridge_columns(self.grid, self.header) if self.header else {}
        if self.header and self.of_bridges:
            columns = {
                name: tuple(at for at in own if at not in self.of_bridges) for name, own in self.header.columns.items()
            }
            self.header = replace(self.header, columns={name: own for name, own in columns.items() if own})
        self.flags = flag_columns(self.grid, self.header) if self.header else {}
        self._begin()

    def read(self) -> int:
        """Every row that is not blank: a quotation, a fact of a job, or set aside with its reason. Their number."""
        waiting: list[int] = []  # lines that may head the next job
        rows_read = 0
        for index, row in enumerate(self.grid.rows):
            if is_blank(row):
                continue
            rows_read += 1
            if self.header and (index == self.header.row or tuple(map(cells.text, row)) == self.header.names):
                waiting = self._head(waiting)
                if index != self.header.row:
                    self._aside(index, "column headings repeated")
            elif (quote := self._quote(index)) is not None:
                waiting = self._head(waiting)
                self._keep(quote)
            elif self.header is None and Line(self.grid, index).heads_columns():
                self._aside(index, "column headings")
            elif not self._fact(index) and not self._unfinished(index):
                waiting.append(index)
        for index in waiting:
            self._aside(index, "a remark, not a quotation")
        return rows_read

    # --- the job --------------------------------------------------------------------------------------------------

    def _begin(self) -> None:
        """A job about which nothing is known yet, but the day in the file's name."""
        day = cells.date_in_name(Path(self.grid.file).stem)
        title = self.grid.sheet if self.one_of_several else ""
        self.at_hand = self.last = Job(
            self.grid, title, date=day.isoformat() if day else None, date_from="the file's name" if day else ""
        )
        self.jobs.append(self.at_hand)

    def _head(self, waiting: Sequence[int]) -> list[int]:
        """The lines above a quotation head its job: a new one, where quotations stand above them."""
        lines = [Line(self.grid, index) for index in waiting]
        begun = bool(self.at_hand.quotes or self.by_name)
        if begun and not any(says.names_a_job(line.text) for line in lines):
            for index in waiting:
                self._aside(index, "a remark, not a quotation")
            return []
        if begun and lines:
            self.by_name.clear()
            self._begin()
        for line in lines:
            self.at_hand.tell(line.pieces)
        return []

    def _job_of(self, quote: Quote) -> Job:
        """The job a row names in its own cells or words; else the one its blank cell repeats; else the one at hand."""
        if quote.lead and says.bridges_in(quote.lead):
            job = Job(self.grid, quote.lead[:80], date=self.at_hand.date, date_from=self.at_hand.date_from)
            self.jobs.append(job)
            return job
        name = cells.text(quote.fields.get("job")) or cells.text(quote.fields.get("structure"))
        if name:
            return self._named(name)
        in_columns = self.header is not None and {"job", "structure"} & self.header.columns.keys()
        return self.last if in_columns else self.at_hand

    def _named(self, name: str) -> Job:
        key = id(self.at_hand), name.casefold()
        if key not in self.by_name:
            self.by_name[key] = self.at_hand.of_its_own(name)
            self.jobs.append(self.by_name[key])
        self.last = self.by_name[key]
        return self.last

    def _keep(self, quote: Quote) -> None:
        self._job_of(quote).quotes.append(quote)

    # --- facts beside the quotations ------------------------------------------------------------------------------

    def _fact(self, index: int) -> bool:
        """The estimate, the own crew's cost, a deck area worked out, a total: told of the job, no quotation."""
        line = Line(self.grid, index)
        amount = line.first_price()
        if line.is_total() and not line.is_estimate():
            return self._total(line, amount)
        job = self._job_of_row(index)
        if line.is_estimate():
            job.estimate = says.estimate_in(line.text) or amount
            return job.estimate is not None
        if says.is_own_cost(line.text) and amount is not None:
            job.own.append((index, line.text, amount))
            return True
        if line.works_out_an_area():
            job.notes.append((index, line.text))
            self._aside(index, "a deck area worked out, used as a check only")
            return True
        return False

    def _job_of_row(self, index: int) -> Job:
        if self.header is None or index < self.header.row:
            return self.at_hand
        row = lists.Row(self.grid, self.header, index)
        name = row.text("job") or row.text("structure")
        return self._named(name) if name else self.last

    def _total(self, line: Line, amount: Decimal | None) -> bool:
        """A row of totals over quotations above it: a check only."""
        quotes = [quote for job in self.jobs for quote in job.quotes if not quote.in_total]
        if not quotes:
            return False
        named = [quote for quote in quotes if quote.supplier.casefold() in line.text.casefold()]
        for quote in named or quotes:
            quote.in_total = True
        self._aside(line.index, "a total, used as a check only")
        self._compare(line.index, named or quotes, amount)
        return True

    def _compare(self, index: int, quotes: Sequence[Quote], amount: Decimal | None) -> None:
        try:
            prices = [quote.read_prices(self.grid.place(quote.row)) for quote in quotes if not quote.no_bid()]
        except BadValue:
            return  # said of the row itself
        summed = sum((part for price in prices for part in price.parts), Decimal(0))
        if amount is not None and amount != summed:
            text = f"The total row states {usd(float(amount), 2)}, the quotations above it add up to "
            text += f"{usd(float(summed), 2)}."
            do = "Ask which stands; a row may be missing."
            self._find(index, "quotation_total_differs", "check", text, do)

    # --- quotations -----------------------------------------------------------------------------------------------

    def _quote(self, index: int) -> Quote | None:
        """The quotation of a row; None if it is none."""
        line = Line(self.grid, index)
        if self.header is None:
            return line.quoted()
        if index < self.header.row or line.is_estimate():
            return None
        row = lists.Row(self.grid, self.header, index)
        if self._too_wide(row):
            return None
        supplier = row.text("supplier")
        if not supplier or says.is_own_cost(supplier) or line.is_total():
            return None
        priced = any(row.text(name) for name in _PRICES)
        return self._quote_of(row, supplier) if priced or self._no_bid(row) else None

    def _too_wide(self, row: lists.Row) -> bool:
        """The row has more cells than there are headings: a comma inside a cell without quotation marks."""
        return any(cells.text(cell) for cell in self.grid.rows[row.index][len(row.header.names) :])

    def _no_bid(self, row: lists.Row) -> bool:
        return says.says_no_bid(cells.text(_price(row))) or says.says_no_bid(lists.shown_row(row.grid, row.index))

    def _quote_of(self, row: lists.Row, supplier: str) -> Quote:
        fields: dict[str, Cell] = {}
        for name in lists.stems_of("proposals"):
            cell = _cell(row, name)
            if cell is None or (name == "delivery" and row.header.column(name) in self.flags):
                continue
            unit = lists.length_unit(row.header.name_of(name)) if name in _LENGTHS else ""
            fields[f"{name}_m" if unit == "m" else name] = cell
        fields.pop("price_usd", "")
        fields.pop("supplier")
        if not cells.text(fields.get("bridges", "1")).isdigit():  # their names, and not how many there are
            fields.setdefault("structure", fields.pop("bridges"))
        scope, remarks = cells.text(fields.pop("scope", "")), cells.text(fields.pop("remarks", ""))
        here = row.grid.rows[row.index]
        flags = {part: column < len(here) and says_yes(here[column]) for column, part in self.flags.items()}
        said = [text for text in (scope, remarks) if text]
        quote = Quote(row.index, supplier, _price(row), said, "", scope, fields, row.header, flags)
        if self.of_bridges:
            asked = [(name, says.price_alone(here[at])) for at, name in self.of_bridges.items() if at < len(here)]
            quote.titles = tuple(name for name, price in asked if price is not None)
            parts = tuple(price for _, price in asked if price is not None)
            quote.prices = says.Prices(parts, says.price_alone(quote.price), None, 0, 0) if parts else None
        return quote

    def _unfinished(self, index: int) -> bool:
        """A row of the table with a supplier or a price that is no whole quotation: set aside, with a Finding."""
        if self.header is None or index < self.header.row:
            return False
        row = lists.Row(self.grid, self.header, index)
        if self._too_wide(row):
            do = "Put quotation marks around a cell that holds a comma, as “$51,660”."
            problem = BadValue("the row has more cells than there are headings", where=row.place, do=do)
            self.found.not_taken(self.grid, index, problem)
            return True
        priced = any(row.text(name) for name in _PRICES)
        beside = [name for name in self.header.columns if name != "supplier" and row.text(name)]
        if not priced and not (row.text("supplier") and beside):
            return False
        missing = "the row names no supplier" if priced else "the proposal states no price"
        problem = BadValue(missing, where=row.place, do="Fill it in; where a supplier gave no price, write “no bid”.")
        self.found.not_taken(self.grid, index, problem)
        return True

    def _aside(self, index: int, reason: str) -> None:
        self.found.aside.append((self.grid, index, reason))

    def _find(self, index: int, code: str, severity: Severity, text: str, do: str) -> None:
        self.found.findings.append(Finding(code, severity, text, do, self.grid.place(index)))


_LENGTHS = ("length", "width", "span", "clear_width", "clear_width_adds")


def _price(row: lists.Row) -> Cell:
    """The cell of the lump sum as it stands: a dash there means no bid."""
    column, here = row.header.column("price_usd"), row.grid.rows[row.index]
    return "" if column is None or column >= len(here) else here[column]


def _cell(row: lists.Row, name: str) -> Cell | None:
    """The cell of a field; in a merged block the one its value stands in."""
    cell = row.cell(name)
    column = row.header.column(name)
    if cell is not None or column is None:
        return cell
    for first, last in row.grid.merged:
        if first[0] <= row.index <= last[0] and first[1] <= column <= last[1] and first[0] > row.header.row:
            return lists.Row(row.grid, row.header, first[0]).cell(name)
    return None

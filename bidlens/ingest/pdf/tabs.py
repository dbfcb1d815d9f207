"""The lines of tabulation pages taken apart: items with each bidder's price and amount, totals, sections, the rest."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from bidlens.errors import UnreadableFile
from bidlens.ingest.layout import cell_words
from bidlens.ingest.pdf import printed
from bidlens.ingest.pdf.columns import HEADING_WORDS, Bidder, Columns, find_columns, price_headings, with_bidders
from bidlens.ingest.pdf.pages import Line, Page, Word

_MONEY = re.compile(r"\$|\.\d\d\b|\d,\d{3}\b")
_CODE = re.compile(r"[A-Z]{0,4}[-.]?\d[\w.\-/()]*|\w{1,3}[-.]\d[\w.\-/]*", re.IGNORECASE)
_PAGE_WORDS = re.compile(r"\bpage\s+\d+|\bprinted\b|^\d+ of \d+$", re.IGNORECASE)
_NEAR_QUANTITY_PT = 48.0
_UNIT_WORDS = 3


@dataclass(slots=True)
class Entry:
    """One item line: its cells as printed. cells : price and amount of each bidder, "" where blank."""

    page: Page
    line: int
    height: float
    schedule: str
    number: str
    code: str
    description: str
    unit: str
    quantity: str
    cells: list[tuple[str, str]]
    left: float  # where the description begins
    places: list[tuple[int, Word]] = field(default_factory=list)  # which cell each printed number went to

    def signature(self) -> tuple[str, str, str, str, str]:
        return self.schedule, self.number + self.code, self.description, self.unit, self.quantity


@dataclass(slots=True)
class Total:
    """A line that adds up. after : how many items stand before it. shown : what it prints for each bidder."""

    page: Page
    line: int
    after: int
    schedule: str
    shown: list[str]


@dataclass(slots=True)
class Block:
    """The items of one contract for the bidders that stand side by side."""

    contract: str
    bidders: tuple[Bidder, ...]
    headed_on: Page
    entries: list[Entry] = field(default_factory=list)
    totals: list[Total] = field(default_factory=list)
    pages: list[Page] = field(default_factory=list)


@dataclass(slots=True)
class Reader:
    """Reads tabulation pages one after the other; what a page does not head anew is carried over from the one before.

    reasons : (page number, line) -> why the line is no item. kept : lines that became items or name the columns.
    """

    blocks: list[Block] = field(default_factory=list)
    columns: Columns | None = None
    schedule: str = ""
    reasons: dict[tuple[int, int], str] = field(default_factory=dict)
    kept: set[tuple[int, int]] = field(default_factory=set)
    rights: dict[int, float] = field(default_factory=dict)

    def read(self, page: Page, contract: str) -> None:
        """Take one page apart. Raises UnreadableFile where prices stand under no bidder or beside no item."""
        lines = page.lines
        heads = {index: found for index in range(len(lines)) if (found := find_columns(lines, index)) is not None}
        first = min(heads, default=None)
        body_from = 0
        waiting: list[Line] = []
        if first is not None:
            body_from = first
            for line in lines[:first]:
                self._aside(page, line, "above the headings")
        for index in range(body_from, len(lines)):
            if index in heads:
                self._open(page, heads[index], index, contract, 0 if index == first else body_from + 1)
                waiting = []
                continue
            waiting = self._line(page, lines[index], contract, waiting)

    def _aside(self, page: Page, line: Line, reason: str) -> None:
        self.reasons[page.number, line.number] = reason

    # --- headings ---------------------------------------------------------------------------------------------

    def _open(self, page: Page, columns: Columns, index: int, contract: str, top: int) -> None:
        """Headings: a new block, or the one before goes on where the same bidders (or none) stand above them."""
        named, start = with_bidders(columns, page.lines, index, top)
        for line in page.lines[start:index]:
            if (page.number, line.number) not in self.kept:
                self._aside(page, line, "above the headings")
        if not named.bidders:
            if self.columns is None or len(self.columns.prices) != len(named.prices):
                raise UnreadableFile(
                    "no bidder's name stands above these columns of prices",
                    where=page.place(page.lines[index].number),
                    do="Ask the agency for the spreadsheet; nothing was imported from this file.",
                )
            named = replace(named, bidders=self.columns.bidders)
        self.columns, self.rights = named, {}
        self.kept.add((page.number, page.lines[index].number))
        block = next(
            (b for b in self.blocks if b.contract == contract and b.bidders == named.bidders),
            None,
        )
        if block is None:
            self.blocks.append(Block(contract, named.bidders, page))
            self.schedule = ""
        elif block is not self.blocks[-1]:
            self.blocks.remove(block)
            self.blocks.append(block)

    def _line(self, page: Page, line: Line, contract: str, waiting: list[Line]) -> list[Line]:
        """One line below headings, this page's or those of the page before. Returns the texts that may yet be the
        beginning of an item's description.
        """
        columns = self.columns
        if columns is None or not self.blocks or self.blocks[-1].contract != contract:
            self._aside(page, line, "text that stands alone, without quantity and price")
            return []
        block = self.blocks[-1]
        if page not in block.pages:
            block.pages.append(page)
        entry = None if self._adds_up(line, columns) else self._entry(page, line, columns)
        if entry is not None:
            if not entry.description:
                entry.description = self._text_above(entry, waiting)
            block.entries.append(entry)
            self.kept.add((page.number, line.number))
            return []
        shown = [word for word in line.words if columns.pair_of(word.middle) >= 0 and _is_money(word.text)]
        if shown:
            self._total(page, line, columns, block)
            return []
        return self._text(page, line, columns, block, waiting)

    # --- items ------------------------------------------------------------------------------------------------

    def _adds_up(self, line: Line, columns: Columns) -> bool:
        """A line of totals: its words say so, and nothing stands where the quantity should."""
        left = " ".join(word.text for word in line.words if word.middle < columns.edge)
        if not cell_words().says("total_row", left or line.text):
            return False
        return not any(
            printed.is_number(word.text) and _near(word, columns.quantity) and not word.text.startswith("$")
            for word in line.words
        )

    def _entry(self, page: Page, line: Line, columns: Columns) -> Entry | None:
        words = _without_loose_signs(line.words)
        run: list[Word] = []
        while words and _is_cell(words[-1], columns):
            run.insert(0, words.pop())
        unit: list[Word] = []
        if columns.unit_first:
            if run and _near(run[0], columns.quantity):
                quantity = run.pop(0)
            elif words and printed.is_number(words[-1].text):
                quantity = words.pop()
            else:
                return None
            unit = _unit_before(words)
        else:
            while words and len(unit) < _UNIT_WORDS and not printed.is_number(words[-1].text):
                unit.insert(0, words.pop())
            if not words or (not unit and not run):
                return None
            quantity = words.pop()
        if not run or not _near(quantity, columns.quantity) or printed.value(quantity.text) is None:
            return None
        codes, described = _codes(words, columns)
        cells, places = self._cells(page, line, run, columns)
        number, code = _number_and_code(codes, columns)
        return Entry(
            page, line.number, line.height, self.schedule, number, code,
            " ".join(word.text for word in described), " ".join(word.text for word in unit), quantity.text, cells,
            described[0].left if described else quantity.left, places,
        )  # fmt: skip

    def _cells(
        self, page: Page, line: Line, run: list[Word], columns: Columns
    ) -> tuple[list[tuple[str, str]], list[tuple[int, Word]]]:
        """Each number to its bidder's price or amount: in order where all are there, else by where it stands."""
        named = len(columns.bidders)
        if len(run) == 2 * named:
            order = list(range(2 * named))
            self.rights |= {place: word.right for place, word in enumerate(run)}
        else:
            order = self._by_place(run, columns)
            if not order or max(order) >= 2 * named:
                raise UnreadableFile(
                    f"the {len(run)} numbers of this line cannot be told to the {named} bidders above them",
                    where=page.place(line.number),
                    do="Ask the agency for the spreadsheet; nothing was imported from this file.",
                )
        texts = [""] * (2 * named)
        for place, word in zip(order, run, strict=True):
            texts[place] = word.text
        pairs = list(zip(texts[0::2], texts[1::2], strict=True))
        if columns.amount_first:
            pairs = [(price, amount) for amount, price in pairs]
        return pairs, list(zip(order, run, strict=True))

    def _by_place(self, run: list[Word], columns: Columns) -> list[int]:
        """Which cell each number stands nearest to; empty if two claim one, or they cross."""
        pairs = zip(columns.prices, columns.amounts, strict=True)
        heads = [word for pair in pairs for word in sorted(pair)]
        order = [min(range(len(heads)), key=lambda place: self._distance(word, place, heads[place])) for word in run]
        return order if all(one < other for one, other in itertools.pairwise(order)) else []

    def _distance(self, word: Word, place: int, head: Word) -> float:
        if place in self.rights:
            return abs(word.right - self.rights[place])
        return min(abs(word.right - head.right), abs(word.middle - head.middle), abs(word.left - head.left))

    # --- everything else --------------------------------------------------------------------------------------

    def _total(self, page: Page, line: Line, columns: Columns, block: Block) -> None:
        """A line of amounts beside no quantity: whatever it is called, it must add up (see `checks`)."""
        money = [word for word in _without_loose_signs(line.words) if columns.pair_of(word.middle) >= 0]
        money = [word for word in money if printed.is_number(word.text)]
        named = len(columns.bidders)
        shown = [""] * named
        places = [columns.pair_of(word.middle) for word in money]
        if len(money) == named:
            places = list(range(named))
        for place, word in zip(places, money, strict=True):
            if place >= named or shown[place]:
                raise UnreadableFile(
                    "prices stand in this line beside no item and no quantity",
                    where=page.place(line.number),
                    do="Ask the agency for the spreadsheet; nothing was imported from this file.",
                )
            shown[place] = word.text
        block.totals.append(Total(page, line.number, len(block.entries), self.schedule, shown))
        self._aside(page, line, "a total, used as a check only")

    def _text(self, page: Page, line: Line, columns: Columns, block: Block, waiting: list[Line]) -> list[Line]:
        last = block.entries[-1] if block.entries and block.entries[-1].page is page else None
        begins = line.words[0].left
        left = " ".join(word.text.rstrip(":") for word in line.words if word.middle < columns.edge)
        outside = last is None or columns.leading == 0 or begins < last.left - 3
        if outside and cell_words().says("section_row", left):
            self.schedule = " ".join(left.split())
            self._aside(page, line, "a section heading, not an item")
            return []
        if _PAGE_WORDS.search(line.text):
            self._aside(page, line, "a heading or foot of the page")
            return []
        if all(HEADING_WORDS.fullmatch(word.text.strip(".:()")) for word in line.words):
            self._aside(page, line, "a second line of headings")
            return []
        text = _without_rests(line, last, columns)
        follows = last is not None and all(
            (last.page.number, number) in self.reasons for number in range(last.line + 1, line.number)
        )
        if follows and last is not None and not _belongs_below(waiting, text, last):
            if text:
                last.description = f"{last.description} {text}".strip()
            self._aside(page, line, "continuation of the description above")
            return [*waiting, line]
        self._aside(page, line, "text that stands alone, without quantity and price")
        return [line]

    def _text_above(self, entry: Entry, waiting: list[Line]) -> str:
        """The description of an item whose numbers stand below it or in its middle: the nearest texts above."""
        block = self.blocks[-1]
        previous = block.entries[-1] if block.entries and block.entries[-1].page is entry.page else None
        near = [line for line in waiting if previous is None or _nearer(line, entry, previous)]
        for line in near:
            self._aside(entry.page, line, "beginning of the description below")
            if previous is not None:
                previous.description = previous.description.removesuffix(line.text).strip()
        return " ".join(line.text for line in near)


def _nearer(line: Line, entry: Entry, previous: Entry) -> bool:
    return line.height - entry.height < previous.height - line.height


def _belongs_below(waiting: list[Line], text: str, last: Entry) -> bool:
    return False if text else bool(waiting) and not last.description


def _is_money(text: str) -> bool:
    return printed.is_number(text) and bool(_MONEY.search(text) or text.startswith("#"))


def _is_cell(word: Word, columns: Columns) -> bool:
    return printed.is_number(word.text) or (printed.says_no_bid(word.text) and columns.pair_of(word.middle) >= 0)


def _near(word: Word, heading: Word) -> bool:
    return word.left < heading.right + _NEAR_QUANTITY_PT / 2 and word.right > heading.left - _NEAR_QUANTITY_PT / 2


def _without_loose_signs(words: Sequence[Word]) -> list[Word]:
    """Words without dollar signs that stand apart from their amounts; “No Bid” as one."""
    found: list[Word] = []
    for word in words:
        if word.text == "$":
            continue
        if found and word.text.lower() == "bid" and found[-1].text.lower() == "no":
            found[-1] = Word(found[-1].left, word.right, "no-bid")
        else:
            found.append(word)
    return found


def _unit_before(words: list[Word]) -> list[Word]:
    """The unit at the end of the words before a quantity: the last word, or two that stand close (“L S”)."""
    if not words or printed.is_number(words[-1].text):
        return []
    unit = [words.pop()]
    if words and len(words[-1].text) == len(unit[0].text) == 1 and unit[0].left - words[-1].right < 6:
        unit.insert(0, words.pop())
    return unit


def _codes(words: list[Word], columns: Columns) -> tuple[list[str], list[Word]]:
    """The line number and item code that stand before a description, and the description's words."""
    count = 0
    while count < columns.leading and count < len(words) and _CODE.fullmatch(words[count].text):
        count += 1
    return [word.text for word in words[:count]], words[count:]


def _number_and_code(codes: list[str], columns: Columns) -> tuple[str, str]:
    if len(codes) == 2:
        return codes[0], codes[1]
    if not codes:
        return "", ""
    return (codes[0], "") if columns.has_line else ("", codes[0])


def _without_rests(line: Line, last: Entry | None, columns: Columns) -> str:
    """A line's text; what is left of numbers broken onto it is put back behind them."""
    kept: list[str] = []
    for word in line.words:
        place = None if last is None else _number_above(word, last, columns)
        if place is None or last is None:
            kept.append(word.text)
            continue
        cells = list(last.cells[place // 2])
        which = place % 2 if not columns.amount_first else 1 - place % 2
        cells[which] += word.text
        last.cells[place // 2] = (cells[0], cells[1])
    return " ".join(kept)


def _number_above(word: Word, last: Entry, columns: Columns) -> int | None:
    """The cell of the item above that a word is the rest of; None if of none."""
    if columns.pair_of(word.middle) < 0:
        return None
    over = (place for place, above in last.places if above.left <= word.middle <= above.right + 1)
    place = next(over, None)
    if place is None:
        return None
    which = place % 2 if not columns.amount_first else 1 - place % 2
    return place if printed.is_rest_of(word.text, last.cells[place // 2][which]) else None


def has_tabulation(page: Page) -> bool:
    """Some line of the page heads a price and an amount for each bidder beside a quantity."""
    return any(price_headings(line) for line in page.lines) and any(
        find_columns(page.lines, index) is not None for index in range(len(page.lines))
    )

"""Where the columns of a tabulation page stand: quantity, unit, and a price and an amount for each bidder.

Told by the words of the trade in the heading line and the lines around it, never by where one agency puts them.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from bidlens.ingest.layout import cell_words
from bidlens.ingest.pdf.pages import Line, Word

_AROUND_PT = 32.0  # headings of one table stand within this height
_WITHIN_HEADING_PT = 8.0  # between two words of one heading
_SPLIT_PT = 16.0  # a heading on two lines: “Ext” above “Amount”
_PRICE = {"price", "prices", "cost", "costs"}
_AMOUNT = {"amount", "amounts", "extension", "extended", "total", "totals", "ext", "amt"}
_BEFORE_AMOUNT = {"total", "ext", "extended", "extension", "bid", "item", "line"}
_UNIT = {"unit", "units", "um", "uom", "u/m", "meas", "measure"}
_LINE = {"line", "ln", "no", "num", "number", "#", "seq"}
_CODE = {"code", "spec", "item"}
#: Words that head columns; a line of nothing else is a second line of headings.
HEADING_WORDS = re.compile(r"(?:no|line|num(?:ber)?|items?|desc\w*|est\w*|quant\w*|qty|units?|price|total|amount|code|"
                            r"bid|cost|ext\w*|of|measure|#)", re.IGNORECASE)  # fmt: skip
_NUMBERED = re.compile(r"\((\d{1,2})\)")
_PAGE_HEADING = re.compile(r"\bpage\b|\bprinted\b|\brun date\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Bidder:
    """One bidder, or the estimate, as its block is headed. order : the number in brackets, None without."""

    name: str
    order: int | None
    ident: str

    @property
    def is_estimate(self) -> bool:
        return cell_words().is_estimate(self.name) or (self.order == 0 and "est" in (self.ident + self.name).lower())


@dataclass(frozen=True, slots=True)
class Columns:
    """The columns of one table. prices, amounts : reach of each heading, pairwise. edge : left limit of the prices.

    unit_first : the unit stands before the quantity. leading : how many codes or numbers stand before the description.
    amount_first : each amount stands before its price. bidders : one per named pair, from the left.
    """

    quantity: Word
    prices: tuple[Word, ...]
    amounts: tuple[Word, ...]
    edge: float
    unit_first: bool
    leading: int
    has_line: bool
    bidders: tuple[Bidder, ...] = ()

    @property
    def amount_first(self) -> bool:
        return self.amounts[0].left < self.prices[0].left

    def pair_of(self, middle: float) -> int:
        """The bidder's pair of columns below which a place stands, from 0; -1 left of the first."""
        if middle < self.edge:
            return -1
        ends = [max(price.right, amount.right) for price, amount in zip(self.prices, self.amounts, strict=True)]
        starts = [min(price.left, amount.left) for price, amount in zip(self.prices, self.amounts, strict=True)]
        return sum(middle > (end + start) / 2 for end, start in zip(ends, starts[1:], strict=False))


def price_headings(line: Line) -> list[tuple[str, Word]]:
    """The headings of prices (“P”) and amounts (“A”) on a line, from the left; single words where split over lines."""
    words = [(word, word.text.lower().strip(".:*()$")) for word in line.words]
    found: list[tuple[str, Word]] = []
    index = 0
    while index < len(words):
        word, text = words[index]
        following = _close_by(words[index : index + 3])
        kind, length = "", 1
        if text == "unit" and following[:1] and following[0] in _PRICE | {"bid"}:
            kind, length = "P", 3 if following[0] == "bid" and following[1:] and following[1] in _PRICE else 2
        elif text == "bid" and following[:1] and following[0] in _PRICE:
            kind, length = "P", 2
        elif text in _BEFORE_AMOUNT and following[:1] and following[0] in _PRICE | {"amount", "total"}:
            kind, length = "A", 2
        elif text in _AMOUNT:
            kind = "A"
        elif text in _PRICE:
            kind = "P"
        if kind:
            last = words[index + length - 1][0]
            found.append(
                (kind, Word(word.left, last.right, " ".join(w.text for w, _ in words[index : index + length])))
            )
        index += length
    return found


def _close_by(words: Sequence[tuple[Word, str]]) -> list[str]:
    """The words that follow the first closely enough to belong to the same heading."""
    found: list[str] = []
    for (one, _), (other, shown) in itertools.pairwise(words):
        if other.left - one.right > _WITHIN_HEADING_PT:
            break
        found.append(shown)
    return found


def find_columns(lines: Sequence[Line], index: int) -> Columns | None:
    """The columns headed by a line and those close to it; None if they are not those of a tabulation."""
    heads = _with_line_above(price_headings(lines[index]), lines, index)
    prices = tuple(word for kind, word in heads if kind == "P")
    amounts = tuple(word for kind, word in heads if kind == "A")
    if not prices or len(prices) != len(amounts) or not _alternate([kind for kind, _ in heads]):
        return None
    first = min(prices[0].left, amounts[0].left)
    near = [line for line in lines if abs(line.height - lines[index].height) <= _AROUND_PT]
    left = [(word, word.text.lower().strip(".:*()")) for line in near for word in line.words if word.middle < first]
    quantities = [word for word, text in left if text.startswith(("quant", "qty"))]
    if not quantities or not any(text.startswith(("desc", "item")) for _, text in left):
        return None
    quantity = quantities[-1]
    units = [word for word, text in left if text in _UNIT and not _is_part_of_price(word, prices, lines[index])]
    rightmost = max([quantity.right, *(unit.right for unit in units)])
    described = [word.left for word, text in left if text.startswith("desc")] or [quantity.left]
    before = {text for word, text in left if word.left < described[0] - 1}
    has_line, has_code = bool(before & _LINE), bool(before & _CODE)
    return Columns(
        quantity,
        prices,
        amounts,
        edge=(min(rightmost, first) + first) / 2,
        unit_first=bool(units) and units[0].middle < quantity.left,
        leading=min(2, max(1 if has_line or has_code else 0, _leading(before))),
        has_line=has_line and not ({"code", "spec"} & before and not {"line", "ln"} & before),
    )


def _leading(before: set[str]) -> int:
    """Two where a line number and an item code are headed apart, else one."""
    return 2 if before & {"line", "ln", "seq"} and before & _CODE else 1 if before & (_LINE | _CODE) else 0


def _alternate(kinds: list[str]) -> bool:
    return all(kind == kinds[place % 2] for place, kind in enumerate(kinds)) and len(set(kinds)) == 2


def _is_part_of_price(word: Word, prices: tuple[Word, ...], line: Line) -> bool:
    return any(price.left <= word.middle <= price.right for price in prices) and word not in line.words


def _with_line_above(heads: list[tuple[str, Word]], lines: Sequence[Line], index: int) -> list[tuple[str, Word]]:
    """Single words read with the word above them: “Total” above “Price” is an amount, “Unit” above “Cost” a price."""
    above = [
        word
        for line in lines[max(index - 2, 0) : index]
        if 0 < line.height - lines[index].height <= _SPLIT_PT
        for word in line.words
    ]
    read: list[tuple[str, Word]] = []
    for kind, head in heads:
        over = {word.text.lower().strip(".") for word in above if word.left < head.right and word.right > head.left}
        single = " " not in head.text
        if single and kind == "P" and over & {"total", "ext", "extended"}:
            kind = "A"
        read.append((kind, head))
    return read


# --- who stands above them ----------------------------------------------------------------------------------------


def with_bidders(columns: Columns, lines: Sequence[Line], index: int, top: int) -> tuple[Columns, int]:
    """The columns with the names above them, and the first line of the names.

    lines[top:index] : what may hold names. Where numbers in brackets stand above the names, they are the first line;
    else the names are the lines next to the headings, upwards until a line that heads the page.
    """
    start = _first_line_of_names(columns, lines, index, top)
    named: list[list[str]] = [[] for _ in columns.prices]
    numbers: list[tuple[int | None, str]] = [(None, "")] * len(columns.prices)
    for line in lines[start:index]:
        if abs(line.height - lines[index].height) <= _SPLIT_PT and _only_headings(line, columns):
            continue
        for pair, words in _by_pair(line, columns).items():
            match = _NUMBERED.fullmatch(words[0])
            if match:
                numbers[pair] = int(match[1]), " ".join(words[1:])
            else:
                named[pair] += words
    bidders = [
        Bidder(" ".join(words), order, ident) for words, (order, ident) in zip(named, numbers, strict=True) if words
    ]
    filled = [bool(words) for words in named]
    if not bidders or not all(filled[: len(bidders)]):  # a gap between names: they do not stand above their columns
        return columns, index
    return replace(columns, bidders=tuple(bidders)), start


def _first_line_of_names(columns: Columns, lines: Sequence[Line], index: int, top: int) -> int:
    for place in range(index - 1, top - 1, -1):
        if any(_NUMBERED.fullmatch(words[0]) for words in _by_pair(lines[place], columns).values()):
            return place
    start = index
    for place in range(index - 1, max(top, index - 6) - 1, -1):
        line = lines[place]
        if _PAGE_HEADING.search(line.text) or _straddles(line, columns):
            break
        start = place
    return start


def _by_pair(line: Line, columns: Columns) -> dict[int, list[str]]:
    found: dict[int, list[str]] = {}
    for word in line.words:
        pair = columns.pair_of(word.middle)
        if pair >= 0:
            found.setdefault(pair, []).append(word.text)
    return found


def _only_headings(line: Line, columns: Columns) -> bool:
    words = [text.lower().strip(".:*()") for texts in _by_pair(line, columns).values() for text in texts]
    return bool(words) and all(word in _PRICE | _AMOUNT | _UNIT | _BEFORE_AMOUNT | {"bid"} for word in words)


def _straddles(line: Line, columns: Columns) -> bool:
    """A phrase that begins left of the prices and reaches far into them: a title of the page, no name."""
    return any(word.left < columns.edge - 20 and word.right > columns.edge + 20 for word in _phrases(line))


def _phrases(line: Line, gap: float = 4.0) -> list[Word]:
    found: list[Word] = []
    for word in line.words:
        if found and word.left - found[-1].right < gap:
            found[-1] = Word(found[-1].left, word.right, f"{found[-1].text} {word.text}")
        else:
            found.append(word)
    return found

"""Reports beside a tabulation in the same file: bidders in order, the low bid by item, contracts at a glance.

They repeat what the tabulation says, so nothing of them is ever counted; they are held against it. They are told by
what their lines hold: percentages beside one total, beside a quantity and prices, or beside a contract.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from bidlens.ingest.headers import words_of
from bidlens.ingest.pdf import printed
from bidlens.ingest.pdf.pages import Line, Page
from bidlens.ingest.pdf.tabs import has_tabulation

NOTHING = Decimal(0)
_FEWEST = 3  # numbers beside a percentage that make a line of the low bid by item


@dataclass(frozen=True, slots=True)
class Ranked:
    """One line of a ranking: order, what stands between, and the total."""

    page: Page
    line: int
    order: int
    name: str
    total: Decimal


@dataclass(frozen=True, slots=True)
class LowItem:
    """One record of the low bid by item: quantity and the low bidder's unit price."""

    page: Page
    line: int
    quantity: Decimal
    price: Decimal


def kind_of(page: Page) -> str:
    """tabulation, ranking, low bid by item, letting summary, price list, or text."""
    percents = [line for line in page.lines if any(_is_percent(word.text) for word in line.words) and _money(line)]
    priced = [line for line in page.lines if len(_money(line)) >= _FEWEST]
    compared = [line for line in percents if len(_money(line)) >= _FEWEST + 1]
    if has_tabulation(page) and len(compared) * 2 <= len(priced):
        return "tabulation"
    if compared:
        return "low bid by item"
    if any(_ranked(page, line) for line in percents):
        return "letting summary" if _heads_contracts(page) else "ranking"
    if percents and _heads_contracts(page):
        return "letting summary"
    return "price list" if _is_price_list(page) else "text"


def ranking(page: Page) -> list[Ranked]:
    """The lines of a ranking; the estimate among them has order 0."""
    return [found for line in page.lines if (found := _ranked(page, line)) is not None]


def low_items(page: Page) -> list[LowItem]:
    """The records of the low bid by item: quantity, estimated price, bid price, the two amounts."""
    found = []
    for line in page.lines:
        numbers = [printed.value(text) for text in _money(line)]
        if len(numbers) >= 5 and numbers[0] is not None and numbers[2] is not None and "$" not in line.text:
            found.append(LowItem(page, line.number, numbers[0], numbers[2]))
    return found


def totals_in(page: Page) -> set[Decimal]:
    """Every amount of money a page prints."""
    return {amount for line in page.lines for text in _money(line) if (amount := printed.value(text)) is not None}


def _ranked(page: Page, line: Line) -> Ranked | None:
    """An order, a name, one total and then percentages."""
    words = [word.text for word in line.words if word.text != "$"]
    if len(words) < 4 or not words[0].isdigit() or len(words[0]) > 3:
        return None
    places = [place for place, text in enumerate(words) if place and "." in text and printed.is_number(text)]
    percents = [place for place, text in enumerate(words) if _is_percent(text)]
    money = [place for place in places if place + 1 >= len(words) or words[place + 1] != "%"]
    if len(money) != 1 or not percents or percents[0] < money[0] or money[0] < 2:
        return None
    total = printed.value(words[money[0]])
    return None if total is None else Ranked(page, line.number, int(words[0]), " ".join(words[1 : money[0]]), total)


def _is_percent(text: str) -> bool:
    return text == "%" or printed.is_percent(text)


def _money(line: Line) -> list[str]:
    return [word.text for word in line.words if "." in word.text and printed.is_number(word.text)]


def _heads_contracts(page: Page) -> bool:
    """Some line names a column of contracts beside others: several headings of its words, and no number."""
    for line in page.lines:
        words = words_of(line.text)
        if len(words) >= 5 and any(word.startswith("contract") for word in words) and not _money(line):
            stems = ("bids", "estimate", "percent", "low", "corrected", "difference", "project")
            if sum(any(word.startswith(stem) for word in words) for stem in stems) >= 2:
                return True
    return False


def _is_price_list(page: Page) -> bool:
    """A unit and a unit cost for each item, and no quantity: prices of an agreement."""
    heads = [words_of(line.text) for line in page.lines]
    named = [
        words for words in heads if words.count("unit") and any(word in ("cost", "price", "rate") for word in words)
    ]
    split = any("unit" in words for words in heads) and any(
        set(words) <= {"cost", "price", "unit", "rate"} and words for words in heads
    )
    quantity = any(word.startswith(("quant", "qty")) for words in heads for word in words)
    lines = sum(len(_money(line)) >= 1 for line in page.lines)
    return bool(named or split) and not quantity and lines >= 2

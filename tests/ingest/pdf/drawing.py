"""Invented bid tabs drawn to PDF by the tests: page blocks of three bidders, one ruled table, reports beside them.

A tabulation is (items, bidders): an item is (code, description lines, unit, quantity text), a bidder (name lines, unit
price texts). The first bidder may be the estimate.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import Any

from reportlab.pdfgen.canvas import Canvas

WIDE, TALL = 792.0, 612.0
ESTIMATE = ["Engineer's Estimate"]


@dataclass(frozen=True)
class Item:
    code: str
    description: tuple[str, ...]
    unit: str
    quantity: str
    section: str = "Part 0001 BRIDGE"


@dataclass(frozen=True)
class Offer:
    """name : as it is broken over lines. prices : one text per item."""

    name: tuple[str, ...]
    prices: tuple[str, ...]
    order: int = 0
    ident: str = ""

    @property
    def bidder(self) -> str:
        return " ".join(self.name)


def number(text: str) -> Decimal:
    return Decimal(text.replace(",", "").replace("$", ""))


def amount(item: Item, price: str) -> Decimal:
    """quantity x unit price, half up to the cent; nought where no price stands."""
    return (number(item.quantity) * number(price or "0")).quantize(Decimal("0.01"), ROUND_HALF_UP)


def total(items: Sequence[Item], offer: Offer) -> Decimal:
    return sum((amount(item, price) for item, price in zip(items, offer.prices, strict=True)), Decimal(0))


@dataclass
class Paper:
    """A canvas that counts down the page; texts are placed by their left or right end."""

    path: Path
    size: float = 7.0
    height: float = TALL - 40
    options: dict[str, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.canvas = Canvas(str(self.path), pagesize=(WIDE, TALL), invariant=1, **self.options)
        self.canvas.setFont("Helvetica", self.size)

    def left(self, x: float, text: str) -> None:
        self.canvas.drawString(x, self.height, text)

    def right(self, x: float, text: str) -> None:
        self.canvas.drawRightString(x, self.height, text)

    def middle(self, x: float, text: str) -> None:
        self.canvas.drawCentredString(x, self.height, text)

    def down(self, points: float = 11.0) -> None:
        self.height -= points

    def next_page(self) -> None:
        self.canvas.showPage()
        self.canvas.setFont("Helvetica", self.size)
        self.height = TALL - 40

    def save(self) -> Path:
        self.canvas.save()
        return self.path


# --- page blocks of three bidders ---------------------------------------------------------------------------------

_PRICE_ENDS, _AMOUNT_ENDS = (448.0, 578.0, 708.0), (512.0, 642.0, 772.0)


def draw_blocks(
    paper: Paper,
    items: Sequence[Item],
    offers: Sequence[Offer],
    *,
    contract: str = "C00042",
    letting: str = "letting: 02/14/2031",
    per_page: int = 12,
    cut_from: Decimal | None = None,
    shown_totals: dict[str, str] | None = None,
    totals: bool = True,
    stop_after: int | None = None,
) -> None:
    """Three bidders a block, all items again for each block.

    cut_from : amounts from here on lose their cents. stop_after : pages drawn, of those that are counted.
    """
    blocks = [offers[start : start + 3] for start in range(0, len(offers), 3)]
    pages = [items[start : start + per_page] for start in range(0, len(items), per_page)]
    count, number_of_page = len(blocks) * len(pages), 0
    for block in blocks:
        for place, page in enumerate(pages):
            number_of_page += 1
            if stop_after is not None and number_of_page > stop_after:
                return
            _head(paper, contract, letting, block, f"page {number_of_page} of {count}")
            section = ""
            for offset, item in enumerate(page):
                if item.section != section:
                    section = item.section
                    paper.left(40, section)
                    paper.down()
                _item(paper, item, block, place * per_page + offset, cut_from)
            if totals and place == len(pages) - 1:
                _totals(paper, items, block, shown_totals or {})
            paper.next_page()


def _head(paper: Paper, contract: str, letting: str, block: Sequence[Offer], page: str) -> None:
    paper.middle(WIDE / 2, "Department of Roads of Nowhere")
    paper.right(760, "printed 02/20/2031")
    paper.down()
    paper.middle(WIDE / 2, "Bids received")
    paper.right(760, page)
    paper.down()
    paper.left(200, f"Contract:  {contract}")
    paper.left(60, letting)
    paper.down(14)
    for line in range(1 + max(len(offer.name) for offer in block)):
        for place, offer in enumerate(block):
            middle = (_PRICE_ENDS[place] - 50 + _AMOUNT_ENDS[place]) / 2
            text = f"({offer.order}) {offer.ident}".strip() if line == 0 else "".join(offer.name[line - 1 : line])
            paper.middle(middle, text)
        paper.down(9)
    for end in _AMOUNT_ENDS:
        paper.right(end, "Ext")
    paper.down(9)
    paper.left(40, "Item Code")
    paper.left(140, "Description")
    paper.right(345, "Quantity")
    for price_end, amount_end in zip(_PRICE_ENDS, _AMOUNT_ENDS, strict=True):
        paper.right(price_end, "Unit Price")
        paper.right(amount_end, "Amount")
    paper.down()


def _item(paper: Paper, item: Item, block: Sequence[Offer], index: int, cut_from: Decimal | None) -> None:
    paper.left(40, item.code)
    paper.left(100, item.description[0])
    paper.right(345, item.quantity)
    paper.right(380, item.unit)
    for place, offer in enumerate(block):
        if not offer.prices[index]:
            continue
        paper.right(_PRICE_ENDS[place], offer.prices[index])
        found = amount(item, offer.prices[index])
        shown = f"{found:,.2f}"
        paper.right(_AMOUNT_ENDS[place], shown[:-2] if cut_from is not None and found >= cut_from else shown)
    paper.down()
    for more in item.description[1:]:
        paper.left(100, more)
        paper.down()


def _totals(paper: Paper, items: Sequence[Item], block: Sequence[Offer], shown: dict[str, str]) -> None:
    for words in ("Part totals:", "Contract totals"):
        paper.left(40, words)
        for place, offer in enumerate(block):
            paper.right(_AMOUNT_ENDS[place], shown.get(offer.bidder) or f"${total(items, offer):,.2f}")
        paper.down()


def draw_ranking(paper: Paper, items: Sequence[Item], offers: Sequence[Offer], contract: str = "C00042") -> None:
    """Bidders in order, the estimate among them as order 0, with percentages of the low bid."""
    paper.left(200, f"Contract:  {contract}")
    paper.down()
    for x, text in ((40, "Order"), (90, "Bidder"), (330, "Total"), (420, "% of low")):
        paper.left(x, text)
    paper.down()
    totals = {offer.bidder: total(items, offer) for offer in offers}
    low = min((found for offer, found in zip(offers, totals.values(), strict=True) if offer.order), default=Decimal(1))
    for offer in sorted(offers, key=lambda offer: totals[offer.bidder]):
        paper.left(40, str(offer.order))
        paper.left(90, offer.bidder)
        paper.right(390, f"${totals[offer.bidder]:,.2f}")
        paper.right(460, f"{totals[offer.bidder] / low * 100 if low else 100:.2f}%")
        paper.down()
    paper.next_page()


def draw_low_bid_by_item(
    paper: Paper, items: Sequence[Item], offers: Sequence[Offer], contract: str = "C00042"
) -> None:
    """Two-line records: quantity, estimated and bid price and amount, ratio; below them description and unit."""
    estimate = next(offer for offer in offers if offer.order == 0)
    low = min((offer for offer in offers if offer.order), key=lambda offer: total(items, offer))
    paper.left(200, f"Contract:  {contract}")
    paper.down()
    for x, text in ((40, "line"), (90, "item"), (190, "quantity"), (290, "estimate"), (390, "bid"), (640, "ratio")):
        paper.left(x, text)
    paper.down()
    for x, text in ((90, "description"), (290, "price"), (390, "price/unit"), (480, "amount"), (570, "amount")):
        paper.left(x, text)
    paper.down()
    for index, item in enumerate(items):
        if paper.height < 60:
            paper.next_page()
        own, theirs = amount(item, estimate.prices[index]), amount(item, low.prices[index])
        paper.left(40, f"{index * 5 + 5:04d}")
        paper.left(90, item.code)
        for x, text in (
            (250, item.quantity), (330, estimate.prices[index]), (430, low.prices[index]), (520, f"{own:,.2f}"),
            (610, f"{theirs:,.2f}"), (680, f"{theirs / own * 100 if own else 0:.2f}%"),
        ):  # fmt: skip
            paper.right(x, text)
        paper.down()
        paper.left(90, " ".join(item.description))
        paper.left(400, item.unit)
        paper.down()
    paper.next_page()


def draw_summary(paper: Paper, items: Sequence[Item], offers: Sequence[Offer], contract: str = "C00042") -> None:
    """One line a contract: bids, low bidder, estimate, corrected bid, percent."""
    bids = [offer for offer in offers if offer.order]
    low = min(bids, key=lambda offer: total(items, offer))
    paper.left(40, "Letting of  02/14/2031")
    paper.down()
    heads = ("No.", "Contract", "Bids", "Low bidder", "Estimate", "Corrected bid", "% of est.")
    places = (40, 80, 150, 190, 390, 480, 570)
    for x, text in zip(places, heads, strict=True):
        paper.left(x, text)
    paper.down()
    estimate = next((total(items, offer) for offer in offers if offer.order == 0), total(items, low))
    found = total(items, low)
    share = f"{found / estimate * 100:.2f}%"
    shown = ("001", contract, str(len(bids)), low.bidder, f"${estimate:,.2f}", f"${found:,.2f}", share)
    for x, text in zip(places, shown, strict=True):
        paper.left(x, text)
    paper.down()
    paper.next_page()


# --- one ruled table ----------------------------------------------------------------------------------------------


def draw_wide(
    paper: Paper,
    items: Sequence[Item],
    offers: Sequence[Offer],
    *,
    per_page: int = 20,
    repeat_head: bool = True,
    middle: bool = False,
    loose_sign: bool = False,
    day: str = "3/14/31",
    with_total: bool = True,
) -> None:
    """Bidders side by side, money as text, descriptions on two lines, ruled.

    middle : numbers stand at the middle of a two-line description. loose_sign : dollar signs apart from the amounts.
    """
    pages = [items[start : start + per_page] for start in range(0, len(items), per_page)]
    width = min(130.0, 450 / len(offers))
    for place, page in enumerate(pages):
        if place == 0 or repeat_head:
            _wide_head(paper, offers, width, day)
        for offset, item in enumerate(page):
            _wide_item(paper, item, offers, place * per_page + offset, width, middle, loose_sign)
        if with_total and place == len(pages) - 1:
            paper.left(70, "Total Amount Base Bid")
            for at, offer in enumerate(offers):
                paper.right(320 + width * (at + 1), f"${total(items, offer):,.2f}")
        paper.next_page()


def _wide_head(paper: Paper, offers: Sequence[Offer], width: float, day: str) -> None:
    paper.left(40, "HARBOR ROAD BRIDGE")
    paper.down(9)
    paper.left(40, "Solicitation No. 2031-007")
    for at, offer in enumerate(offers):
        paper.middle(320 + width * (at + 0.5), offer.bidder)
    paper.down(9)
    paper.left(40, day)
    paper.down(9)
    paper.left(45, "Item")
    paper.left(250, "Estimated")
    paper.down(8)
    for x, text in ((45, "No."), (110, "Item Description"), (250, "Quantity"), (290, "Units")):
        paper.left(x, text)
    for at in range(len(offers)):
        paper.right(320 + width * (at + 0.5), "Unit Price")
        paper.right(320 + width * (at + 1), "Total Price")
    paper.down(10)


def _wide_item(
    paper: Paper, item: Item, offers: Sequence[Offer], index: int, width: float, middle: bool, loose_sign: bool
) -> None:
    paper.canvas.line(38, paper.height + 7, 780, paper.height + 7)
    lines = list(item.description)
    if middle and len(lines) == 2:
        paper.left(70, lines.pop(0))
        paper.down(4.5)
        lines.insert(0, "")
    paper.left(45, f"{index + 1:04d}")
    if lines[0]:
        paper.left(70, lines[0])
    paper.right(285, item.quantity)
    paper.left(292, item.unit)
    for at, offer in enumerate(offers):
        price = offer.prices[index]
        if not price:
            continue
        for share, shown in ((0.5, price), (1.0, f"{amount(item, price):,.2f}")):
            end = 320 + width * (at + share)
            paper.right(end, shown if loose_sign else f"${shown}")
            if loose_sign:
                paper.left(end - width * 0.46, "$")
    paper.down(4.5 if middle and len(item.description) == 2 else 9)
    for more in lines[1:]:
        paper.left(70, more)
        paper.down(9)
    paper.down(4)

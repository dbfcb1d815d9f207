"""All bids of a contract: other bidders around the low one, the engineer's estimate, and the planted troubles."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from decimal import Decimal

from _make.chance import Chance
from _make.firms import firms_for
from _make.low_bid import Line, LowBid
from _make.money import ZERO, extension, round_price
from _make.plan import Contract

Amounts = tuple[Decimal | None, ...]


@dataclass(frozen=True, slots=True)
class Bid:
    """One bidder's prices and the extensions as printed, one of each per line; None is a blank."""

    firm: str
    prices: Amounts
    printed: Amounts
    status: str = "Responsive"

    @property
    def total_as_read(self) -> Decimal:
        return sum((amount for amount in self.printed if amount is not None), ZERO)

    def total_corrected(self, lines: tuple[Line, ...]) -> Decimal:
        """Sum of quantity times unit price; a line without a unit price counts as printed, or not at all."""
        total = ZERO
        for line, price, printed in zip(lines, self.prices, self.printed, strict=True):
            total += extension(line.quantity, price) if price is not None else printed or ZERO
        return total


@dataclass(frozen=True, slots=True)
class Letting:
    """A contract with all its bids, in the order read at the letting, and the estimate where the file has one."""

    low: LowBid
    bids: tuple[Bid, ...]
    estimate: Amounts
    low_firm: str

    @property
    def contract(self) -> Contract:
        return self.low.contract

    @property
    def lines(self) -> tuple[Line, ...]:
        return self.low.lines

    @property
    def low_bid(self) -> Bid:
        return next(bid for bid in self.bids if bid.firm == self.low_firm)


def take_bids(low: LowBid) -> Letting:
    """Bids for a priced contract; the low bidder's prices are the low bid's own."""
    contract, lines = low.contract, low.lines
    chance = Chance("bids", contract.contract_id, contract.letting_date)
    extra = contract.has("irregular bid below the low bid") + contract.has("rejected bid")
    firms = firms_for(contract.bidders + extra, chance)
    if contract.has("tie"):
        firms = sorted(firms)
    bids = [_bid(firms[0], lines, tuple(line.price for line in lines))]
    factor = 1.0
    for firm in firms[1 : contract.bidders]:
        factor += 0.006 + abs(chance.normal(0, 0.045))
        bids.append(_other_bid(firm, lines, bids[0].total_as_read, factor, chance))
    bids = _trouble(contract, lines, bids, firms[contract.bidders :], chance)
    if contract.award != "Awarded":
        bids = [replace(bid, status="Rejected") for bid in bids]
    in_order = sorted(bids, key=lambda bid: bid.total_as_read)
    return Letting(low, tuple(in_order), _estimate(low, chance), firms[0])


def _bid(firm: str, lines: tuple[Line, ...], prices: tuple[Decimal, ...], status: str = "Responsive") -> Bid:
    printed = tuple(extension(line.quantity, price) for line, price in zip(lines, prices, strict=True))
    return Bid(firm, prices, printed, status)


def _other_bid(
    firm: str, lines: tuple[Line, ...], low_total: Decimal, factor: float, chance: Chance, status: str = "Responsive"
) -> Bid:
    """Each price jittered, then all scaled so that the total is near `factor` times the low total."""
    jittered = [float(line.price) * math.exp(chance.normal(0, 0.13)) for line in lines]
    raw = sum(float(line.quantity) * price for line, price in zip(lines, jittered, strict=True))
    scale = factor * float(low_total) / raw
    bid = _bid(firm, lines, _rounded(jittered, scale), status)
    while factor > 1 and not _dearer(bid, lines, low_total):
        scale *= 1.004
        bid = _bid(firm, lines, _rounded(jittered, scale), status)
    return bid


def _dearer(bid: Bid, lines: tuple[Line, ...], low_total: Decimal) -> bool:
    """Whether the bid is above the low one with room to spare, with and without the alternate."""
    base = [place for place, line in enumerate(lines) if not line.schedule.startswith("ALT")]
    base_total = sum((bid.printed[place] or ZERO for place in base), ZERO)
    low_base = sum((lines[place].extension for place in base), ZERO)
    enough = Decimal("1.004")
    return bid.total_as_read > low_total * enough and base_total > low_base * enough


def _rounded(prices: list[float], scale: float) -> tuple[Decimal, ...]:
    return tuple(round_price(price * scale) if price else round_price(0.5) for price in prices)


def _estimate(low: LowBid, chance: Chance) -> Amounts:
    """The engineer's estimate: somewhat high on the whole, off by more on single lines, round figures."""
    bias = math.exp(chance.normal(0.08, 0.08) - (0.25 if low.contract.has("emergency job") else 0))
    if low.contract.award != "Awarded":
        bias = math.exp(-0.30)
    return tuple(
        round_price(float(line.price) * bias * math.exp(chance.normal(0, 0.14))) if line.price else round_price(1000)
        for line in low.lines
    )


def _trouble(
    contract: Contract, lines: tuple[Line, ...], bids: list[Bid], more_firms: list[str], chance: Chance
) -> list[Bid]:
    low_total = bids[0].total_as_read
    if contract.has("extension error in the low bid"):
        gap = bids[1].total_as_read - low_total
        bids[0] = _misprinted(bids[0], _largest(lines), gap + _round_thousand(low_total, 0.012))
    if contract.has("extension error in the second bid"):
        gap = bids[1].total_as_read - low_total
        bids[1] = _misprinted(bids[1], _largest(lines), -gap - _round_thousand(low_total, 0.015))
    if contract.has("tie"):
        bids[1] = _made_equal(bids[1], lines, low_total)
    if contract.has("irregular bid below the low bid"):
        bids.append(_other_bid(more_firms[0], lines, low_total, 0.955, chance, "Irregular"))
    if contract.has("rejected bid"):
        bids.append(_other_bid(more_firms[0], lines, low_total, 0.972, chance, "Rejected"))
    if contract.has("zero price in the second bid"):
        bids[1] = _repriced(bids[1], lines, {"seeding": ZERO})
    if contract.has("blank unit price"):
        place = _place(lines, "geotextile")
        bids[2] = replace(bids[2], prices=_set(bids[2].prices, place, None), printed=_set(bids[2].printed, place, None))
    if contract.has("blank unit price, amount given"):
        place = _place(lines, "traffic")
        bids[1] = replace(bids[1], prices=_set(bids[1].prices, place, None))
    return bids


def _largest(lines: tuple[Line, ...]) -> int:
    """The dearest line that is not a lump sum: there an extension can be wrong."""
    return max((p for p in range(len(lines)) if lines[p].quantity != 1), key=lambda place: lines[place].extension)


def _round_thousand(total: Decimal, share: float) -> Decimal:
    return Decimal(round(float(total) * share, -3)) if float(total) * share > 1000 else Decimal(1000)


def _place(lines: tuple[Line, ...], key: str) -> int:
    return next(place for place, line in enumerate(lines) if line.item.key == key)


def _set(amounts: Amounts, place: int, amount: Decimal | None) -> Amounts:
    return (*amounts[:place], amount, *amounts[place + 1 :])


def _misprinted(bid: Bid, place: int, by: Decimal) -> Bid:
    was = bid.printed[place]
    assert was is not None
    return replace(bid, printed=_set(bid.printed, place, was + by))


def _repriced(bid: Bid, lines: tuple[Line, ...], prices: dict[str, Decimal]) -> Bid:
    for key, price in prices.items():
        place = _place(lines, key)
        bid = replace(
            bid,
            prices=_set(bid.prices, place, price),
            printed=_set(bid.printed, place, extension(lines[place].quantity, price)),
        )
    return bid


def _made_equal(bid: Bid, lines: tuple[Line, ...], total: Decimal) -> Bid:
    """A tie: mobilization and removal, both lump sums, take up the whole difference."""
    over = bid.total_as_read - total
    part = (over / 2).quantize(Decimal("1"))
    prices = {key: bid.prices[_place(lines, key)] for key in ("mobilization", "removal")}
    cut = {key: (price or ZERO) - (part if key == "mobilization" else over - part) for key, price in prices.items()}
    return _repriced(bid, lines, cut)

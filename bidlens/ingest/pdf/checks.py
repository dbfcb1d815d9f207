"""A tabulation is taken only when it adds up: each line, each column against its totals, each bid against the ranking.

Where it does not, the file is refused whole with what did not add up: a PDF says nothing of its own columns, so a sum
is the only proof that every number was read, and read in its place.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from bidlens.errors import UnreadableFile
from bidlens.findings import Finding
from bidlens.ingest.layout import cell_words
from bidlens.ingest.pdf import printed
from bidlens.ingest.pdf.companions import LowItem, Ranked
from bidlens.ingest.pdf.tabs import Block, Entry

_ASK = "Compare it with the agency's own copy or ask for the spreadsheet; nothing was imported from this file."
_HALF_CENT = Decimal("0.005")
_MOST_NAMED = 5


@dataclass(slots=True)
class Bid:
    """One bidder's column of one contract. amounts : to the cent, printed where whole, else quantity x price.

    extensions : the printed amount of each item as text, "" where it was cut or blank. total : as the file prints it.
    """

    block: Block
    place: int
    amounts: list[Decimal]
    extensions: list[str]
    cut: list[int]
    total: Decimal | None = None


@dataclass(slots=True)
class Contract:
    """The blocks of one contract, whose items are the same, and its bids in the order of the pages."""

    contract: str
    blocks: list[Block]
    bids: list[Bid] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)


def reconcile(
    blocks: Sequence[Block], rankings: dict[str, list[Ranked]], low: dict[str, list[LowItem]]
) -> list[Contract]:
    """The contracts of the blocks, every line and sum checked. Raises UnreadableFile at what does not add up."""
    contracts = [
        Contract(name, [block for block in blocks if block.contract == name and block.entries])
        for name in dict.fromkeys(block.contract for block in blocks)
    ]
    contracts = [contract for contract in contracts if contract.blocks]
    for contract in contracts:
        _every_block_has_items(contract, blocks)
        _same_items(contract)
        for block in contract.blocks:
            contract.bids += [_bid(block, place) for place in range(len(block.bidders))]
        for bid in contract.bids:
            _column_sums(bid)
        _hold_against_ranking(contract, rankings.get(contract.contract, []))
        _every_bid_has_a_total(contract)
        _nobody_is_missing(contract)
        contract.findings += [*_cut_amounts(contract), *_low_by_item(contract, low.get(contract.contract, []))]
    return contracts


def _every_block_has_items(contract: Contract, blocks: Sequence[Block]) -> None:
    """Bidders above an empty table: its lines were lost."""
    for block in blocks:
        if block.contract == contract.contract and not block.entries:
            raise UnreadableFile(
                f"contract {contract.contract}: no item can be read below {block.bidders[0].name}",
                where=block.headed_on.place(),
                do=_ASK,
            )


def _same_items(contract: Contract) -> None:
    first = contract.blocks[0]
    wanted = [entry.signature() for entry in first.entries]
    for block in contract.blocks[1:]:
        found = [entry.signature() for entry in block.entries]
        if found != wanted:
            at = next((place for place, pair in enumerate(zip(found, wanted, strict=False)) if pair[0] != pair[1]), -1)
            entry = block.entries[at]
            raise UnreadableFile(
                f"contract {contract.contract}: the items for {block.bidders[0].name} are not those for "
                f"{first.bidders[0].name} ({len(found)} beside {len(wanted)}; the first that differs is "
                f"“{entry.code or entry.number} {entry.description}”)",
                where=entry.page.place(entry.line),
                do=_ASK,
            )


# --- line by line -------------------------------------------------------------------------------------------------


def _bid(block: Block, place: int) -> Bid:
    bid = Bid(block, place, [], [], [])
    wrong: list[str] = []
    for index, entry in enumerate(block.entries):
        price, amount = entry.cells[place]
        found = _amount(entry, price, amount)
        if found is None:
            wrong.append(f"page {entry.page.number} line {entry.line}: {entry.quantity} x {price} is not {amount}")
            found = Decimal(0), ""
        bid.amounts.append(found[0])
        bid.extensions.append(found[1])
        if amount and not found[1] and price and not printed.says_no_bid(price):
            bid.cut.append(index)
    if wrong:
        more = f", and {len(wrong) - _MOST_NAMED} more" if len(wrong) > _MOST_NAMED else ""
        raise UnreadableFile(
            f"contract {block.contract}, {block.bidders[place].name}: quantity x unit price is not the printed amount "
            f"({'; '.join(wrong[:_MOST_NAMED])}{more})",
            where=block.entries[0].page.file,
            do=_ASK,
        )
    return bid


def _amount(entry: Entry, price: str, amount: str) -> tuple[Decimal, str] | None:
    """An item's amount and its printed text if that is whole; None if it is not quantity x unit price."""
    quantity, unit_price = printed.value(entry.quantity), printed.value(price) if price else None
    if quantity is None or (price and unit_price is None and not printed.says_no_bid(price)):
        return None
    if unit_price is None:  # nothing bid, or only an amount
        told = printed.value(amount) if amount and not printed.says_no_bid(amount) else Decimal(0)
        return None if told is None else (told, amount)
    exact = printed.extension(quantity, unit_price)
    if not amount or printed.says_no_bid(amount):
        return exact, ""
    whole = printed.value(amount)
    allowed = printed.rounding(entry.quantity, price)
    if whole is not None and abs(whole - quantity * unit_price) <= allowed and not amount.endswith("."):
        return whole, amount
    return (exact, "") if printed.is_cut(amount, exact) else None


# --- sums ---------------------------------------------------------------------------------------------------------


def _column_sums(bid: Bid) -> None:
    """Each printed total is the sum of the items since the last one, of its section, or of all above it that count.

    Items below the last total that adds them up would be unproven, so they are refused too.
    """
    block, covered = bid.block, 0
    for total in block.totals:
        shown = total.shown[bid.place]
        if not shown:
            continue
        sums = dict(_sums(bid, total.after, total.schedule))
        match = next((kind for kind, (amount, rows) in sums.items() if _agrees(shown, amount, rows)), None)
        if match is None:
            amount = sums["all"][0]
            raise UnreadableFile(
                f"contract {block.contract}, {block.bidders[bid.place].name}: the items add up to ${amount:,.2f}, "
                f"the printed total is {shown}",
                where=total.page.place(total.line),
                do=_ASK,
            )
        covered = max(covered, total.after)
        if match in ("all", "base") or bid.total is None:
            bid.total = printed.value(shown) if match in ("all", "base") else None
    if covered < len(block.entries) and any(total.shown[bid.place] for total in block.totals):
        entry = block.entries[covered]
        raise UnreadableFile(
            f"contract {block.contract}, {block.bidders[bid.place].name}: no printed total adds up the items from here",
            where=entry.page.place(entry.line),
            do=_ASK,
        )


def _sums(bid: Bid, after: int, schedule: str) -> Iterator[tuple[str, tuple[Decimal, int]]]:
    """What a total may add up: kind -> (amount, how many items)."""
    entries = bid.block.entries[:after]
    alternate = [cell_words().says("alternate", entry.schedule) for entry in entries]
    since = max((total.after for total in bid.block.totals if total.after < after), default=0)
    chosen = {
        "all": range(after),
        "base": [index for index in range(after) if not alternate[index]],
        "schedule": [index for index in range(after) if entries[index].schedule == schedule],
        "since": range(since, after),
    }
    for kind, rows in chosen.items():
        yield kind, (sum((bid.amounts[index] for index in rows), Decimal(0)), len(rows))


def _agrees(shown: str, amount: Decimal, rows: int) -> bool:
    """To the cent, and half a cent an item for programs that add up before they round."""
    return printed.agrees(shown, amount, max(Decimal("0.01"), _HALF_CENT * rows))


def _hold_against_ranking(contract: Contract, ranked: list[Ranked]) -> None:
    """Each bid's items add up to its total in the ranking, and the ranking names nobody the tabulation lacks."""
    if not ranked:
        return
    ours = {bid.block.bidders[bid.place].order: bid for bid in contract.bids}
    sums = [sum(bid.amounts, Decimal(0)) for bid in contract.bids]
    for line in ranked:
        bid = ours.get(line.order) if None not in ours else None
        found = [sum(bid.amounts, Decimal(0))] if bid is not None else sums if None in ours else []
        allowed = max(Decimal("0.01"), _HALF_CENT * len(contract.blocks[0].entries))
        if not any(abs(amount - line.total) <= allowed for amount in found):
            said = f"${found[0]:,.2f}" if bid is not None else "no bid of that total"
            raise UnreadableFile(
                f"contract {contract.contract}: the ranking gives {line.name} ${line.total:,.2f}, "
                f"the tabulation has {said}",
                where=line.page.place(line.line),
                do=_ASK,
            )
        if bid is not None and bid.total is None:
            bid.total = line.total
    offered = sum(not bid.block.bidders[bid.place].is_estimate for bid in contract.bids)
    told = sum(line.order > 0 for line in ranked)
    if told < offered and None not in ours:
        raise UnreadableFile(
            f"contract {contract.contract}: the ranking has {told} bidders, the tabulation {offered}",
            where=ranked[0].page.place(ranked[0].line),
            do=_ASK,
        )


def _every_bid_has_a_total(contract: Contract) -> None:
    """A bid whose items no printed total proves is refused: the end of its table may be missing."""
    for bid in contract.bids:
        if bid.total is None and not any(total.shown[bid.place] for total in bid.block.totals):
            last = bid.block.entries[-1]
            raise UnreadableFile(
                f"contract {contract.contract}: no total is printed for {bid.block.bidders[bid.place].name} that the "
                "items could be held against; pages may be missing",
                where=last.page.place(last.line),
                do=_ASK,
            )


def _nobody_is_missing(contract: Contract) -> None:
    """Bidders are numbered from 1, the low bid; where the first are missing, their pages are."""
    orders = sorted(
        bidder.order
        for block in contract.blocks
        for bidder in block.bidders
        if bidder.order is not None and not bidder.is_estimate
    )
    if orders and orders[0] > 1:
        raise UnreadableFile(
            f"contract {contract.contract}: bidders are numbered from ({orders[0]}) on; those before are missing",
            where=contract.blocks[0].entries[0].page.place(),
            do=_ASK,
        )
    gaps = sorted(set(range(1, orders[-1] + 1)) - set(orders)) if orders else []
    if gaps:
        contract.findings.append(
            Finding(
                "bidder_missing",
                "check",
                f"Contract {contract.contract}: nobody is numbered ({gaps[0]}) among bidders (1) to ({orders[-1]})",
                do="Look in the agency's own copy whether a bid was left out or rejected.",
                place=contract.blocks[0].entries[0].page.place(),
                contract_id=contract.contract,
            )
        )


# --- said once per contract ---------------------------------------------------------------------------------------


def _cut_amounts(contract: Contract) -> Iterator[Finding]:
    cut = [(bid, index) for bid in contract.bids for index in bid.cut]
    if cut:
        bid, index = cut[0]
        entry = bid.block.entries[index]
        yield Finding(
            "amount_cut",
            "note",
            f"Contract {contract.contract}: {len(cut):,} amounts had no room in their column (the first reads "
            f"“{entry.cells[bid.place][1]}”); quantity x unit price stands in their place",
            do="The totals of the columns agree with it.",
            place=entry.page.place(entry.line),
            contract_id=contract.contract,
        )


def _low_by_item(contract: Contract, records: list[LowItem]) -> Iterator[Finding]:
    """The report of the low bid by item, as far as it goes, lists the prices of the first bidder."""
    if not records:
        return
    offered = [bid for bid in contract.bids if not bid.block.bidders[bid.place].is_estimate]
    if not offered:
        return
    low = min(offered, key=lambda bid: sum(bid.amounts, Decimal(0)))
    ours = {(printed.value(entry.quantity), printed.value(entry.cells[low.place][0])) for entry in low.block.entries}
    other = [record for record in records if (record.quantity, record.price) not in ours]
    if other or len(records) != len(low.block.entries):
        yield Finding(
            "low_bid_report_differs",
            "check",
            f"Contract {contract.contract}: the report of the low bid by item has {len(records)} items, "
            f"{len(other)} of them with another quantity or price than {low.block.bidders[low.place].name} has in the "
            f"tabulation, which lists {len(low.block.entries)}",
            do="The tabulation was taken; look which of the two the agency stands by.",
            place=(other or records)[0].page.place((other or records)[0].line),
            contract_id=contract.contract,
        )

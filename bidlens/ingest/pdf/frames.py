"""Reconciled contracts as priced rows: what the readers of spreadsheets give too."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
import pyarrow as pa

from bidlens.errors import Place
from bidlens.ingest import cells, totals
from bidlens.ingest.cells import RowPlaces
from bidlens.ingest.layout import cell_words
from bidlens.ingest.pdf import printed
from bidlens.ingest.pdf.checks import Bid, Contract
from bidlens.ingest.priced import PricedRows, join
from bidlens.ingest.rules import TENTH_OF_A_CENT, BidRules, by_tenth_of_a_cent
from bidlens.ingest.worked_out import left_out

_PLAIN_NUMBER = re.compile(r"\d{1,4}")


@dataclass(frozen=True, slots=True)
class Letting:
    """What is known of a contract besides its items."""

    contract_id: str
    letting_date: dt.date
    work: str


def priced_rows(
    contracts: Sequence[Contract], lettings: Mapping[str, Letting], file: str, kept: int, rules: BidRules
) -> PricedRows:
    """One row per item and bidder; the estimate once, though later pages may repeat it."""
    frames: list[pd.DataFrame] = []
    stated: dict[tuple[str, str, str], int | None] = {}
    findings = [finding for contract in contracts for finding in contract.findings]
    for contract in contracts:
        letting = lettings[contract.contract]
        estimates = 0
        for bid in contract.bids:
            bidder = bid.block.bidders[bid.place]
            estimates += bidder.is_estimate
            if bidder.is_estimate and estimates > 1:
                continue
            if cell_words().is_worked_out(bidder.name):
                findings += left_out([bidder.name], Place(file), letting.contract_id)
                continue
            frames.append(_frame(bid, letting, file, rules))
            if bid.total is not None:
                stated[letting.contract_id, "", bidder.name] = int(bid.total.scaleb(2).to_integral_value())
    numbered = all(_is_numbered(contract) for contract in contracts)
    return PricedRows(join(frames), numbered, kept, stated, findings)


def _is_numbered(contract: Contract) -> bool:
    """Every item of the contract has a line number, and none is really a pay item's code."""
    return all(_PLAIN_NUMBER.fullmatch(entry.number) for block in contract.blocks for entry in block.entries)


def _frame(bid: Bid, letting: Letting, file: str, rules: BidRules) -> pd.DataFrame:
    entries = bid.block.entries
    bidder = bid.block.bidders[bid.place]
    count = len(entries)
    sheets = [entry.page.sheet for entry in entries]
    rows = np.array([entry.line for entry in entries])
    cell = [entry.cells[bid.place] for entry in entries]
    no_bid = [printed.says_no_bid(price) or (not price and printed.says_no_bid(amount)) for price, amount in cell]
    prices = ["" if none else price for none, (price, _) in zip(no_bid, cell, strict=True)]
    extensions = ["" if none else shown for none, shown in zip(no_bid, bid.extensions, strict=True)]
    numbers = [entry.number if _PLAIN_NUMBER.fullmatch(entry.number) else "" for entry in entries]
    codes = [entry.code or ("" if number else entry.number) for entry, number in zip(entries, numbers, strict=True)]

    def exact(texts: list[str], scale: int, kind: str) -> pa.Array:
        places = RowPlaces(file, f"{sheets[0]} and following", rows, kind)
        plain = [text.rstrip("*").replace("−", "-") for text in texts]
        return cells.numbers(plain, scale, places, kind, blanks=cells.NO_BID)

    def decimals(texts: list[str], scale: int, kind: str) -> pd.api.extensions.ExtensionArray:
        return totals.column(exact(texts, scale, kind))

    constants = {"contract_id": letting.contract_id, "bidder": bidder.name, "bid_status": "", "contract_status": "",
                 "agency": "", "work": letting.work, "tail": ""}  # fmt: skip
    order = np.nan if bidder.order is None or bidder.is_estimate else float(bidder.order)
    frame = pd.DataFrame(
        {
            "line": cells.categories(numbers),
            "schedule": cells.categories([entry.schedule for entry in entries]),
            "item_code": cells.categories(codes),
            "description": cells.categories([entry.description for entry in entries]),
            "pay_unit": cells.categories([entry.unit for entry in entries]),
            "source_sheet": cells.categories(sheets),
            **{name: pd.Categorical([value] * count) for name, value in constants.items()},
            "letting_date": totals.column(pa.array([letting.letting_date] * count, type=pa.date32())),
            "is_estimate": bidder.is_estimate,
            "no_bid": no_bid,
            "order": order,
            "quantity": decimals([entry.quantity for entry in entries], 4, "a quantity"),
            "unit_price": decimals(prices, 5, "a unit price"),
            "extension_as_read": decimals(extensions, 2, "an amount"),
            "bid_total": totals.column(pa.nulls(count, totals.MONEY)),
            "source_row": rows,
        }
    )
    if rules.entry_rule != TENTH_OF_A_CENT:
        return frame
    entered = by_tenth_of_a_cent(exact(prices, 3, "a unit price"))
    return frame.assign(entered_price=totals.column(entered))

"""Bid tabs as delimited text: the early long CSV, its later form with money as text, and the Windows-1252 one."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from decimal import Decimal

from _make.bids import Amounts, Bid, Letting
from _make.firms import ESTIMATE, spelled
from _make.money import ZERO, extension

Row = list[str]


def long_csv(lettings: list[Letting]) -> bytes:
    """Early years. The estimate stands among the bidders with rank 0; the letting date is in the file's name alone."""
    head = "Contract,Schedule,Line,Item Code,Description,Quantity,Unit,Bidder,Rank,Bid Status,Unit Price,Extension"
    rows: list[Row] = [head.split(",")]
    for letting in lettings:
        for place, line in enumerate(letting.lines):
            whole = line.item.description("csv")
            first, tail = _broken(whole) if _runs_on(letting, line.item.key) else (whole, "")
            fixed = [
                letting.contract.contract_id, line.schedule, str(line.number), line.item.code, first,
                str(line.quantity), line.item.unit_in("csv"),
            ]  # fmt: skip
            for bidder, rank, status, price, amount in _entries(letting, place, "csv"):
                rows.append([*fixed, bidder, str(rank), status, _plain(price), _plain(amount)])
                if tail:
                    rows.append(["", "", "", "", tail, *[""] * 7])
    return _text(rows).encode("utf-8")


def money_csv(lettings: list[Letting]) -> bytes:
    """Later years: other headings, the job named on each row, zeros before line numbers, money with sign and commas."""
    head = (
        "Contract No.,Project,Part,Line No.,Pay Item,Item Description,Units,Bid Qty,"
        "Order,Contractor,Status,Bid Price,Bid Amount"
    )
    rows: list[Row] = [head.split(",")]
    for letting in lettings:
        for place, line in enumerate(letting.lines):
            fixed = [
                letting.contract.contract_id, letting.contract.title, line.schedule, f"{line.number:04d}",
                line.item.code, line.item.description("money"), line.item.unit_in("money"), f"{line.quantity:,}",
            ]  # fmt: skip
            for bidder, rank, status, price, amount in _entries(letting, place, "money"):
                rows.append([*fixed, str(rank), bidder, status, _dollars(price), _dollars(amount)])
    return _text(rows).encode("utf-8-sig")


def ansi_csv(lettings: list[Letting]) -> bytes:
    """Windows-1252, semicolons, a section line above each schedule and a total line for each bidder."""
    head = "Contract;Section;Line;Item;Description;Unit;Quantity;Bidder;Place;Unit price;Amount"
    rows: list[Row] = [head.split(";")]
    for letting in lettings:
        contract, schedule = letting.contract, ""
        for place, line in enumerate(letting.lines):
            if line.schedule != schedule:
                schedule = line.schedule
                rows.append(["", "", "", "", _section(letting, schedule), *[""] * 6])
            fixed = [
                contract.contract_id, schedule, str(line.number), line.item.code, line.item.description("ansi"),
                line.item.unit_in("ansi"), str(line.quantity),
            ]  # fmt: skip
            for bidder, rank, _, price, amount in _entries(letting, place, "ansi"):
                rows.append([*fixed, bidder, str(rank), _plain(price), _plain(amount)])
        totals = [(ESTIMATE, 0, _total(letting, letting.estimate))]
        totals += [(spelled(bid.firm, "ansi"), rank + 1, bid.total_as_read) for rank, bid in enumerate(letting.bids)]
        for bidder, rank, total in totals:
            rows.append(
                [contract.contract_id, "", "", "", "Total of bid", "", "", bidder, str(rank), "", _plain(total)]
            )
    return _text(rows, ";").encode("cp1252")


def _entries(
    letting: Letting, place: int, layout: str
) -> Iterator[tuple[str, int, str, Decimal | None, Decimal | None]]:
    """The estimate and every bid for one line: bidder, rank as read, status, unit price, extension as printed."""
    line, price = letting.lines[place], letting.estimate[place]
    yield ESTIMATE, 0, "", price, None if price is None else extension(line.quantity, price)
    for rank, bid in _ranked(letting.bids):
        yield spelled(bid.firm, layout), rank, bid.status, bid.prices[place], bid.printed[place]


def _ranked(bids: tuple[Bid, ...]) -> list[tuple[int, Bid]]:
    """Place by total as read; equal totals share a place."""
    totals = [bid.total_as_read for bid in bids]
    return [(1 + sum(total < bid.total_as_read for total in totals), bid) for bid in bids]


def _total(letting: Letting, prices: Amounts) -> Decimal:
    pairs = zip(letting.lines, prices, strict=True)
    return sum((extension(line.quantity, price) for line, price in pairs if price is not None), ZERO)


def _section(letting: Letting, schedule: str) -> str:
    """A heading such as “Section 2 – bridge K-204, Tanner’s Reach ...”."""
    if schedule == "1" and letting.contract.road_schedule:
        return "Section 1 – road and general"
    bridges = ", ".join(f"{bridge.structure_id} {bridge.name}" for bridge in letting.contract.bridges)
    return f"Section {schedule} – bridge {bridges}".replace("Tanners", "Tanner’s")


def _runs_on(letting: Letting, key: str) -> bool:
    return letting.contract.has("description runs on into the next row") and key in {
        "box_beams",
        "box_beams_area",
        "bearings",
    }


def _broken(description: str) -> tuple[str, str]:
    """The description cut at its last blank, as by a report that wraps."""
    first, _, tail = description.rpartition(" ")
    return first, tail


def _plain(amount: Decimal | None) -> str:
    return "" if amount is None else str(amount)


def _dollars(amount: Decimal | None) -> str:
    return "" if amount is None else f"${amount:,}"


def _text(rows: list[Row], delimiter: str = ",") -> str:
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator="\r\n").writerows(rows)
    return out.getvalue()

"""Prices typed by hand where a file left one blank: kept beside what was read, marked where used, taken back at will.

A correction is known by the bytes of its file, the sheet and the row: it is typed in again when the file is imported
again. Totals, status and corrected ranks of the letting follow in the same transaction; what is `as_read` stays.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

import duckdb

from bidlens.errors import BadValue, NotOnRecord, Place
from bidlens.store.connection import Store, transaction, trial
from bidlens.store.statements import statement

_ANY_TIME = dt.datetime(2000, 1, 1)  # noqa: DTZ001 - of a price that is only tried
_MOST = Decimal("10000000000")  # dollars; a unit price beyond it is a slip of the hand


@dataclass(frozen=True, slots=True)
class Corrected:
    """What became of a bid. Totals in USD, None where prices are still missing; rank None where it is not ranked.

    low_before, low_after : low bidders by corrected total, as read, ties joined by "and".
    extension : quantity x the price typed, to the cent; None where none is typed now.
    """

    status: str
    total: Decimal | None
    rank: int | None
    still_blank: int
    low_before: str
    low_after: str
    extension: Decimal | None = None


def correct_price(
    store: Store,
    contract_id: str,
    letting_date: dt.date,
    schedule: str,
    line: str,
    bidder: str,
    value: Decimal | str | float,
    reason: str,
    *,
    decided_at: dt.datetime,
) -> Corrected:
    """Type in a unit price that was left blank or could not be read.

    value : USD per pay unit, up to five decimals. An earlier correction of the same price is replaced.
    A bid that is irregular for its missing prices alone becomes responsive when none is missing any more.
    Raises NotOnRecord if there is no such price, BadValue if a price was read there, or value or reason are no good.
    """
    price = _price(value)
    if not reason.strip():
        raise BadValue("the reason is empty", do="Say where the price is from, such as the bid as handed in.")
    key = {"contract_id": contract_id, "letting_date": letting_date, "schedule": schedule, "line": line,
           "bidder": bidder}  # fmt: skip
    moment = decided_at.astimezone(dt.UTC).replace(tzinfo=None) if decided_at.tzinfo else decided_at
    with store.open(write=True) as cursor, transaction(cursor):
        return _typed(cursor, key, price, reason.strip(), moment)


def try_price(
    store: Store,
    contract_id: str,
    letting_date: dt.date,
    schedule: str,
    line: str,
    bidder: str,
    value: Decimal | str | float,
) -> Corrected:
    """What `correct_price` would make of the bid, with the same errors; the record stays as it is."""
    price = _price(value)
    key = {"contract_id": contract_id, "letting_date": letting_date, "schedule": schedule, "line": line,
           "bidder": bidder}  # fmt: skip
    with store.open(write=True) as cursor, trial(cursor):
        return _typed(cursor, key, price, "tried", _ANY_TIME)


def _typed(
    cursor: duckdb.DuckDBPyConnection, key: dict[str, Any], price: Decimal, reason: str, moment: dt.datetime
) -> Corrected:
    """Type a price in, and what the bid is then."""
    _check_blank(cursor, key)
    before = _low(cursor, key)
    cursor.execute(statement("saving/correction"), {**key, "value": price, "reason": reason, "decided_at": moment})
    _type_in(cursor, key["contract_id"], key["letting_date"])
    return _outcome(cursor, key, before)


def take_back_price(
    store: Store, contract_id: str, letting_date: dt.date, schedule: str, line: str, bidder: str
) -> Corrected:
    """Take a typed price back: it is blank again and the bid what it was. Raises NotOnRecord if none was typed."""
    key = {"contract_id": contract_id, "letting_date": letting_date, "schedule": schedule, "line": line,
           "bidder": bidder}  # fmt: skip
    with store.open(write=True) as cursor, transaction(cursor):
        before = _low(cursor, key)
        _check_not_replaced(cursor, key)
        found = cursor.execute(statement("saving/remove_correction"), key).fetchall()
        if not found:
            raise NotOnRecord(f"no price of {bidder} on line {line} of contract {contract_id} was typed by hand")
        status, total = found[0]
        cursor.execute(statement("saving/blank_again"), key)
        cursor.execute(statement("saving/bid_as_read"), {**_bid(key), "status": status, "total": total})
        _type_in(cursor, contract_id, letting_date)
        return _outcome(cursor, key, before)


def type_in_again(cursor: duckdb.DuckDBPyConnection, batch_id: int) -> None:
    """Put the corrections of a file that has just been stored into its rows."""
    lettings = cursor.execute(statement("saving/lettings_corrected"), {"batch_id": batch_id}).fetchall()
    for contract_id, letting_date in lettings:
        _type_in(cursor, contract_id, letting_date)


def _type_in(cursor: duckdb.DuckDBPyConnection, contract_id: str, letting_date: dt.date) -> None:
    """Bring prices, totals, status and corrected ranks of one letting to what the corrections say."""
    letting = {"contract_id": contract_id, "letting_date": letting_date}
    for step in ("type_in_prices", "total_typed_bids", "rank_again"):
        cursor.execute(statement(f"saving/{step}"), letting)


def _price(value: Decimal | str | float) -> Decimal:
    try:
        price = Decimal(str(value).replace("$", "").replace(",", "").strip())
    except InvalidOperation as error:
        raise BadValue(f"“{value}” is no price", do="Type dollars per pay unit, such as 1250.00.") from error
    if not price.is_finite() or not 0 <= price < _MOST or price != round(price, 5):
        raise BadValue(f"“{value}” is no unit price", do="Type dollars, from 0, with at most five decimals.")
    return price


def _check_blank(cursor: duckdb.DuckDBPyConnection, key: dict[str, Any]) -> None:
    found = cursor.execute(statement("saving/price_to_correct"), key).fetchall()
    where = f"contract {key['contract_id']}, line {key['line']}"
    if not found:
        raise NotOnRecord(f"{key['bidder']} has no price on record here", where=where)
    price, by_hand, file, sheet, row = found[0]
    if price is not None and not by_hand:
        raise BadValue(
            f"a unit price of {price.normalize():f} was read here, and what was read is not overwritten",
            where=Place(file, sheet, row),
            do="Correct the file and import it again if it is wrong.",
        )


def _check_not_replaced(cursor: duckdb.DuckDBPyConnection, key: dict[str, Any]) -> None:
    """Refuse where the typed price rests in rows that gave way to another import: they would come back with it."""
    found = cursor.execute(
        "SELECT replaced_row.batch_id FROM replaced_row "
        "JOIN import_batch ON import_batch.batch_id = earlier_batch JOIN correction USING (sha256) "
        "WHERE replaced_row.contract_id = $1 AND replaced_row.letting_date = $2 "
        "AND correction.contract_id = $1 AND correction.letting_date = $2 LIMIT 1",
        [key["contract_id"], key["letting_date"]],
    ).fetchall()
    if found:
        raise BadValue(
            f"the rows of contract {key['contract_id']} with this price gave way to import {found[0][0]}",
            do="The price is in no number now. Take that import back first to change it.",
        )


def _bid(key: dict[str, Any]) -> dict[str, Any]:
    return {name: key[name] for name in ("contract_id", "letting_date", "bidder")}


def _low(cursor: duckdb.DuckDBPyConnection, key: dict[str, Any]) -> str:
    found = cursor.execute(
        "SELECT string_agg(bidder, ' and ' ORDER BY bidder) FROM bid "
        "WHERE contract_id = $1 AND letting_date = $2 AND status = 'responsive' AND rank_corrected = 1",
        [key["contract_id"], key["letting_date"]],
    ).fetchall()
    return str(found[0][0] or "nobody")


def _outcome(cursor: duckdb.DuckDBPyConnection, key: dict[str, Any], before: str) -> Corrected:
    found = cursor.execute(statement("saving/bid_now"), _bid(key)).fetchall()
    if not found:  # typed for a file that is not on record just now
        return Corrected("not on record", None, None, 0, before, before)
    status, total, rank, blank = found[0]
    extension = cursor.execute(statement("saving/extension_now"), key).fetchone()
    return Corrected(status, total, rank, blank, before, _low(cursor, key), extension[0] if extension else None)

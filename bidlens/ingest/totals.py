"""Corrected extensions, totals and ranks, exact to the cent: the unit price governs over the printed extension.

Sources: 43 TAC 9.16(a), the official total is the sum of unit price x quantity; OAR 731-005-0650(2)(b), the unit price
governs over the extension. Ties share a rank and are never broken. Sums are made in whole cents.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from bidlens.errors import BadValue
from bidlens.ingest.cells import decimal_array, whole

MONEY = pa.decimal128(18, 2)
_ROWS_AT_ONCE = 2**15


def arrow(values: pd.Series) -> pa.Array:
    """A column's Arrow array, in one piece."""
    held = pa.chunked_array(values.array.__arrow_array__())
    return held.chunk(0) if held.num_chunks == 1 else held.combine_chunks()


def column(array: pa.Array) -> pd.api.extensions.ExtensionArray:
    """An Arrow array as a column that keeps its type."""
    return pd.array(array, dtype=pd.ArrowDtype(array.type))


def extensions(quantity: pa.Array, unit_price: pa.Array) -> pa.Array:
    """quantity x unit price, rounded half up to the cent; n rows, null where either is."""
    cents = _cents(whole(quantity), whole(unit_price), 10 ** (quantity.type.scale + unit_price.type.scale - 2))
    if cents is not None:
        return money(cents, ~(given(quantity) & given(unit_price)))
    exact = pc.round(pc.multiply(quantity, unit_price), 2, round_mode="half_towards_infinity")
    try:
        return exact.cast(MONEY)
    except pa.ArrowInvalid as error:
        raise _beyond_any_bid("a quantity times its unit price") from error


def _cents(quantity: np.ndarray, unit_price: np.ndarray, one_cent: int) -> np.ndarray | None:
    """The products of whole numbers (n int64 each) in whole cents, half up; None where one needs more than 63 bits.

    Goes through the rows in parts that fit the processor's own memory.
    """
    cents = np.empty(len(quantity), dtype=np.int64)
    for start in range(0, len(cents), _ROWS_AT_ONCE):
        part = slice(start, start + _ROWS_AT_ONCE)
        number, price = quantity[part], unit_price[part]
        if np.abs(number.astype(np.float64) * price).max() >= 2**62:
            return None
        product = number * price
        cents[part] = (np.abs(product) + one_cent // 2) // one_cent * np.sign(product)
    return cents


def given(values: pa.Array) -> np.ndarray:
    """Where a value is there, n bool."""
    return pc.is_valid(values).to_numpy(zero_copy_only=False)


def price_from_extension(extension: Decimal, quantity: Decimal) -> Decimal:
    """extension / quantity to five decimals, for a unit price left blank beside a printed extension."""
    return (extension / quantity).quantize(Decimal("0.00001"), ROUND_HALF_UP)


def prices_from_extensions(
    unit_price: pa.Array, extension: pa.Array, quantity: pa.Array, which: np.ndarray
) -> pa.Array:
    """The unit prices (5 decimals, n rows), those of the rows `which` (n bool) by `price_from_extension`."""
    prices = whole(unit_price).copy()
    for row in np.flatnonzero(which):
        exact = price_from_extension(extension[int(row)].as_py(), quantity[int(row)].as_py())
        if abs(exact) >= 10**13:
            raise _beyond_any_bid("an extension divided by its quantity")
        prices[row] = int(exact.scaleb(5))
    return decimal_array(prices, ~(given(unit_price) | which), 5)


def _beyond_any_bid(what: str) -> BadValue:
    return BadValue(f"{what} is beyond any bid", do="Correct the row.")


def money(cents: np.ndarray, missing: np.ndarray) -> pa.Array:
    """Whole cents as dollars and cents; null where `missing`."""
    return decimal_array(np.asarray(cents, dtype=np.int64), np.asarray(missing, dtype=bool), 2)


def sums(cents: np.ndarray, group: np.ndarray, groups: int) -> np.ndarray:
    """Sum of whole cents by group number 0..groups-1."""
    total = np.zeros(groups, dtype=np.int64)
    np.add.at(total, group, cents)
    return total


def ranks(cents: np.ndarray, letting: np.ndarray, ranked: np.ndarray) -> pd.Series:
    """Place of each bid by its total within its letting, ties sharing a place; missing where not `ranked`."""
    order = pd.Series(cents).where(ranked).astype("Int64")
    return order.groupby(letting).rank(method="min").astype("Int64")

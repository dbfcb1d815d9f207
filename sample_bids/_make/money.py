"""Cents: prices, extensions and the roundness of an estimator's figures, in exact decimals."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

CENT = Decimal("0.01")
ZERO = Decimal("0.00")


def cents(amount: float | Decimal) -> Decimal:
    return Decimal(str(amount)).quantize(CENT, ROUND_HALF_UP)


def extension(quantity: Decimal, price: Decimal) -> Decimal:
    """Quantity times unit price to the cent, half up."""
    return (quantity * price).quantize(CENT, ROUND_HALF_UP)


def round_price(price: float) -> Decimal:
    """A price as an estimator writes it: to $100 when large, to the cent when small; never below a cent."""
    for floor, step in ((20_000, 100), (2_000, 25), (300, 5), (60, 1), (12, 0.25), (4, 0.05)):
        if price >= floor:
            return cents(round(price / step) * step)
    return max(cents(price), CENT)


def quantity(amount: float, decimals: int = 0) -> Decimal:
    """A bid quantity, never below one step."""
    step = Decimal(1).scaleb(-decimals)
    return max(Decimal(str(amount)).quantize(step, ROUND_HALF_UP), step)

"""A unit price for the next estimate, from past low bids for the same pay item."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bidlens.findings import Unavailable

#: From this many prices the effect of quantity is fitted; from the second, the middle price is given; judgement.
FITTED_FROM, SUGGESTED_FROM = 8, 4
#: The chance that the fitted range is made for.
CHANCE = 0.8
#: Quantities whose logarithms lie within this of each other tell nothing of the effect of quantity.
SAME_QUANTITY = 0.1


@dataclass(frozen=True, slots=True)
class SuggestedPrice:
    """A price for the next estimate, USD per pay unit: the middle of what a low bid would be expected to be.

    low, high : the range; chance : how often a further low bid would be expected to lie in it. n : contracts.
    quantity : what it is for; least, most : the quantities on record. quantity_effect : change of price in percent for
    a doubled quantity; None where it is not fitted. how : the method in words.
    """

    price: float
    low: float
    high: float
    chance: float
    n: int
    quantity: float
    least: float
    most: float
    quantity_effect: float | None
    how: str

    @property
    def beyond(self) -> bool:
        """Whether the quantity lies outside those on record."""
        return not self.least <= self.quantity <= self.most


def suggested_price(
    real_price: pd.Series, quantity: pd.Series, for_quantity: float | None = None
) -> SuggestedPrice | Unavailable:
    """What the low bid for an item would be expected to be at a quantity, from past low bids in dollars of one quarter.

    One price and quantity a contract. From FITTED_FROM contracts: least squares of ln price on ln quantity, range by
    Student's t for a new observation (of the mean of logs alone where the quantities are alike); it assumes that prices
    scatter alike, in percent, about one line, and that the index carries them to one quarter. From SUGGESTED_FROM: the
    middle price, lowest to highest seen; a further price of the same kind lies within with chance (n - 1) / (n + 1),
    order statistics of n + 1 exchangeable values.
    for_quantity : the middle past quantity when None. A median and its range, never retransformed into a mean.
    """
    known = real_price.gt(0) & quantity.gt(0)
    price, amount = real_price[known].to_numpy(float), quantity[known].to_numpy(float)
    n = len(price)
    if n < SUGGESTED_FROM:
        return Unavailable(f"let in {n} contract{'' if n == 1 else 's'}, it takes {SUGGESTED_FROM}")
    asked = float(for_quantity) if for_quantity else float(np.median(amount))
    facts = (n, asked, float(amount.min()), float(amount.max()))
    if n < FITTED_FROM:
        return SuggestedPrice(
            float(np.median(price)), float(price.min()), float(price.max()), (n - 1) / (n + 1), *facts, None,
            "middle of the low bids’ prices, lowest to highest; quantity not looked at",
        )  # fmt: skip
    if np.ptp(np.log(amount)) < SAME_QUANTITY:
        middle, low, high = _centred(np.log(price))
        return SuggestedPrice(middle, low, high, CHANCE, *facts, None,
                              "middle of the low bids’ prices, in logarithms; all of about one quantity")  # fmt: skip
    middle, low, high, slope = _fitted(np.log(amount), np.log(price), float(np.log(asked)))
    return SuggestedPrice(
        middle, low, high, CHANCE, *facts, (2**slope - 1) * 100,
        "fitted to price and quantity of the low bids, in logarithms",
    )  # fmt: skip


def _centred(y: np.ndarray) -> tuple[float, float, float]:
    """Middle, low and high of one more value like these."""
    reach = _t(len(y) - 1) * float(y.std(ddof=1)) * float(np.sqrt(1 + 1 / len(y)))
    return float(np.exp(y.mean())), float(np.exp(y.mean() - reach)), float(np.exp(y.mean() + reach))


def _t(df: int) -> float:
    """Student's t that leaves half of what CHANCE does not hold on either side."""
    from scipy.special import stdtrit

    return float(stdtrit(df, (1 + CHANCE) / 2))


def _fitted(x: np.ndarray, y: np.ndarray, at: float) -> tuple[float, float, float, float]:
    """Middle, low, high and slope of a straight line in logarithms, at one place."""
    n, middle = len(x), x.mean()
    sxx = float(((x - middle) ** 2).sum())
    slope = float(((x - middle) * (y - y.mean())).sum()) / sxx
    fitted = y.mean() + slope * (at - middle)
    rest = y - y.mean() - slope * (x - middle)
    sd = float(np.sqrt((rest @ rest) / (n - 2) * (1 + 1 / n + (at - middle) ** 2 / sxx)))
    reach = _t(n - 2) * sd
    return float(np.exp(fitted)), float(np.exp(fitted - reach)), float(np.exp(fitted + reach)), slope

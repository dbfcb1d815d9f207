"""Pay item prices over the years: the same item in the same pay unit, and the effect of quantity."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bidlens.findings import Unavailable
from bidlens.letting.years import Years
from bidlens.units import UNIT_BY_NAME

#: A code with more descriptions is a catch-all number, its descriptions items of their own; judgement.
MOST_DESCRIPTIONS = 6
#: Dimensions of pay units that are not repeat work: no measure, or time and money bid.
_NOT_WORK = ("time", "days", "months", "dollars")
_NOT_REPEAT = ("mobilization",)
_MARKS = re.compile(r"[^a-z0-9]+")

ITEM = ["item_code", "description", "pay_unit"]


def with_item(lines: pd.DataFrame) -> pd.DataFrame:
    """Adds `item`, one name for the same work in the same pay unit, and `item_title` to show it by.

    lines : item_code, description, pay_unit. The code decides where there is one, unless it is a catch-all number; a
    description without a code belongs to the code that elsewhere carries it, if it is one code. Units never mix.
    """
    known = lines[ITEM].fillna("").astype("str")
    said = known.drop_duplicates().reset_index(drop=True)
    said["plain"] = [_MARKS.sub(" ", text.lower()).strip() for text in said["description"]]
    coded = said[said["item_code"] != ""]
    many = coded.groupby(["item_code", "pay_unit"])["plain"].nunique()
    catch_all = set(many[many > MOST_DESCRIPTIONS].index)
    codes = coded.groupby(["plain", "pay_unit"])["item_code"].unique()
    only = {key: found[0] for key, found in codes.items() if len(found) == 1}
    said["item"] = [_item(row, catch_all, only) for row in said.to_dict("records")]
    first = said.sort_values(
        ["item", "description"], key=lambda s: s.str.len() if s.name == "description" else s, kind="stable"
    )
    titles = first.drop_duplicates("item", keep="last").set_index("item")["description"]
    said["item_title"] = said["item"].map(titles)
    named = known.merge(said[[*ITEM, "item", "item_title"]], on=ITEM, how="left", validate="m:1")
    return lines.assign(item=named["item"].to_numpy(), item_title=named["item_title"].to_numpy())


def _item(row: dict, catch_all: set, only: Mapping) -> str:
    key = (row["item_code"], row["pay_unit"])
    if row["item_code"] and key not in catch_all:
        return f"{row['item_code']} · {row['pay_unit']}"
    code = only.get((row["plain"], row["pay_unit"]))
    if not row["item_code"] and code and (code, row["pay_unit"]) not in catch_all:
        return f"{code} · {row['pay_unit']}"
    return f"{row['plain']} · {row['pay_unit']}"


def repeat_work(lines: pd.DataFrame) -> pd.DataFrame:
    """The lines whose price can recur: a measured pay unit, a quantity and a price, no mobilization, no time bid."""
    measured = [
        name for name, unit in UNIT_BY_NAME.items() if unit.factor is not None and unit.dimension not in _NOT_WORK
    ]
    keep = (
        lines["pay_unit"].isin(measured)
        & ~lines["work_category"].isin(_NOT_REPEAT)
        & lines["quantity"].gt(0)
        & lines["unit_price"].gt(0)
    )
    return lines[keep.fillna(False).astype(bool)]


def by_period(lines: pd.DataFrame, period: pd.Series) -> pd.DataFrame:
    """Average price of each item and period, with lines, contracts, quantity and usd.

    price : all dollars over all quantity. lines : of `repeat_work` with an item; period : same index.
    """
    usd = lines["quantity"] * lines["unit_price"]
    table = (
        lines.assign(period=period, usd=usd)
        .groupby(["item", "item_title", "pay_unit", "period"], as_index=False)
        .agg(
            lines=("usd", "size"),
            contracts=("contract_id", "nunique"),
            quantity=("quantity", "sum"),
            usd=("usd", "sum"),
        )
    )
    return table.assign(price=table["usd"] / table["quantity"])


MOVED_COLUMNS = ("item", "item_title", "pay_unit", "n_before", "n_year", "price_before", "price_year", "change",
                 "year_usd", "effect_usd")  # fmt: skip


def prices_moved(lines: pd.DataFrame, years: Years) -> pd.DataFrame:
    """How each recurring item's middle price moved: MOVED_COLUMNS, most dollars moved first.

    lines : low-bid lines of the years and of the years compared with, with item and `real_price` (unit price in dollars
    of one quarter). price_before, price_year : median real prices. change : ratio less one. n : contracts. year_usd :
    dollars of the item in the years; effect_usd : what the change is worth on their quantities.
    """
    known = lines[lines["real_price"].notna()]
    is_year = known["letting_date"].dt.year.between(*years)
    names = ["item", "item_title", "pay_unit"]
    before = (
        known[~is_year].groupby(names).agg(n_before=("contract_id", "nunique"), price_before=("real_price", "median"))
    )
    spent = known.assign(_usd=known["real_price"] * known["quantity"])
    after = (
        spent[is_year]
        .groupby(names)
        .agg(n_year=("contract_id", "nunique"), price_year=("real_price", "median"), year_usd=("_usd", "sum"))
    )
    table = before.join(after, how="inner").reset_index()
    table["change"] = table["price_year"] / table["price_before"] - 1
    table["effect_usd"] = table["year_usd"] * (1 - table["price_before"] / table["price_year"])
    order = table.assign(_size=table["effect_usd"].abs()).sort_values(["_size", "item"], ascending=[False, True])
    return order[list(MOVED_COLUMNS)].reset_index(drop=True)


#: From this many prices the effect of quantity is fitted; from the second, the middle price is given; judgement.
FITTED_FROM, SUGGESTED_FROM = 8, 4


@dataclass(frozen=True, slots=True)
class SuggestedPrice:
    """A price for the next estimate, USD per pay unit, with the range 8 in 10 low bids would be expected in.

    quantity_effect : change of price in percent for a doubled quantity; None where it is not fitted.
    """

    price: float
    low: float
    high: float
    n: int
    quantity_effect: float | None
    how: str


def suggested_price(
    real_price: pd.Series, quantity: pd.Series, for_quantity: float | None = None
) -> SuggestedPrice | Unavailable:
    """What the low bid for an item would be expected to be at a quantity, from past low bids in dollars of one quarter.

    From FITTED_FROM prices: least squares of ln price on ln quantity, 8-in-10 range by Student's t for a new
    observation. From SUGGESTED_FROM: the middle price, between the lowest and the highest seen. for_quantity : the
    middle past quantity when None. A median and its range, never retransformed into a mean.
    """
    known = real_price.gt(0) & quantity.gt(0)
    price, amount = real_price[known].to_numpy(float), quantity[known].to_numpy(float)
    n = len(price)
    if n < SUGGESTED_FROM:
        return Unavailable(f"only {n} priced, it takes {SUGGESTED_FROM}")
    if n < FITTED_FROM or np.ptp(np.log(amount)) < 0.1:
        return SuggestedPrice(float(np.median(price)), float(price.min()), float(price.max()), n, None,
                              "middle of the prices, lowest to highest")  # fmt: skip
    at = np.log(for_quantity if for_quantity else np.median(amount))
    x, y = np.log(amount), np.log(price)
    middle, sxx = x.mean(), float(((x - x.mean()) ** 2).sum())
    slope = float(((x - middle) * (y - y.mean())).sum()) / sxx
    fitted = y.mean() + slope * (at - middle)
    rest = y - y.mean() - slope * (x - middle)
    sd = float(np.sqrt((rest @ rest) / (n - 2) * (1 + 1 / n + (at - middle) ** 2 / sxx)))
    from scipy.special import stdtrit

    reach = float(stdtrit(n - 2, 0.9)) * sd
    return SuggestedPrice(float(np.exp(fitted)), float(np.exp(fitted - reach)), float(np.exp(fitted + reach)), n,
                          (2**slope - 1) * 100, "fitted to price and quantity")  # fmt: skip

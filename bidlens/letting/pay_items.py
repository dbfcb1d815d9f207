"""Pay item prices over the years: the same item in the same pay unit, and the effect of quantity."""

from __future__ import annotations

import re
from collections.abc import Mapping

import numpy as np
import pandas as pd

from bidlens.letting.years import Years
from bidlens.units import UNIT_BY_NAME

#: A code with more descriptions is a catch-all number, its descriptions items of their own; judgement.
MOST_DESCRIPTIONS = 6
#: Dimensions of pay units that are not repeat work: no measure, or time and money bid.
_NOT_WORK = ("time", "days", "months", "dollars")
_NOT_REPEAT = ("mobilization",)
_MARKS = re.compile(r"[^a-z0-9]+")

ITEM = ["item_code", "description", "pay_unit"]
#: No text on record holds it: a control character.
_BETWEEN = "\x1f"


def with_item(lines: pd.DataFrame) -> pd.DataFrame:
    """Adds `item`, one name for the same work in the same pay unit, and `item_title` to show it by.

    lines : item_code, description, pay_unit. The code decides where there is one, unless it is a catch-all number; a
    description without a code belongs to the code that elsewhere carries it, if it is one code. Units never mix.
    """
    known = lines[ITEM].fillna("").astype("str")
    as_one = known["item_code"] + _BETWEEN + known["description"] + _BETWEEN + known["pay_unit"]
    number = pd.factorize(as_one)[0]  # from 0, in order of appearance
    said = known.iloc[np.unique(number, return_index=True)[1]].reset_index(drop=True)
    said["plain"] = [_MARKS.sub(" ", text.lower()).strip() for text in said["description"]]
    coded = said[said["item_code"] != ""]
    many = coded.groupby(["item_code", "pay_unit"])["plain"].nunique()
    catch_all = set(many[many > MOST_DESCRIPTIONS].index)
    codes = coded.groupby(["plain", "pay_unit"])["item_code"].unique()
    only = {key: found[0] for key, found in codes.items() if len(found) == 1}
    said["item"] = [_item(row, catch_all, only) for row in said.to_dict("records")]
    said["n"] = np.bincount(number, minlength=len(said))
    said["item_title"] = said["item"].map(_titles(said))
    return lines.assign(item=said["item"].to_numpy()[number], item_title=said["item_title"].to_numpy()[number])


def _titles(said: pd.DataFrame) -> pd.Series:
    """Each item's most frequent description; of those equally frequent the longest, then the first by name.

    said : item, description and how many lines say it so (n).
    """
    counts = said.groupby(["item", "description"])["n"].sum().reset_index()
    counts["length"] = counts["description"].str.len()
    ordered = counts.sort_values(["n", "length", "description"], ascending=[False, False, True], kind="stable")
    return ordered.drop_duplicates("item").set_index("item")["description"]


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

"""Pay item prices: what one item cost in low bids and in all bids, contract by contract and year by year."""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from bidlens import quarters
from bidlens.errors import BadValue
from bidlens.findings import Unavailable
from bidlens.letting import pay_items
from bidlens.letting.contracts import LETTING
from bidlens.letting.suggested import SuggestedPrice, suggested_price
from bidlens.letting.years import Years
from bidlens.normalizer.names import item_name
from bidlens.reference import CostIndex
from bidlens.units import UNIT_BY_NAME, canonical_unit, convert

_ITEM_LETTING = ["item", *LETTING]
LETTING_COLUMNS = (*LETTING, "quantity", "low_price", "real_low_price", "mean_price", "lowest_price", "highest_price",
                   "bids", "estimate_price", "converted_from", "source_file", "source_sheet", "source_row")  # fmt: skip
YEAR_COLUMNS = ("year", "contracts", "quantity", "low_price", "real_low_price", "bids", "mean_price", "lowest_price",
                "highest_price")  # fmt: skip
_MARKS = re.compile(r"[^a-z0-9]+")


@dataclass(frozen=True, slots=True, eq=False)
class ItemPrices:
    """One pay item in one pay unit. USD per pay unit as bid, unless real: in dollars of `dollars_of`.

    spellings : its descriptions on record. lettings : LETTING_COLUMNS, one row a contract and letting; low_price is the
    low bidder's, all its dollars over all its quantity; mean, lowest and highest are of all responsive bids.
    by_year : YEAR_COLUMNS; low_price is low dollars over quantity, real_low_price the middle of the contracts',
    mean_price the mean of all bids. suggested : for the next estimate, in dollars of `dollars_of`.
    """

    item: str
    title: str
    pay_unit: str
    work_category: str
    spellings: tuple[str, ...]
    lettings: pd.DataFrame
    by_year: pd.DataFrame
    suggested: SuggestedPrice | Unavailable
    dollars_of: str
    index_title: str

    def as_dict(self) -> dict[str, Any]:
        """The public form; a price that is not suggested is null, with the reason."""
        given = self.suggested if isinstance(self.suggested, SuggestedPrice) else None
        return {
            "item": self.item, "title": self.title, "pay_unit": self.pay_unit, "work_category": self.work_category,
            "spellings": list(self.spellings), "dollars_of": self.dollars_of, "index": self.index_title,
            "suggested": {name: getattr(given, name) for name in given.__slots__} if given else None,
            "not_suggested": None if given else str(self.suggested), "years": self.by_year, "lettings": self.lettings,
        }  # fmt: skip


def matching(known: pd.DataFrame, words: str, unit: str | None = None) -> pd.DataFrame:
    """The pay items on record that all the words are found in: rows of `known`.

    known : item_code, description, pay_unit. words : beginnings of words of the description, written out or
    abbreviated, or a code; in any order. unit : only items measured in it, or in a unit that converts to it.
    """
    asked = _MARKS.sub(" ", words.lower()).split()
    if not asked:
        raise BadValue("no word to search by", do="Write some words of the description, or a pay item code.")
    said = known[["item_code", "description"]].fillna("").astype("str")
    text = [
        f" {_plain(f'{code} {name}')} {_plain(item_name(name).text)} "
        for code, name in zip(said["item_code"], said["description"], strict=True)
    ]
    found = [all(f" {word}" in one for word in asked) for one in text]
    rows = known[pd.Series(found, index=known.index, dtype=bool)]
    return rows if unit is None else rows[rows["pay_unit"].isin(_convertible(unit))]


def _plain(text: str) -> str:
    return _MARKS.sub(" ", text.lower()).strip()


def _convertible(unit: str) -> set[str]:
    name = canonical_unit(unit)
    if name is None:
        raise BadValue(f"“{unit}” is no pay unit we know", do=f"Known: {', '.join(UNIT_BY_NAME)}.")
    one = UNIT_BY_NAME[name]
    if one.factor is None:
        return {name}
    return {other.name for other in UNIT_BY_NAME.values() if other.dimension == one.dimension and other.factor}


def prices_of_items(
    prices: pd.DataFrame,
    index: CostIndex,
    dollars_of: str,
    *,
    unit: str | None = None,
    years: Years | None = None,
    quantity: float | None = None,
) -> list[ItemPrices]:
    """Each pay item's history and suggested price, most low-bid dollars first.

    prices : a row per line and responsive bidder: contract_id, letting_date, item_code, description, pay_unit,
        work_category, quantity, bidder, unit_price, is_low, estimate_price and source. Pay units never mix; with `unit`
        items of the same dimension are converted to it, and say so.
    years : only the lettings from a first to a last year. quantity : what the suggested price is for.
    """
    lines = _in_unit(prices, canonical_unit(unit)) if unit else prices.assign(converted_from="")
    if years:
        lines = lines[lines["letting_date"].dt.year.between(*years)]
    lines = pay_items.with_item(lines.reset_index(drop=True))
    ratio = index.ratios(quarters.quarters_of(lines["letting_date"]), dollars_of)
    lines = lines.assign(_ratio=ratio, _usd=lines["quantity"] * lines["unit_price"])
    lettings = _lettings(lines)
    years_of = _parted(_by_year(lettings), YEAR_COLUMNS)
    lettings_of = _parted(lettings, LETTING_COLUMNS)
    found = [
        _one(group, lettings_of(item), years_of(item), quantity, dollars_of, index.title)
        for item, group in lines.groupby("item")
    ]
    return sorted(found, key=lambda one: (-_low_usd(one), one.item))


def _low_usd(one: ItemPrices) -> float:
    return float((one.lettings["low_price"] * one.lettings["quantity"]).sum())


def _in_unit(prices: pd.DataFrame, unit: str | None) -> pd.DataFrame:
    """The rows that can be measured in a unit, in it; converted_from says which unit they were bid in."""
    rows = prices[prices["pay_unit"].isin(_convertible(unit or ""))]
    factor = rows["pay_unit"].map({name: convert(1.0, name, unit or "") for name in rows["pay_unit"].unique()})
    return rows.assign(
        converted_from=rows["pay_unit"].where(rows["pay_unit"] != unit, ""),
        pay_unit=unit,
        quantity=rows["quantity"] * factor.astype(float),
        unit_price=rows["unit_price"] / factor.astype(float),
        estimate_price=rows["estimate_price"] / factor.astype(float),
    )


def _parted(frame: pd.DataFrame, columns: Sequence[str]) -> Callable[[Hashable], pd.DataFrame]:
    """The rows of an item, numbered from 0, without its name; an item without rows has an empty frame."""
    groups = frame.groupby("item").indices
    kept = frame[list(columns)]
    return lambda item: kept.iloc[groups.get(item, [])].reset_index(drop=True)


def _one(
    lines: pd.DataFrame,
    lettings: pd.DataFrame,
    by_year: pd.DataFrame,
    quantity: float | None,
    dollars_of: str,
    index_title: str,
) -> ItemPrices:
    """One item from its lines, and from its rows of `_lettings` and `_by_year`."""
    unit = str(lines["pay_unit"].iloc[0])
    lump = UNIT_BY_NAME.get(unit) is None or UNIT_BY_NAME[unit].factor is None
    suggested = (
        Unavailable(f"{unit} has no measured quantity; its price belongs to its job")
        if lump
        else suggested_price(lettings["real_low_price"], lettings["quantity"], quantity)
    )
    return ItemPrices(
        item=str(lines["item"].iloc[0]),
        title=str(lines["item_title"].iloc[0]),
        pay_unit=unit,
        work_category=str(lines["work_category"].mode().iloc[0]),
        spellings=tuple(sorted(set(lines["description"].astype("str")))),
        lettings=lettings,
        by_year=by_year,
        suggested=suggested,
        dollars_of=dollars_of,
        index_title=index_title,
    )


def _lettings(lines: pd.DataFrame) -> pd.DataFrame:
    """One row an item and letting: a bidder's price is all its dollars over all its quantity of the item there."""
    per_bid = lines.groupby([*_ITEM_LETTING, "bidder"], as_index=False).agg(
        _usd=("_usd", "sum"), quantity=("quantity", "sum"), is_low=("is_low", "max"), _ratio=("_ratio", "first")
    )
    per_bid["price"] = per_bid["_usd"] / per_bid["quantity"]
    all_bids = per_bid.groupby(_ITEM_LETTING, as_index=False).agg(
        mean_price=("price", "mean"), lowest_price=("price", "min"), highest_price=("price", "max"),
        bids=("price", "size"),
    )  # fmt: skip
    low = per_bid[per_bid["is_low"]].rename(columns={"price": "low_price"})
    low = low.assign(real_low_price=low["low_price"] * low["_ratio"])[
        [*_ITEM_LETTING, "quantity", "low_price", "real_low_price"]
    ]
    first = lines[lines["is_low"]].drop_duplicates(_ITEM_LETTING)
    facts = first[[*_ITEM_LETTING, "converted_from", "source_file", "source_sheet", "source_row"]]
    table = all_bids.merge(low, on=_ITEM_LETTING, how="inner", validate="1:1")
    table = table.merge(facts, on=_ITEM_LETTING, validate="1:1")
    table = table.merge(_estimates(lines), on=_ITEM_LETTING, how="left", validate="1:1")
    return table.sort_values(LETTING[::-1], kind="stable")[["item", *LETTING_COLUMNS]].reset_index(drop=True)


def _estimates(lines: pd.DataFrame) -> pd.DataFrame:
    one = lines.drop_duplicates([*_ITEM_LETTING, "schedule", "line"])
    known = one[one["estimate_price"].notna()].assign(_e=lambda t: t["estimate_price"] * t["quantity"])
    sums = known.groupby(_ITEM_LETTING, as_index=False)[["_e", "quantity"]].sum()
    return sums.assign(estimate_price=sums["_e"] / sums["quantity"])[[*_ITEM_LETTING, "estimate_price"]]


def _by_year(lettings: pd.DataFrame) -> pd.DataFrame:
    """One row an item and year. lettings : of `_lettings`."""
    low = lettings.assign(
        year=lettings["letting_date"].dt.year,
        _usd=lettings["low_price"] * lettings["quantity"],
        _sum=lettings["mean_price"] * lettings["bids"],
    )
    table = low.groupby(["item", "year"], as_index=False).agg(
        contracts=("contract_id", "nunique"), quantity=("quantity", "sum"), _usd=("_usd", "sum"),
        real_low_price=("real_low_price", "median"), lowest_price=("lowest_price", "min"),
        highest_price=("highest_price", "max"), bids=("bids", "sum"), _sum=("_sum", "sum"),
    )  # fmt: skip
    table = table.assign(low_price=table["_usd"] / table["quantity"], mean_price=table["_sum"] / table["bids"])
    return table[["item", *YEAR_COLUMNS]]


def recurring(items: Iterable[ItemPrices]) -> pd.DataFrame:
    """One row an item, for a table: counts, years, prices and the suggested price with its range."""
    rows = []
    for one in items:
        given = one.suggested if isinstance(one.suggested, SuggestedPrice) else None
        span = one.lettings["letting_date"].dt.year
        rows.append(
            {
                "item": one.item, "title": one.title, "pay_unit": one.pay_unit, "work_category": one.work_category,
                "contracts": len(one.lettings), "first_year": span.min(), "last_year": span.max(),
                "bids": one.lettings["bids"].sum(), "real_low_price": one.lettings["real_low_price"].median(),
                "suggested_price": given.price if given else None, "low": given.low if given else None,
                "high": given.high if given else None, "chance": given.chance if given else None,
                "for_quantity": given.quantity if given else None,
                "quantity_effect_percent": given.quantity_effect if given else None,
                "dollars_of": one.dollars_of, "reason": "" if given else one.suggested.reason
                if isinstance(one.suggested, Unavailable) else "",
            }
        )  # fmt: skip
    return pd.DataFrame(rows)

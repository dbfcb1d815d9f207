"""Pay item prices as text, tables and workbook."""

from __future__ import annotations

import io
from collections.abc import Sequence

import pandas as pd

from bidlens.findings import Unavailable
from bidlens.letting import ItemPrices, SuggestedPrice, item_words
from bidlens.letting.item_prices import recurring
from bidlens.report import as_json
from bidlens.report.printed import Section
from bidlens.report.terminal import WIDTH, paragraph, table
from bidlens.report.workbook import write_workbook
from bidlens.wording import NOT_GIVEN, day, number, percent

CAUTION = (
    "Past bids are association, not a promise: look at the quantity, the site and the market before a price is put "
    "into an estimate."
)
#: Items whose history is shown in text.
MOST_OPENED = 3


def items_table(items: Sequence[ItemPrices]) -> Section:
    """One row an item: contracts, years, the price to expect and its range."""
    head = ("pay item", "unit", "contracts", "years", "middle low bid", "expect", "range", "at quantity")
    rows = []
    for one in items:
        years = one.by_year["year"]
        span = f"{years.min()}–{years.max()}" if years.nunique() > 1 else "".join(str(year) for year in years.head(1))
        given = one.suggested if isinstance(one.suggested, SuggestedPrice) else None
        middle = one.lettings["real_low_price"].median()
        rows.append(
            (
                one.title, one.pay_unit, number(len(one.lettings)), span, _price(middle),
                _price(given.price) if given else NOT_GIVEN,
                f"{_price(given.low)} to {_price(given.high)}" if given else _reason(one),
                item_words.quantity(given.quantity) if given else "",
            )
        )  # fmt: skip
    return head, rows, "llrrrrrr"


def _reason(one: ItemPrices) -> str:
    return one.suggested.reason if isinstance(one.suggested, Unavailable) else ""


def _price(value: float) -> str:
    return NOT_GIVEN if pd.isna(value) else item_words.price(value)


def years_table(one: ItemPrices) -> Section:
    """One row a year: low bids and all bids as bid, and the middle low bid in dollars of one quarter."""
    head = ("year", "contracts", "quantity", "low bids", "low, restated", "bids", "mean of all", "lowest", "highest")
    rows = [
        (
            str(row["year"]), number(row["contracts"]), number(row["quantity"]), _price(row["low_price"]),
            _price(row["real_low_price"]), number(row["bids"]), _price(row["mean_price"]), _price(row["lowest_price"]),
            _price(row["highest_price"]),
        )
        for row in one.by_year.to_dict("records")
    ]  # fmt: skip
    return head, rows, "lrrrrrrrr"


def lettings_table(one: ItemPrices) -> Section:
    """One row a contract, newest first, with where the low bid's price was read."""
    head = (
        "contract",
        "let",
        "quantity",
        "low bid",
        "restated",
        "mean of all",
        "bids",
        "estimate",
        "low is",
        "read in",
    )
    rows = [
        (
            row["contract_id"], day(row["letting_date"]), item_words.quantity(row["quantity"]),
            _price(row["low_price"]), _price(row["real_low_price"]), _price(row["mean_price"]), number(row["bids"]),
            _price(row["estimate_price"]),
            NOT_GIVEN if pd.isna(row["estimate_price"]) else percent(row["low_price"] / row["estimate_price"] - 1),
            _where(row),
        )
        for row in one.lettings.iloc[::-1].to_dict("records")
    ]  # fmt: skip
    return head, rows, "llrrrrrrrl"


def _where(row: dict) -> str:
    at = "" if pd.isna(row["source_row"]) else f", row {int(row['source_row'])}"
    sheet = f", “{row['source_sheet']}”" if isinstance(row["source_sheet"], str) and row["source_sheet"] else ""
    return f"{row['source_file']}{sheet}{at}"


YEARS_LEAD = (
    "As bid: dollars of the low bids over their quantity, mean, lowest and highest of all responsive bids. Restated: "
    "the middle low bid in dollars of one quarter."
)


def items_answer(items: Sequence[ItemPrices], words: str) -> str:
    """The items found in text; the history of the first ones."""
    first = items[0]
    parts = [f"Pay item prices: {words}", "─" * WIDTH, paragraph(item_words.answer(first)),
             paragraph(item_words.support(first)), ""]  # fmt: skip
    head, rows, sides = items_table(items)
    parts += [item_words.found(list(items), words), table(head, rows, sides, 40)]
    for one in items[:MOST_OPENED]:
        head, rows, sides = years_table(one)
        parts += ["", f"{one.title}, {one.pay_unit}", paragraph(item_words.caption(one)), table(head, rows, sides)]
    more = len(items) - MOST_OPENED
    parts += [f"… the history of {more} more stands in --format json."] if more > 0 else []
    return "\n".join([*parts, "", paragraph(YEARS_LEAD), paragraph(item_words.ASSUMES), paragraph(CAUTION)])


def items_document(items: Sequence[ItemPrices], words: str) -> str:
    """The public JSON."""
    return as_json.document("items", words=words, items=[one.as_dict() for one in items])


def items_workbook(items: Sequence[ItemPrices], words: str, sources: str) -> bytes:
    """Items, their years and their contracts, a sheet each, as the bytes of a workbook."""
    notes = [item_words.found(list(items), words), *(item_words.answer(one) for one in items[:20]), YEARS_LEAD,
             item_words.ASSUMES, sources, CAUTION]  # fmt: skip
    sheets = {"items": recurring(items)}
    for name in ("by_year", "lettings"):
        frames = [getattr(one, name).assign(item=one.item, title=one.title, pay_unit=one.pay_unit) for one in items]
        sheets[name.replace("_", " ")] = pd.concat(frames, ignore_index=True)
    target = io.BytesIO()
    write_workbook(target, sheets, notes)
    return target.getvalue()

"""Pay item prices in sentences: the price to expect, from how many contracts, and what it rests on."""

from __future__ import annotations

from bidlens import quarters, wording
from bidlens.letting.item_prices import ItemPrices
from bidlens.letting.suggested import FITTED_FROM, SUGGESTED_FROM, SuggestedPrice

ASSUMES = (
    f"From {FITTED_FROM} contracts on, a straight line of price on quantity in logarithms is fitted, and the range is "
    f"that of one more low bid; from {SUGGESTED_FROM} on, the middle price is given, lowest to highest; below that "
    "none. It assumes that low bids scatter alike, in percent, around the line, that the cost index carries them to "
    "one quarter, and that the next job is like the past ones."
)


def price(value: float) -> str:
    """$1,080, under $100 with cents, under a dollar with four decimals."""
    return wording.usd(value, 0 if abs(value) >= 100 else 2 if abs(value) >= 1 else 4)


def quantity(value: float) -> str:
    """Whole from ten up; below with what it has after the point."""
    return wording.number(value, 0 if value >= 10 or value == int(value) else 2)


def answer(one: ItemPrices) -> str:
    """The price to expect, with its range, quantity and dollars; or why there is none."""
    given = one.suggested
    if not isinstance(given, SuggestedPrice):
        return f"No price is put forward for {one.title} ({one.pay_unit}): {given.reason}."
    amount = f"{quantity(given.quantity)} {one.pay_unit}"
    return (
        f"{one.title}: expect about {price(given.price)} per {one.pay_unit} at {amount}, "
        f"{price(given.low)} to {price(given.high)} in {wording.number(given.chance * 10)} low bids of 10."
    )


def support(one: ItemPrices) -> str:
    """n, years, bids, effect of quantity."""
    table = one.lettings
    if table.empty:
        return "No low bid for it is on record."
    first, last = table["letting_date"].min().year, table["letting_date"].max().year
    years = str(first) if first == last else f"{first}–{last}"
    said = [
        f"From {wording.count(len(table), 'low bid')} and {wording.count(int(table['bids'].sum()), 'bid')}, {years}"
    ]
    said[0] += f", in dollars of {quarters.shown(one.dollars_of)} by the {one.index_title}."
    given = one.suggested
    if isinstance(given, SuggestedPrice):
        if given.quantity_effect is not None:
            said.append(f"A doubled quantity went with {wording.signed(given.quantity_effect, 1, '%')} on the price.")
        if given.beyond:
            least, most = (wording.number(end) for end in (given.least, given.most))
            said.append(f"That quantity lies beyond those on record, {least} to {most}: look twice.")
    converted = table.loc[table["converted_from"] != "", "converted_from"]
    if len(converted):
        units = ", ".join(sorted(set(converted)))
        said.append(f"{len(converted)} of them were bid in {units} and are converted.")
    return " ".join(said)


def found(items: list[ItemPrices], words: str) -> str:
    """“3 pay items hold “riprap”.”"""
    return f"{wording.count(len(items), 'pay item')} {'holds' if len(items) == 1 else 'hold'} “{words}”."


def caption(one: ItemPrices) -> str:
    """n, what the dollars are, source."""
    files = one.lettings["source_file"].nunique()
    return (
        f"n = {wording.count(len(one.lettings), 'contract')} · {one.pay_unit} · low bids in dollars of "
        f"{quarters.shown(one.dollars_of)} · source: bid tabs, {wording.count(files, 'file')}; {one.index_title}"
    )

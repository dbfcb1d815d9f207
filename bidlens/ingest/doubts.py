"""What is doubtful in a bid tab, said once per contract and bidder with counts, not once per row."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
import pandas as pd
import pyarrow.compute as pc

from bidlens.findings import Finding
from bidlens.ingest import totals
from bidlens.ingest.cells import whole
from bidlens.ingest.layout import cell_words
from bidlens.ingest.rules import ENTRY_RULES, TENTH_OF_A_CENT
from bidlens.ingest.tabulation import Tabulation, without_place
from bidlens.units import canonical_unit

CENT = 1  # whole cents by which a printed amount may differ without a word


def look_over(done: Tabulation, item_rows: int) -> list[Finding]:
    """Every doubt about a bid tab, in the order in which an estimator would want them.

    item_rows : rows below the headings that are not blank, for the round numbers at which exports are cut.
    """
    checks: tuple[Callable[[Tabulation], Iterator[Finding]], ...] = (
        _blank_prices,
        _no_bids,
        _low_bidder_changes,
        _ties,
        _extensions,
        _printed_totals,
        _worked_out_prices,
        _negative_prices,
        _lines_repeated,
        _lines_missing,
        _quantities_differ,
        _alternates,
        _units,
        _orders,
        _competition,
        _spellings,
        _zero_prices,
        _entered_by_rule,
    )
    found = [finding for check in checks for finding in check(done)]
    return [*_round_count(done, item_rows), *found]


def look_over_totals(done: Tabulation) -> list[Finding]:
    """The doubts about bids of which the totals alone are known: order and ties."""
    return [*_low_bidder_changes(done), *_ties(done)]


def usd(cents: float) -> str:
    """Whole cents as money, for a sentence."""
    return f"${int(cents) / 100:,.2f}" if cents >= 0 else f"-${-int(cents) / 100:,.2f}"


def _round_count(done: Tabulation, item_rows: int) -> Iterator[Finding]:
    counts = {item_rows, item_rows + 1} & cell_words().round_row_counts
    if counts:
        yield Finding(
            "round_row_count",
            "check",
            f"{done.file} has {counts.pop():,} rows, where exports are cut; its last contracts may be short",
            do="Compare the last contract with the agency's own tabulation.",
            place=done.place(done.rows.iloc[-1]),
        )


def _of_bid(done: Tabulation, bid: pd.Series) -> str:
    return f"contract {bid['contract_id']}: {bid['bidder']}"


def _finding(done: Tabulation, row: pd.Series, code: str, severity: str, text: str, do: str = "") -> Finding:
    return Finding(code, severity, text, do, done.place(row), str(row["contract_id"]))  # type: ignore[arg-type]


def _some(count: int, one: str, many: str) -> str:
    return f"{count:,} {one if count == 1 else many}"


# --- prices and extensions ----------------------------------------------------------------------------------------


#: What a finding needs to know of a row.
_SHOWN = ["letting", "bid", "item", "contract_id", "bidder", "schedule", "source_sheet", "source_row"]


def _by_bid(done: Tabulation, which: np.ndarray) -> Iterator[tuple[pd.Series, int]]:
    """For each bid with rows where `which` (n bool): the first of them, and how many there are."""
    where = np.flatnonzero(which & (done.rows["bid"].to_numpy() >= 0))
    if not len(where):
        return
    rows = done.rows[_SHOWN].iloc[where]
    counts = rows["bid"].value_counts()
    for _, row in rows[~rows["bid"].duplicated()].iterrows():
        yield row, int(counts[row["bid"]])


def _blank_prices(done: Tabulation) -> Iterator[Finding]:
    for row, count in _by_bid(done, done.rows["blank"].to_numpy()):
        blank = _some(count, "unit price", "unit prices")
        text = f"{_of_bid(done, row)} left {blank} blank; the bid is irregular and not ranked"
        yield _finding(done, row, "blank_unit_price", "stop", text, "Look at the bid as handed in; correct the file.")


def _no_bids(done: Tabulation) -> Iterator[Finding]:
    for row, count in _by_bid(done, done.rows["no_bid"].to_numpy()):
        ranked = done.bids["no_bids"].iloc[int(row["bid"])] == 0
        end = "in alternates only; the bid stays ranked" if ranked else "the bid is not ranked"
        text = f"{_of_bid(done, row)} made no bid on {_some(count, 'item', 'items')}; {end}"
        yield _finding(done, row, "no_bid_on_item", "note" if ranked else "stop", text)


def _worked_out_prices(done: Tabulation) -> Iterator[Finding]:
    for row, count in _by_bid(done, done.rows["worked_out"].to_numpy()):
        blank = _some(count, "blank unit price is", "blank unit prices are")
        text = f"{_of_bid(done, row)}: {blank} worked out as extension / quantity"
        yield _finding(done, row, "unit_price_from_extension", "check", text, "Look at the bid as handed in.")


def _extensions(done: Tabulation) -> Iterator[Finding]:
    printed = totals.arrow(done.rows["extension_as_read"])
    both = (pc.is_valid(printed).to_numpy(zero_copy_only=False)) & done.rows["extension"].notna().to_numpy()
    apart = np.abs(whole(totals.arrow(done.rows["extension"])) - whole(printed))
    where = np.flatnonzero(both & (apart > CENT))
    if not len(where):
        return
    differs = done.rows[_SHOWN].iloc[where].assign(apart=apart[where])
    for _, group in differs.groupby(["letting", "bid"], sort=False):
        worst = group.iloc[int(group["apart"].argmax())]
        bid = int(worst["bid"])
        who = _of_bid(done, worst) if bid >= 0 else f"contract {worst['contract_id']}: the estimate"
        text = (
            f"{who}: {_some(len(group), 'extension differs', 'extensions differ')} from quantity x unit price, "
            f"by up to {usd(worst['apart'])}; the unit price governs"
        )
        yield _finding(done, worst, "extension_differs", "check" if bid >= 0 else "note", text)


def _negative_prices(done: Tabulation) -> Iterator[Finding]:
    negative = whole(totals.arrow(done.rows["unit_price"])) < 0
    for row, count in _by_bid(done, negative):
        text = (
            f"{_of_bid(done, row)} bid {_some(count, 'negative unit price', 'negative unit prices')}, kept as a credit"
        )
        yield _finding(done, row, "negative_unit_price", "check", text, "Look whether a credit was meant.")


def _entered_by_rule(done: Tabulation) -> Iterator[Finding]:
    for row, count in _by_bid(done, done.rows["by_rule"].to_numpy()):
        entered = _some(count, "unit price is", "unit prices are")
        text = f"{_of_bid(done, row)}: {entered} not as bid but as the rule enters it: {ENTRY_RULES[TENTH_OF_A_CENT]}"
        yield _finding(done, row, "price_entered_by_rule", "check", text, "The rule is one of a single state.")


def _zero_prices(done: Tabulation) -> Iterator[Finding]:
    zero = (whole(totals.arrow(done.rows["unit_price"])) == 0) & done.rows["unit_price"].notna().to_numpy()
    for row, count in _by_bid(done, zero):
        text = f"{_of_bid(done, row)} bid {_some(count, 'unit price', 'unit prices')} of zero, kept as bid"
        yield _finding(done, row, "zero_unit_price", "note", text)


# --- totals and order ---------------------------------------------------------------------------------------------


def _low_bidder_changes(done: Tabulation) -> Iterator[Finding]:
    low_as_read, low = (
        (done.bids[name] == 1).fillna(False).to_numpy(bool) for name in ("rank_as_read", "rank_corrected")
    )
    moved = set(done.bids["letting"].to_numpy()[low_as_read != low])
    for number in sorted(moved):
        bids = done.bids[done.bids["letting"] == number]
        read = bids[bids["rank_as_read"] == 1]
        corrected = bids[bids["rank_corrected"] == 1]
        text = (
            f"contract {bids['contract_id'].iloc[0]}: low as read {_names(read)} ({usd(read['as_read'].iloc[0])}), "
            f"low as corrected {_names(corrected)} ({usd(corrected['corrected'].iloc[0])})"
        )
        do = "Both totals are kept; the corrected one is used. Who is awarded is for the owner to say."
        yield _finding(done, corrected.iloc[0], "low_bidder_changes", "check", text, do)


def _names(bids: pd.DataFrame) -> str:
    return " and ".join(bids["bidder"].astype("str"))


def _ties(done: Tabulation) -> Iterator[Finding]:
    low = (done.bids["rank_corrected"] == 1).fillna(False).to_numpy(bool)
    count = np.bincount(done.bids["letting"], low, len(done.lettings))
    for number in np.flatnonzero(count > 1):
        tied = done.bids[low & (done.bids["letting"] == number).to_numpy()]
        text = f"contract {tied['contract_id'].iloc[0]}: {_names(tied)} are tied at {usd(tied['corrected'].iloc[0])}"
        yield _finding(
            done, tied.iloc[0], "tie", "check", text, "The tie is not broken here; the owner's rule decides."
        )


def _printed_totals(done: Tabulation) -> Iterator[Finding]:
    apart = (done.bids["printed"] - done.bids["summed"]).abs().fillna(0).to_numpy(np.int64)
    for position in np.flatnonzero(apart > CENT):
        bid = done.bids.iloc[position]
        stated, summed = usd(bid["printed"]), usd(bid["summed"])
        text = f"{_of_bid(done, bid)}: the file states a total of {stated}, its items add up to {summed}"
        yield _finding(
            done, bid, "printed_total_differs", "check", text, "Look whether items are missing from the file."
        )


def _orders(done: Tabulation) -> Iterator[Finding]:
    ranked = done.bids.loc[done.bids["rank_corrected"].notna(), ["letting", "order", "as_read"]]
    given = ranked[ranked["order"].notna()]
    in_order = given.sort_values(["letting", "order"], kind="stable")
    falls = (in_order["as_read"].diff() < 0) & (in_order["letting"].diff() == 0)
    for position in in_order[falls].drop_duplicates("letting").index:
        bid = done.bids.loc[position]
        text = f"contract {bid['contract_id']}: the file's order of bidders is not the order of their totals"
        yield _finding(done, bid, "order_not_by_total", "note", text, "Ranks here go by total.")
    placed = done.bids.groupby("letting")["order"].transform("count") > 0
    passed_over = without_place(done.bids)
    for position in done.bids.index[done.bids["order"].isna() & placed]:
        bid = done.bids.loc[position]
        taken = (
            "taken as irregular" if passed_over[position] else "nobody has the first place, so it is ranked by total"
        )
        text = f"{_of_bid(done, bid)} has no place in the file's order, the other bidders have; {taken}"
        yield _finding(done, bid, "order_missing", "check", text, "Look whether the bid was rejected.")


def _competition(done: Tabulation) -> Iterator[Finding]:
    responsive = (done.bids["status"] == "responsive").to_numpy()
    count = np.bincount(done.bids["letting"], responsive, len(done.lettings))
    lettings = done.lettings[["contract_id", "source_sheet", "source_row"]].astype("object")
    for number in np.flatnonzero(count < 2):
        letting = lettings.iloc[number]
        if count[number] == 1:
            yield _finding(
                done, letting, "single_bid", "note", f"contract {letting['contract_id']} has a single responsive bid"
            )
        else:
            yield _finding(
                done, letting, "no_bids", "check", f"contract {letting['contract_id']} has no responsive bid"
            )


# --- lines, units, names ------------------------------------------------------------------------------------------


def _lines_repeated(done: Tabulation) -> Iterator[Finding]:
    repeated = ((done.items["repeat"] > 0) & done.items["numbered"]).to_numpy()
    if not repeated.any():
        return
    again = done.items[repeated]
    for _, group in again.groupby("letting", sort=False):
        first = group.iloc[0]
        text = (
            f"contract {first['contract_id']}: {_some(len(group), 'line is', 'lines are')} there twice for one bidder; "
            "the second is kept as a line of its own"
        )
        yield _finding(done, first, "line_repeated", "check", text, "Look whether the rows are one item written twice.")


def _lines_missing(done: Tabulation) -> Iterator[Finding]:
    base = ~done.items["apart"].to_numpy()
    of_letting = np.bincount(done.items["letting"], base, len(done.lettings))
    missing = of_letting[done.bids["letting"].to_numpy()] - done.bids["lines"].to_numpy()
    for position in np.flatnonzero(missing > 0):
        bid, count = done.bids.iloc[position], int(missing[position])
        text = f"{_of_bid(done, bid)} has no price on {_some(count, 'line', 'lines')} that others have or are estimated"
        do = "Look whether rows are missing from the file, or the lines are alternatives to others."
        yield _finding(done, bid, "lines_missing", "check", text, do)


def _quantities_differ(done: Tabulation) -> Iterator[Finding]:
    own = whole(totals.arrow(done.rows["quantity"]))
    of_item = whole(totals.arrow(done.items["quantity"]))[done.rows["item"].to_numpy()]
    where = np.flatnonzero(own != of_item)
    if not len(where):
        return
    differs = done.rows[_SHOWN].iloc[where]
    for _, group in differs.groupby("letting", sort=False):
        first = group.iloc[0]
        count = group["item"].nunique()
        text = (
            f"contract {first['contract_id']}: {_some(count, 'line has', 'lines have')} different quantities for "
            "different bidders; the first one is used for all"
        )
        yield _finding(done, first, "quantity_differs", "check", text, "Correct the quantities, or the line numbers.")


def _alternates(done: Tabulation) -> Iterator[Finding]:
    where = np.flatnonzero(done.rows["apart"])
    if not len(where):
        return
    apart = done.rows[_SHOWN].iloc[where]
    for _, group in apart.groupby("letting", sort=False):
        first = group.iloc[0]
        names = ", ".join(f"“{name}”" for name in pd.unique(group["schedule"].astype("str")))
        rests_on = done.lettings["award_rests_on"].iloc[int(first["letting"])]
        if pd.isna(rests_on):
            text = f"contract {first['contract_id']}: {names} kept as alternates; totals and ranks are of the base bid"
            do = "If the award rests on more, name the schedules (--award); an import that is in is taken back first."
            yield _finding(done, first, "alternates_apart", "check", text, do)
        else:
            text = f"contract {first['contract_id']}: totals and ranks are of “{rests_on}”, as told; {names} kept apart"
            yield _finding(done, first, "award_as_told", "note", text)


def _units(done: Tabulation) -> Iterator[Finding]:
    units = done.items["pay_unit"].cat
    count = np.bincount(units.codes, minlength=len(units.categories))
    for text in sorted(units.categories[count > 0], key=lambda text: (text == "", text)):
        if text and canonical_unit(text) is not None:
            continue
        code = units.categories.get_loc(text)
        items, first = int(count[code]), done.items.iloc[int(np.argmax(units.codes == code))]
        if text:
            said = f"the pay unit “{text}” is not known ({_some(items, 'item', 'items')}); it is kept as read"
            yield _finding(done, first, "unknown_unit", "check", said, "Its prices are pooled with no other unit.")
        else:
            yield _finding(done, first, "no_unit", "check", f"{_some(items, 'item has', 'items have')} no pay unit")


def _spellings(done: Tabulation) -> Iterator[Finding]:
    changed = done.spellings[done.spellings["bidder"] != done.spellings["spelling"]]
    for _, row in changed.iterrows():
        text = f"“{row['spelling']}” is read as “{row['bidder']}”: both stand for one bid of one contract"
        yield Finding("spelling_differs", "note", text, place=done.place(done.rows.iloc[0]))

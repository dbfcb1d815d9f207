"""What is doubtful in a bid tab, said once per contract and bidder with counts, not once per row."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
import pandas as pd
import pyarrow.compute as pc

from bidlens.findings import Finding
from bidlens.ingest import totals
from bidlens.ingest.layout import cell_words
from bidlens.ingest.tabulation import Tabulation, is_alternate
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
        _quantities_differ,
        _alternates,
        _units,
        _orders,
        _competition,
        _spellings,
        _zero_prices,
    )
    found = [finding for check in checks for finding in check(done)]
    return [*_round_count(done, item_rows), *found]


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


def _offered(done: Tabulation, which: np.ndarray) -> pd.DataFrame:
    """Bidders' rows (the estimate's left out) where `which` (n bool), as far as a finding needs them."""
    where = np.flatnonzero(which & (done.rows["bid"] >= 0).to_numpy())
    return done.rows[_SHOWN].iloc[where]


def _first_by_bid(rows: pd.DataFrame) -> Iterator[tuple[pd.Series, int]]:
    """The first of some rows for each bid, and how many there are."""
    counts = rows["bid"].value_counts()
    for _, row in rows[~rows["bid"].duplicated()].iterrows():
        yield row, int(counts[row["bid"]])


def _blank_prices(done: Tabulation) -> Iterator[Finding]:
    for row, count in _first_by_bid(_offered(done, done.rows["blank"].to_numpy())):
        blank = _some(count, "unit price", "unit prices")
        text = f"{_of_bid(done, row)} left {blank} blank; the bid is irregular and not ranked"
        yield _finding(done, row, "blank_unit_price", "stop", text, "Look at the bid as handed in; correct the file.")


def _no_bids(done: Tabulation) -> Iterator[Finding]:
    for row, count in _first_by_bid(_offered(done, done.rows["no_bid"].to_numpy())):
        ranked = done.bids["no_bids"].iloc[int(row["bid"])] == 0
        end = "in alternates only; the bid stays ranked" if ranked else "the bid is not ranked"
        text = f"{_of_bid(done, row)} made no bid on {_some(count, 'item', 'items')}; {end}"
        yield _finding(done, row, "no_bid_on_item", "note" if ranked else "stop", text)


def _worked_out_prices(done: Tabulation) -> Iterator[Finding]:
    for row, count in _first_by_bid(_offered(done, done.rows["worked_out"].to_numpy())):
        blank = _some(count, "blank unit price is", "blank unit prices are")
        text = f"{_of_bid(done, row)}: {blank} worked out as extension / quantity"
        yield _finding(done, row, "unit_price_from_extension", "check", text, "Look at the bid as handed in.")


def _extensions(done: Tabulation) -> Iterator[Finding]:
    printed = totals.arrow(done.rows["extension_as_read"])
    both = (pc.is_valid(printed).to_numpy(zero_copy_only=False)) & done.rows["extension"].notna().to_numpy()
    apart = np.abs(totals.whole(totals.arrow(done.rows["extension"])) - totals.whole(printed))
    where = np.flatnonzero(both & (apart > CENT))
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
    negative = totals.whole(totals.arrow(done.rows["unit_price"])) < 0
    for row, count in _first_by_bid(_offered(done, negative)):
        text = (
            f"{_of_bid(done, row)} bid {_some(count, 'negative unit price', 'negative unit prices')}, kept as a credit"
        )
        yield _finding(done, row, "negative_unit_price", "check", text, "Look whether a credit was meant.")


def _zero_prices(done: Tabulation) -> Iterator[Finding]:
    zero = (totals.whole(totals.arrow(done.rows["unit_price"])) == 0) & done.rows["unit_price"].notna().to_numpy()
    for row, count in _first_by_bid(_offered(done, zero)):
        text = f"{_of_bid(done, row)} bid {_some(count, 'unit price', 'unit prices')} of zero, kept as bid"
        yield _finding(done, row, "zero_unit_price", "note", text)


# --- totals and order ---------------------------------------------------------------------------------------------


def _low_bidder_changes(done: Tabulation) -> Iterator[Finding]:
    ranked = done.bids[done.bids["rank_corrected"].notna()]
    moved = ranked.loc[(ranked["rank_as_read"] == 1) != (ranked["rank_corrected"] == 1), "letting"]
    for _, bids in ranked[ranked["letting"].isin(set(moved))].groupby("letting", sort=False):
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
    low = done.bids[done.bids["rank_corrected"] == 1]
    for _, tied in low[low.duplicated("letting", keep=False)].groupby("letting", sort=False):
        text = f"contract {tied['contract_id'].iloc[0]}: {_names(tied)} are tied at {usd(tied['corrected'].iloc[0])}"
        yield _finding(
            done, tied.iloc[0], "tie", "check", text, "The tie is not broken here; the owner's rule decides."
        )


def _printed_totals(done: Tabulation) -> Iterator[Finding]:
    bids = done.bids[done.bids["printed"].notna()]
    apart = (bids["printed"] - bids["summed"]).abs()
    for _, bid in bids[apart > CENT].iterrows():
        stated, summed = usd(bid["printed"]), usd(bid["summed"])
        text = f"{_of_bid(done, bid)}: the file states a total of {stated}, its items add up to {summed}"
        yield _finding(
            done, bid, "printed_total_differs", "check", text, "Look whether items are missing from the file."
        )


def _orders(done: Tabulation) -> Iterator[Finding]:
    shown = ["letting", "order", "as_read", "contract_id", "bidder", "source_sheet", "source_row"]
    ranked = done.bids.loc[done.bids["rank_corrected"].notna(), shown]
    given = ranked[ranked["order"].notna()]
    backwards = given.sort_values(["letting", "order"], kind="stable")
    falls = backwards.groupby("letting", sort=False)["as_read"].diff() < 0
    for _, bid in backwards[falls.to_numpy()].drop_duplicates("letting").iterrows():
        text = f"contract {bid['contract_id']}: the file's order of bidders is not the order of their totals"
        yield _finding(done, bid, "order_not_by_total", "note", text, "Ranks here go by total.")
    with_order = set(given["letting"])
    for _, bid in ranked[ranked["order"].isna() & ranked["letting"].isin(with_order)].iterrows():
        text = (
            f"{_of_bid(done, bid)} has no place in the file's order, the other bidders have; ranked here by its total"
        )
        yield _finding(done, bid, "order_missing", "check", text, "Look whether the bid was rejected or irregular.")


def _competition(done: Tabulation) -> Iterator[Finding]:
    count = done.bids.loc[done.bids["status"] == "responsive", "letting"].value_counts()
    bidders_of = done.lettings["letting"].map(count).fillna(0)
    for _, letting in done.lettings[bidders_of.to_numpy() < 2].iterrows():
        bidders = int(count.get(letting["letting"], 0))
        if bidders == 1:
            yield _finding(
                done, letting, "single_bid", "note", f"contract {letting['contract_id']} has a single responsive bid"
            )
        else:
            yield _finding(
                done, letting, "no_bids", "check", f"contract {letting['contract_id']} has no responsive bid"
            )


# --- lines, units, names ------------------------------------------------------------------------------------------


def _lines_repeated(done: Tabulation) -> Iterator[Finding]:
    again = done.items[(done.items["repeat"] > 0) & done.items["numbered"]]
    for _, group in again.groupby("letting", sort=False):
        first = group.iloc[0]
        text = (
            f"contract {first['contract_id']}: {_some(len(group), 'line is', 'lines are')} there twice for one bidder; "
            "the second is kept as a line of its own"
        )
        yield _finding(done, first, "line_repeated", "check", text, "Look whether the rows are one item written twice.")


def _quantities_differ(done: Tabulation) -> Iterator[Finding]:
    own = totals.whole(totals.arrow(done.rows["quantity"]))
    of_item = totals.whole(totals.arrow(done.items["quantity"]))[done.rows["item"].to_numpy()]
    differs = done.rows[_SHOWN].iloc[np.flatnonzero(own != of_item)]
    for _, group in differs.groupby("letting", sort=False):
        first = group.iloc[0]
        count = group["item"].nunique()
        text = (
            f"contract {first['contract_id']}: {_some(count, 'line has', 'lines have')} different quantities for "
            "different bidders; the first one is used for all"
        )
        yield _finding(done, first, "quantity_differs", "check", text, "Correct the quantities, or the line numbers.")


def _alternates(done: Tabulation) -> Iterator[Finding]:
    apart = done.rows[_SHOWN].iloc[np.flatnonzero(is_alternate(done.rows))]
    for _, group in apart.groupby("letting", sort=False):
        first = group.iloc[0]
        names = ", ".join(f"“{name}”" for name in pd.unique(group["schedule"].astype("str")))
        text = f"contract {first['contract_id']}: {names} kept as alternates; totals and ranks are of the base bid"
        yield _finding(done, first, "alternates_apart", "check", text, "The award may rest on base bid and alternates.")


def _units(done: Tabulation) -> Iterator[Finding]:
    units = done.items["pay_unit"].astype("str")
    unknown = {text for text in units.unique() if text and canonical_unit(text) is None}
    for text in sorted(unknown):
        of_unit = done.items[units == text]
        said = f"the pay unit “{text}” is not known ({_some(len(of_unit), 'item', 'items')}); it is kept as read"
        yield _finding(
            done, of_unit.iloc[0], "unknown_unit", "check", said, "Its prices are pooled with no other unit."
        )
    if (units == "").any():
        of_unit = done.items[units == ""]
        said = f"{_some(len(of_unit), 'item has', 'items have')} no pay unit"
        yield _finding(done, of_unit.iloc[0], "no_unit", "check", said)


def _spellings(done: Tabulation) -> Iterator[Finding]:
    changed = done.spellings[done.spellings["bidder"] != done.spellings["spelling"]]
    for _, row in changed.iterrows():
        text = f"“{row['spelling']}” is read as “{row['bidder']}”: both stand for one bid of one contract"
        yield Finding("spelling_differs", "note", text, place=done.place(done.rows.iloc[0]))

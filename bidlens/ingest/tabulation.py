"""Priced rows to the tables of the cost record: contracts, items, bids, prices, the estimate and the bidders."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from bidlens.errors import Place
from bidlens.findings import Finding
from bidlens.ingest import totals
from bidlens.ingest.cells import constant, renamed, whole
from bidlens.ingest.layout import cell_words
from bidlens.ingest.numbering import first_of_each, numbered, times_before
from bidlens.ingest.priced import PricedRows, structures_named
from bidlens.ingest.rules import AS_READ, Award, BidRules, award_of, kept_apart
from bidlens.side_by_side import side_by_side
from bidlens.units import standard_unit

LETTING = ["contract_id", "letting_date"]


@dataclass(slots=True, eq=False)
class Tabulation:
    """A bid tab put in order; the frames are still numbered, and become tables in `tables`.

    rows : the priced rows with `letting`, `item` and `bid` (numbers from 0; bid is -1 for the estimate), `extension`
        (2 decimals) and `blank` (no price, no extension, not marked as no bid).
    items : one row per item, its first row, with `line` made unique. bids : one row per bid, its first row, with
        status, totals in whole cents and ranks.
    """

    file: str
    rows: pd.DataFrame
    lettings: pd.DataFrame
    items: pd.DataFrame
    bids: pd.DataFrame
    spellings: pd.DataFrame
    award: Award = field(default_factory=Award)
    findings: list[Finding] = field(default_factory=list)

    def place(self, row: pd.Series) -> Place:
        """Where a row of any of the frames stands in the file."""
        return Place(self.file, str(row["source_sheet"]) or None, int(row["source_row"]))


def tabulate(priced: PricedRows, file: str, rules: BidRules = AS_READ) -> Tabulation:
    """Number lettings, items and bids, correct the extensions, add up and rank.

    Raises BadValue if the award is to rest on a schedule that the file does not have.
    """
    frame = _entered(priced.frame)
    award = award_of(rules, frame["schedule"].cat.categories, file)
    letting = numbered(frame["contract_id"].cat.codes.to_numpy(), _day_codes(frame["letting_date"]))
    bidder, spellings = _one_name_per_bid(frame, letting)
    estimate = frame["is_estimate"].to_numpy()
    bid = np.full(len(frame), -1, dtype=np.int64)
    bid[~estimate] = numbered(letting[~estimate], bidder.codes[~estimate])
    line = _lines(frame, letting, priced.has_line)
    repeat = times_before(line, bid, letting)
    item = numbered(line, repeat) if repeat.any() else line
    rows = frame.assign(bidder=bidder, letting=letting, bid=bid, item=item, repeat=repeat)
    rows = rows.assign(apart=kept_apart(rows, award))
    made = side_by_side(len(rows), {"items": partial(_items, rows, priced.has_line), "rows": partial(_extend, rows)})
    items, rows = made["items"], made["rows"]
    bids = _bids(rows, priced, award)
    return Tabulation(file, rows, _lettings(rows, bids, award), items, bids, spellings, award, list(priced.findings))


def _entered(frame: pd.DataFrame) -> pd.DataFrame:
    """The bidders' unit prices as a rule enters them, where one applies; `by_rule` marks those it changed."""
    if "entered_price" not in frame:
        return frame.assign(by_rule=False)
    changed = (frame["entered_price"] != frame["unit_price"]).fillna(False).to_numpy(bool) & ~frame["is_estimate"]
    return frame.assign(unit_price=frame["unit_price"].where(~changed, frame["entered_price"]), by_rule=changed)


def _day_codes(days: pd.Series) -> np.ndarray:
    return totals.arrow(days).cast(pa.int32()).to_numpy(zero_copy_only=False)


# --- bidders ------------------------------------------------------------------------------------------------------

_NO_WORDS = frozenset({"and"})
_SUFFIXES = frozenset(
    {"inc", "incorporated", "llc", "lc", "lp", "llp", "co", "company", "corp", "corporation", "ltd", "the", "and"}
)


def _key(name: str, without: frozenset[str]) -> str:
    letters = "".join(letter if letter.isalnum() else " " for letter in name.lower().replace(".", "").replace("'", ""))
    return "".join(word for word in letters.split() if word not in without)


def _one_name_per_bid(rows: pd.DataFrame, letting: np.ndarray) -> tuple[pd.Categorical, pd.DataFrame]:
    """One spelling for each bid: two in one letting are one bidder where they differ only in case and punctuation, or
    only in the legal form and the file gives both the same place. Names in different lettings are left alone.

    Returns the bidder of each row, and the bidders (columns bidder, spelling).
    """
    bidder = rows["bidder"].array
    offered = ~rows["is_estimate"].to_numpy()
    names = bidder.categories[np.unique(bidder.codes[offered])].tolist()
    loose = {name: _key(name, _SUFFIXES) for name in names}
    chosen: dict[str, str] = {}
    if len(set(loose.values())) < len(names):
        seen = pd.DataFrame({"letting": letting, "bidder": bidder.astype("str"), "order": rows["order"]})[offered]
        chosen = _same_bidders(seen, loose)
        bidder = renamed(bidder, [_end_of(chosen, name) for name in bidder.categories])
    return bidder, pd.DataFrame({"bidder": [_end_of(chosen, name) for name in names], "spelling": names})


def _same_bidders(seen: pd.DataFrame, loose: dict[str, str]) -> dict[str, str]:
    """Spelling -> the commoner spelling it stands for, where both are one bid of one letting."""
    counts = seen["bidder"].value_counts()
    pairs = seen.drop_duplicates()
    strict = pairs.assign(key=pairs["bidder"].map({name: _key(name, _NO_WORDS) for name in loose}))
    by_place = pairs[pairs["order"].notna()].assign(key=lambda frame: frame["bidder"].map(loose))
    chosen: dict[str, str] = {}
    for frame, by in ((strict, ["letting", "key"]), (by_place, ["letting", "order", "key"])):
        doubled = frame[frame.duplicated(by, keep=False)]
        for _, group in doubled.groupby(by, sort=False):
            same = sorted(set(group["bidder"]), key=lambda name: (-counts[name], name))
            chosen |= dict.fromkeys(same[1:], same[0])
    return chosen


def _end_of(chosen: dict[str, str], name: str) -> str:
    seen = {name}
    while name in chosen and chosen[name] not in seen:
        name = chosen[name]
        seen.add(name)
    return name


# --- items --------------------------------------------------------------------------------------------------------


def _lines(rows: pd.DataFrame, letting: np.ndarray, has_line: bool) -> np.ndarray:
    """Number of the line of each row, whoever bids it. Where the file numbers no lines, the same code, text, unit and
    quantity are the same line; the second time a bidder has them, they are a second line.
    """
    names = ["schedule", *(["line"] if has_line else ["item_code", "description", "pay_unit"])]
    keys = [letting, *(rows[name].cat.codes.to_numpy() for name in names)]
    return numbered(*keys) if has_line else numbered(*keys, whole(totals.arrow(rows["quantity"])))


def _items(rows: pd.DataFrame, has_line: bool) -> pd.DataFrame:
    items = rows.iloc[first_of_each(rows["item"].to_numpy())].reset_index(drop=True)
    if len(rows["tail"].cat.categories) > 1:
        tail = rows["tail"].astype("str").groupby(rows["item"].to_numpy()).max()
        joined = (items["description"].astype("str") + " " + tail).str.strip()
        items = items.assign(description=pd.Categorical(joined))
    if not has_line:
        number = items.groupby("letting", sort=False).cumcount().to_numpy()
        names = pd.Index([str(at + 1) for at in range(int(number.max()) + 1)], dtype="str")
        return items.assign(line=pd.Categorical.from_codes(number, names), numbered=False)
    again = items["repeat"] > 0
    if not again.any():
        return items.assign(numbered=True)
    line = items["line"].astype("str")
    line = _unique(items, line.where(~again, line + "-" + (items["repeat"] + 1).astype("str")))
    return items.assign(line=line.astype("category"), numbered=True)


def _unique(items: pd.DataFrame, line: pd.Series) -> pd.Series:
    """Lines unique within their schedule, should a made-up number meet one of the file's own."""
    key = items[["letting", "schedule"]].assign(line=line)
    while key.duplicated().any():
        key["line"] = key["line"].where(~key.duplicated(), key["line"] + "x")
    return key["line"]


def _extend(rows: pd.DataFrame) -> pd.DataFrame:
    """Corrected extensions at the quantity of the item's first row; blank unit prices worked out from a printed
    extension."""
    item = rows["item"].to_numpy()
    quantity = totals.arrow(rows["quantity"]).take(pa.array(first_of_each(item)[item]))
    price, printed = totals.arrow(rows["unit_price"]), totals.arrow(rows["extension_as_read"])
    extension = totals.extensions(quantity, price)
    told = rows["no_bid"].to_numpy()
    no_price = pc.is_null(price).to_numpy(zero_copy_only=False) & ~told
    worked_out = no_price & (whole(printed) != 0) & (whole(quantity) != 0)
    if worked_out.any():
        price = totals.prices_from_extensions(price, printed, quantity, worked_out)
        extension = pc.if_else(pa.array(worked_out), printed, extension)
    return rows.assign(
        unit_price=totals.column(price),
        extension=totals.column(extension),
        blank=no_price & ~worked_out,
        worked_out=worked_out,
    )


# --- bids ---------------------------------------------------------------------------------------------------------


def _bids(rows: pd.DataFrame, priced: PricedRows, award: Award) -> pd.DataFrame:
    """One row per bid: status, totals (whole cents) and ranks. What is kept apart is not in the totals."""
    offered = rows["bid"].to_numpy() >= 0
    where = slice(None) if offered.all() else np.flatnonzero(offered)
    bid = rows["bid"].to_numpy()[where]
    bids = rows.iloc[np.flatnonzero(offered)[first_of_each(bid)]].reset_index(drop=True)
    count, base = len(bids), ~rows["apart"].to_numpy()[where]
    corrected, printed = whole(totals.arrow(rows["extension"])), totals.arrow(rows["extension_as_read"])
    as_printed = np.where(totals.given(printed), whole(printed), corrected)
    bids = bids.assign(
        corrected=totals.sums(np.where(base, corrected[where], 0), bid, count),
        summed=totals.sums(np.where(base, as_printed[where], 0), bid, count),
        blanks=np.bincount(bid, rows["blank"].to_numpy()[where] & base, count).astype(int),
        no_bids=np.bincount(bid, rows["no_bid"].to_numpy()[where] & base, count).astype(int),
        lines=np.bincount(bid, base, count).astype(int),
    )
    (status, status_from), stated = (
        _statuses(bids),
        _printed_totals(rows["bid_total"].iloc[where], bid, bids, priced, award),
    )
    as_read = stated.fillna(bids["summed"]).astype("int64").to_numpy()
    ranked, letting = (status == "responsive").to_numpy(), bids["letting"].to_numpy()
    return bids.assign(
        status=status,
        status_from=status_from,
        printed=stated,
        as_read=as_read,
        rank_as_read=totals.ranks(as_read, letting, ranked),
        rank_corrected=totals.ranks(bids["corrected"].to_numpy(), letting, ranked),
    )


def _statuses(bids: pd.DataFrame) -> tuple[pd.Series, pd.Series]:
    """responsive unless the file says otherwise, a unit price is left blank, or an item is marked as not bid; and what
    made it other than responsive, the weightiest reason alone (a price typed later mends the first two).

    A bid without a place, where the agency gave place 1 to another, was not counted by it: irregular.
    """
    words = cell_words()
    why = pd.Series("", index=bids.index).mask(bids["blanks"] > 0, "unit price left blank")
    why = why.mask(bids["no_bids"] > 0, "item not bid").mask(without_place(bids), "no place in the order of bidders")
    status = pd.Series("responsive", index=bids.index).where(why == "", "irregular")
    told = bids["bid_status"].cat
    for word in ("irregular", "rejected", "withdrawn"):
        said = np.array([words.says(word, text) for text in told.categories], dtype=bool)
        if said.any():
            status, why = status.mask(said[told.codes], word), why.mask(said[told.codes], "as the file says")
    return status, why.mask(why == "")


def without_place(bids: pd.DataFrame) -> pd.Series:
    """Bids that the file's order of bidders leaves out, of lettings in which it gives another the first place.

    Where nobody has the first place, the bid without one may have lost it on the way into the file.
    """
    return bids["order"].isna() & (bids.groupby("letting")["order"].transform("min") == 1)


def _printed_totals(
    stated: pd.Series, bid: np.ndarray, bids: pd.DataFrame, priced: PricedRows, award: Award
) -> pd.Series:
    """The total the file prints for each bid, in whole cents; missing where it prints none.

    stated, bid : total repeated on each bidder's row, and the row's bid. A total that is the same on the rows of every
    bidder of a letting is the low bidder's.
    """
    if priced.printed_totals:
        return _totals_of_total_rows(bids, priced, award)
    on_rows = totals.arrow(stated)
    if on_rows.null_count == len(on_rows):
        return pd.Series(pd.NA, index=bids.index, dtype="Int64")
    known = totals.given(on_rows)
    by_bid = pd.Series(whole(on_rows)).where(known).groupby(bid)
    total, varies = by_bid.first(), by_bid.nunique() > 1
    total = total.where(~varies & (total > 0))
    of_letting = total.groupby(bids["letting"].to_numpy())
    shared = (of_letting.transform("nunique") == 1) & (of_letting.transform("size") > 1)
    return total.where(~shared | _first_in_order(bids)).astype("Int64")


def _totals_of_total_rows(bids: pd.DataFrame, priced: PricedRows, award: Award) -> pd.Series:
    """Total rows of the schedules that count, added up; missing where one of them prints none."""
    stated: dict[tuple[str, str], list[int | None]] = {}
    based = {contract for contract, schedule, _ in priced.printed_totals if award.counts(schedule)}
    for (contract, schedule, bidder), cents in priced.printed_totals.items():
        if contract in based and not award.counts(schedule):
            continue
        stated.setdefault((contract, bidder), []).append(cents)
    keys = zip(bids["contract_id"].astype("str"), bids["bidder"].astype("str"), strict=True)
    found = [stated.get(key, [None]) for key in keys]
    return pd.Series([None if None in cents else sum(cents) for cents in found], index=bids.index, dtype="Int64")  # type: ignore[arg-type]


def _first_in_order(bids: pd.DataFrame) -> pd.Series:
    """The bid in place 1, or with the smallest sum where the file gives no places."""
    by_sum = bids["summed"] == bids.groupby("letting")["summed"].transform("min")
    has_order = bids.groupby("letting")["order"].transform("count") > 0
    return (bids["order"] == 1).where(has_order, by_sum)


def _lettings(rows: pd.DataFrame, bids: pd.DataFrame, award: Award) -> pd.DataFrame:
    """One row per letting, its first row, with the award status and the schedules the owner lets it rest on."""
    lettings = rows.iloc[first_of_each(rows["letting"].to_numpy())].reset_index(drop=True)
    number = lettings["letting"]
    rejected = (bids["status"] == "rejected").groupby(bids["letting"]).all()
    status = pd.Series("not stated", index=lettings.index)
    status = status.where(~number.map(rejected).fillna(False).astype(bool), "rejected")
    rests_on = pd.Series(None, index=lettings.index, dtype="str")
    if award.chosen:
        named = rows.loc[~rows["apart"], ["letting", "schedule"]].drop_duplicates().astype({"schedule": "str"})
        counted = named[[award.counts(schedule) for schedule in named["schedule"]]]
        rests_on = number.map(counted.groupby("letting")["schedule"].agg(" + ".join)).replace("", None)
    status = status.where(~number.isin(_awarded(rows)), "awarded")
    return lettings.assign(status=status, award_rests_on=rests_on, structures_named=number.map(structures_named(rows)))


def _awarded(rows: pd.DataFrame) -> set[int]:
    """The lettings of which some row says that they were awarded."""
    words = cell_words()
    found: set[int] = set()
    for name in ("contract_status", "bid_status"):
        said = [
            words.says("awarded", text) and not words.says("not_awarded", text) for text in rows[name].cat.categories
        ]
        if any(said):
            found |= set(rows.loc[np.array(said)[rows[name].cat.codes], "letting"])
    return found


# --- the stored tables --------------------------------------------------------------------------------------------


def tables(done: Tabulation) -> dict[str, pd.DataFrame]:
    """The frames of the stored tables, without `batch_id`; items without their work category. Text is categories."""
    source = ["source_sheet", "source_row"]
    items, rows, bids = done.items, done.rows, done.bids
    units = items["pay_unit"].array
    lines = rows[[*LETTING, "bidder", "unit_price", "extension_as_read", "extension", *source]].assign(
        schedule=items["schedule"].array.take(rows["item"].to_numpy()),
        line=items["line"].array.take(rows["item"].to_numpy()),
    )
    estimate = rows["is_estimate"].to_numpy()
    alternate = np.zeros(len(items), dtype=bool)
    alternate[rows["item"].to_numpy()] = rows["apart"]
    once = estimate & ~rows["item"].where(rows["is_estimate"]).duplicated().to_numpy()
    found = {
        "contract": done.lettings[
            [*LETTING, "agency", "work", "status", "award_rests_on", "structures_named", *source]
        ].rename(columns={"work": "description"}),
        "contract_item": items[[*LETTING, "schedule", "line", "item_code", "description", "quantity", *source]].assign(
            pay_unit=renamed(units, [standard_unit(unit) for unit in units.categories]),
            pay_unit_as_read=units,
            alternate=alternate,
        ),
        "bid": bids[[*LETTING, "bidder", "status", "status_from", "rank_as_read", "rank_corrected", *source]].assign(
            total_as_read=totals.column(totals.money(bids["as_read"].to_numpy(), np.zeros(len(bids), dtype=bool))),
            total_corrected=totals.column(totals.money(bids["corrected"].to_numpy(), (bids["blanks"] > 0).to_numpy())),
        ),
        "bid_price": lines[~estimate],
        "estimate_price": lines[once].drop(columns="bidder"),
        "bidder": done.spellings,
    }
    return {name: _finish(frame, done.file) for name, frame in found.items()}


def _finish(frame: pd.DataFrame, file: str) -> pd.DataFrame:
    """The file's name on every row that has a place in it."""
    frame = frame.reset_index(drop=True)
    return frame.assign(source_file=constant(file, len(frame))) if "source_row" in frame else frame

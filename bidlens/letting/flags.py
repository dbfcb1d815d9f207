"""What is worth a look before the next letting. A flag describes a bid or a line; it is no evidence of wrongdoing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pandas as pd

from bidlens import wording
from bidlens.errors import Place
from bidlens.findings import Finding, Severity
from bidlens.letting import unbalanced
from bidlens.letting.contracts import at_least, cents, let
from bidlens.letting.triggers import Trigger, Triggers

#: What a flag says of itself in public.
FLAG_COLUMNS = ("code", "severity", "contract_id", "letting_date", "usd", "text", "do", "source", "where")


@dataclass(frozen=True, slots=True)
class Flag:
    """One thing worth a look. usd : dollars it is about, which flags of one kind are ranked by."""

    code: str
    severity: Severity
    contract_id: str
    letting_date: pd.Timestamp
    usd: float | None
    text: str
    do: str
    source: str
    place: Place | None

    def as_finding(self) -> Finding:
        return Finding(self.code, self.severity, self.text, self.do, self.place, self.contract_id)

    def as_dict(self) -> dict[str, Any]:
        """The public form."""
        return {
            "code": self.code, "severity": self.severity, "contract_id": self.contract_id,
            "letting_date": self.letting_date, "usd": self.usd, "text": self.text, "do": self.do,
            "source": self.source, "where": str(self.place) if self.place else None,
        }  # fmt: skip


_QUANTITY_FIRST = "Check the quantity first; if it stands, ask what the price covers."
_MEMO_1988 = "FHWA memo of 16 May 1988: when a price is far off, first check the quantity"


def flags(contracts: pd.DataFrame, lines: pd.DataFrame, triggers: Triggers) -> list[Flag]:
    """All flags of a period: whole bids first, then lines, each kind with the largest dollars first.

    contracts : CONTRACT_COLUMNS of the period. lines : their base lines with low, second and estimate.
    """
    counted = let(contracts)
    found = [*_of_bids(counted, triggers), *_noted(contracts), *_of_lines(counted, lines, triggers)]
    order = {code: place for place, code in enumerate(dict.fromkeys(flag.code for flag in found))}
    return sorted(found, key=lambda flag: (order[flag.code], -(flag.usd or 0.0), flag.letting_date, flag.contract_id))


def _of_bids(counted: pd.DataFrame, triggers: Triggers) -> Iterator[Flag]:
    for row in _rows(counted[counted["low_changed"]]):
        text = (
            f"{row['contract_id']}: as read {row['as_read_low_bidder']} was low with "
            f"{wording.usd(row['as_read_low_usd'], 2)}; "
            f"as corrected {row['low_bidder']} is, with {wording.usd(row['low_usd'], 2)}"
        )
        yield _flag("low_bidder_changed", "check", row, row["low_usd"], text, "See the corrected lines.",
                    "unit price governs over extension: OAR 731-005-0650(2)(b)")  # fmt: skip
    for row in _rows(counted[counted["tied_low"] > 1]):
        text = f"{row['contract_id']}: {row['tied_low']} bids share the first place at {wording.usd(row['low_usd'], 2)}"
        yield _flag("tie", "check", row, row["low_usd"], text, "The owner's rule for equal bids decides.", "")
    single = triggers["single_bid_far_from_estimate"]
    several = triggers["several_bidders_far_from_estimate"]
    far = _far(counted, single)
    for row, is_far in zip(_rows(counted), far, strict=True):
        if row["bids"] == 1:
            text = f"{row['contract_id']}: one bid, {wording.usd(row['low_usd'])}{_against(row)}"
            source = single.source if single.on and is_far else ""
            code = "single_bid_far_from_estimate" if source else "single_bid"
            yield _flag(code, "check", row, row["low_usd"], text, "See what kept others away.", source)
    far = _far(counted, several) & counted["bids"].ge(several.value("least_bids")).to_numpy()
    for row in _rows(counted[far]) if several.on else ():
        text = f"{row['contract_id']}: {row['bids']} bids, low {wording.usd(row['low_usd'])}{_against(row)}"
        gap = abs(row["low_usd"] - row["estimate_usd"])
        yield _flag("low_far_from_estimate", "check", row, gap, text, "See which lines explain it.", several.source)
    yield from _over_for_its_bids(counted, triggers["competition_by_bid_count"])
    yield from _longer_summary(counted, triggers["short_summary_suffices"])


def _far(counted: pd.DataFrame, trigger: Trigger) -> Any:
    share = trigger.value("share_of_estimate")
    return at_least(counted["low_usd"], counted["estimate_usd"], share).fillna(False).to_numpy(bool)


def short_summary_suffices(contracts: pd.DataFrame, trigger: Trigger) -> pd.Series:
    """Whether low bid and number of bids need only a short summary; missing where there is no estimate."""
    share = round(trigger.value("most_of_estimate") * 10_000)
    low = cents(contracts["low_usd"]) * 10_000 <= cents(contracts["estimate_usd"]) * share
    return (
        (low & contracts["bids"].ge(trigger.value("least_bids")))
        .astype("boolean")
        .where(contracts["estimate_usd"].notna())
    )


def _longer_summary(counted: pd.DataFrame, trigger: Trigger) -> Iterator[Flag]:
    short = short_summary_suffices(counted, trigger)
    for row in _rows(counted[(~short).fillna(False).to_numpy(bool)]) if trigger.on else ():
        text = (
            f"{row['contract_id']}: {wording.count(row['bids'], 'bid')}, low "
            f"{wording.usd(row['low_usd'])}{_against(row)}; "
            "under this test a short written summary would not do"
        )
        yield _flag("longer_summary", "note", row, row["low_usd"], text, "", trigger.source)


def _over_for_its_bids(counted: pd.DataFrame, trigger: Trigger) -> Iterator[Flag]:
    if not trigger.on:
        return
    most = {int(bids): float(share) for bids, share in trigger.values["most_over_estimate_by_bids"].items()}
    for row in _rows(counted[counted["estimate_usd"].notna()]):
        limit = most.get(int(row["bids"]))
        if limit is not None and row["low_over_estimate"] > limit:
            text = (
                f"{row['contract_id']}: {wording.count(row['bids'], 'bid')}, low "
                f"{wording.usd(row['low_usd'])}{_against(row)}; "
                f"the setting, unverified, allows {wording.percent(limit)}"
            )
            yield _flag("over_estimate_for_its_bids", "check", row, row["low_usd"], text, "", trigger.source)


def _noted(contracts: pd.DataFrame) -> Iterator[Flag]:
    for row in _rows(contracts[(contracts["status"] == "rejected")]):
        text = f"{row['contract_id']}: all bids were rejected; they are in no count or average"
        yield _flag("all_bids_rejected", "note", row, row["low_usd"], text, "", "")
    for row in _rows(contracts[contracts["set_aside_bids"] > 0]):
        n = wording.count(row["set_aside_bids"], "bid")
        text = f"{row['contract_id']}: {n} irregular, rejected or withdrawn; not ranked and not counted"
        yield _flag("bids_set_aside", "note", row, None, text, "", "43 TAC 9.15(b)")


def _of_lines(counted: pd.DataFrame, lines: pd.DataFrame, triggers: Triggers) -> Iterator[Flag]:
    key = ["contract_id", "letting_date"]
    of_these = lines.merge(counted[key], on=key, how="inner", validate="m:1")
    test, turn = triggers["unbalanced_line"], triggers["quantity_change_that_turns_the_order"]
    met = unbalanced.line_test(of_these, test)
    turning = unbalanced.turning_lines(of_these, met, turn) if turn.on else met.head(0)
    for row in _rows(turning):
        yield _flag("may_be_materially_unbalanced", "check", row, row["low_usd"], _turning(row), _QUANTITY_FIRST,
                    f"23 CFR 635.102; {turn.source}")  # fmt: skip
    for row in _rows(met) if test.on else ():
        text = (
            f"{row['contract_id']}: line {row['line']}, {row['description']}: bid {wording.usd(row['low_usd'])}, "
            f"estimated "
            f"{wording.usd(row['estimate_usd'])} ({wording.percent(row['low_over_estimate'])}, "
            f"{wording.signed(row['difference_usd'], 0, '$')})"
        )
        yield _flag("mathematically_unbalanced", "check", row, abs(row["difference_usd"]), text, _QUANTITY_FIRST,
                    f"23 CFR 635.102; {test.source}; {_MEMO_1988}")  # fmt: skip


def _turning(row: dict[str, Any]) -> str:
    quantity = row["quantity"] + row["break_even_quantity"]
    return (
        f"{row['contract_id']}: line {row['line']}, {row['description']}: at {wording.number(quantity)} "
        f"{row['pay_unit']} "
        f"instead of {wording.number(row['quantity'])} ({wording.percent(row['break_even_ratio'])}) "
        f"{row['second_bidder']} "
        f"and {row['low_bidder']} would cost the same; beyond it the order turns"
    )


def _against(row: dict[str, Any]) -> str:
    ratio = row["low_over_estimate"]
    if pd.isna(ratio):
        return ", no estimate to compare"
    shown = wording.half_up(abs(ratio) * 100)
    return f", {shown}% {'over' if ratio > 0 else 'under'} the estimate" if shown else ", on the estimate"


def _flag(
    code: str, severity: Severity, row: dict[str, Any], usd: float | None, text: str, do: str, source: str
) -> Flag:
    file, sheet, line = (row.get(name) for name in ("source_file", "source_sheet", "source_row"))
    place = (
        None if file is None or pd.isna(file) else Place(str(file), sheet or None, None if pd.isna(line) else int(line))
    )
    amount = None if usd is None or pd.isna(usd) else round(float(usd), 2)
    return Flag(code, severity, row["contract_id"], row["letting_date"], amount, text, do, source, place)


def _rows(frame: pd.DataFrame) -> list[dict[str, Any]]:
    return [{str(name): value for name, value in row.items()} for row in frame.to_dict("records")]

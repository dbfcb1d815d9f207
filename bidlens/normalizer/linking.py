"""Which letting and which schedules paid for each structure, and the share of them that is its own.

Each step takes the structures still in play and hands on a `Step`: those that remain, those left out with the reason,
and findings. A structure is left out rather than guessed at.
"""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from bidlens import wording
from bidlens.findings import Finding
from bidlens.normalizer.area import known_deck_area_sf

LETTING = ["contract_id", "letting_date"]
STRUCTURE = [*LETTING, "structure_id"]
SCHEDULE = [*LETTING, "schedule"]
LEFT_OUT_COLUMNS = ("contract_id", "structure_id", "reason")
#: Where a structure's size is from, if the list has the bridge before or after the one that was built.
ANOTHER_BRIDGE = "another bridge"


@dataclass(frozen=True, slots=True, eq=False)
class Step:
    """What a step leaves: the frame it works on, the structures left out (LEFT_OUT_COLUMNS), and findings."""

    frame: pd.DataFrame
    left_out: pd.DataFrame
    findings: list[Finding]


def left_out_rows(structures: pd.DataFrame, reason: pd.Series) -> pd.DataFrame:
    """The structures that have a reason (same row index; missing means kept), one row each."""
    out = structures.assign(reason=reason)[list(LEFT_OUT_COLUMNS)]
    return out[out["reason"].notna()].drop_duplicates().astype("str")


def _no_reason(frame: pd.DataFrame) -> pd.Series:
    return pd.Series(pd.NA, index=frame.index, dtype="str")


def _looked_up(keys: pd.Series, values: pd.Series) -> pd.Series:
    """The value of each key, missing where there is none; keeps the type of `values` and the row index of `keys`."""
    return values.reindex(keys.to_numpy()).set_axis(keys.index)


def link_lettings(structures: pd.DataFrame, lettings: pd.DataFrame) -> Step:
    """Give each structure the letting that paid for it.

    structures : contract_id, structure_id, letting_date (may be missing).
    lettings : contract_id, letting_date, status.
    A missing date means the only letting of the contract, else the latest whose bids were not all rejected (Finding).
    Left out: a contract not on record, a date it was not let on, a letting whose bids were all rejected.
    """
    in_order = lettings.sort_values("letting_date", kind="stable")
    dates = in_order.groupby("contract_id")["letting_date"]
    live = in_order[in_order["status"] != "rejected"].groupby("contract_id")["letting_date"].last()
    of_contract = structures["contract_id"]
    assumed = _looked_up(of_contract, live).fillna(_looked_up(of_contract, dates.last()))
    times_let = _looked_up(of_contract, dates.size()).fillna(0)
    stated = structures["letting_date"]
    linked = structures.assign(letting_date=stated.fillna(assumed))
    status = lettings[[*LETTING, "status"]].rename(columns={"status": "letting_status"})
    linked = linked.merge(status, on=LETTING, how="left", validate="m:1").set_axis(structures.index)

    contract = linked["contract_id"]
    reason = _no_reason(linked)
    reason = reason.mask(linked["letting_status"] == "rejected", "all bids of contract " + contract + " were rejected")
    days = in_order.assign(day=[wording.day(date) for date in in_order["letting_date"]]).astype({"day": "str"})
    let_on = days.groupby("contract_id")["day"].agg(", ".join)
    other_day = linked["letting_status"].isna() & (times_let > 0)
    reason = reason.mask(
        other_day,
        "contract "
        + contract
        + " was let on "
        + _looked_up(contract, let_on).fillna("")
        + ", not on the date the list states",
    )
    reason = reason.mask(times_let == 0, "no bid tab of contract " + contract + " is on record")

    chosen = linked[stated.isna() & (times_let > 1) & reason.isna()]
    findings = [
        Finding(
            "letting_chosen",
            "check",
            f"Contract {row['contract_id']} was let more than once and the structure list gives no date for "
            f"{row['structure_id']}: the letting of {wording.day(row['letting_date'])} was taken.",
            "State the letting date in the structure list.",
            contract_id=row["contract_id"],
        )
        for row in chosen.to_dict("records")
    ]
    kept = linked[reason.isna()].drop(columns="letting_status")
    return Step(kept, left_out_rows(linked, reason), findings)


def without_alternates(items: pd.DataFrame, structures: pd.DataFrame) -> Step:
    """The lines of the base bid, and of the alternates that a structure names as what paid for it.

    items : SCHEDULE columns, extension and alternate (missing: not one). structures : SCHEDULE columns.
    Nothing is left out but lines; a Finding tells the dollars of each letting's alternates that were not taken.
    """
    named = pd.MultiIndex.from_frame(structures[["contract_id", "schedule"]])
    is_named = pd.MultiIndex.from_frame(items[["contract_id", "schedule"]]).isin(named)
    dropped = items["alternate"].fillna(False).astype(bool) & ~is_named
    sums = items[dropped].groupby(SCHEDULE)["extension"].sum().reset_index()
    findings = [
        Finding(
            "alternate_left_out",
            "note",
            f"Contract {row['contract_id']}: {wording.usd(row['extension'])} of the alternate “{row['schedule']}” is "
            "in no cost.",
            "If it was awarded, name it as the schedule in the structure list.",
            contract_id=row["contract_id"],
        )
        for row in sums.to_dict("records")
    ]
    return Step(items[~dropped], left_out_rows(structures, _no_reason(structures)), findings)


def link_schedules(structures: pd.DataFrame, items: pd.DataFrame, *, whole_contract: bool) -> Step:
    """Give each structure the schedules that pay for it: one row per structure and schedule.

    structures : STRUCTURE columns and schedule (empty: not stated).
    items : SCHEDULE columns of priced lines.
    A stated schedule pays alone. Where none is stated every schedule pays that no other structure of the contract
    names. On a whole-contract basis every schedule pays for every structure.
    Left out: a letting without priced lines, a schedule the bid tab does not hold, nothing left to pay.
    """
    on_record = items[SCHEDULE].drop_duplicates().rename(columns={"schedule": "pays"})
    named = structures[[*LETTING, "schedule"]].rename(columns={"schedule": "pays"}).drop_duplicates()
    named = named[named["pays"] != ""].assign(is_named=True)
    on_record = on_record.merge(named, on=[*LETTING, "pays"], how="left", validate="1:1")
    pairs = structures.reset_index(names="row").merge(on_record, on=LETTING, how="left", validate="m:m")
    own = (pairs["schedule"] == pairs["pays"]) | ((pairs["schedule"] == "") & pairs["is_named"].isna())
    pays = pairs["pays"].notna() & (own | whole_contract)

    reason = _no_reason(structures)
    unpaid = ~structures.index.isin(pairs.loc[pays, "row"])
    has_lines = structures.index.isin(pairs.loc[pairs["pays"].notna(), "row"])
    stated = structures["schedule"] != ""
    reason = reason.mask(unpaid & ~stated, "every schedule of the contract is named by another structure")
    reason = reason.mask(
        unpaid & stated,
        "schedule " + structures["schedule"] + " is not in the bid tab of contract " + structures["contract_id"],
    )
    reason = reason.mask(~has_lines, "the low bid of contract " + structures["contract_id"] + " has no priced line")
    paid = pairs[pays].drop(columns=["row", "schedule", "is_named"]).rename(columns={"pays": "schedule"})
    paid = paid.drop_duplicates([*STRUCTURE, "schedule"]).reset_index(drop=True)
    return Step(paid, left_out_rows(structures, reason), [])


def share_by_area(payments: pd.DataFrame) -> Step:
    """Add deck_area_sf and area_share: the part of a schedule's dollars that is a structure's own.

    payments : one row per structure and schedule, with deck_area_sf, length_ft and width_ft.
    Several structures on one schedule share it by deck area, with a Finding; where one of them has no known area,
    none of them can be priced. Left out: those, and a structure without a deck area.
    """
    known = payments.assign(deck_area_sf=known_deck_area_sf(payments))
    by_schedule = known.groupby(SCHEDULE, dropna=False)
    missing_beside = by_schedule["deck_area_sf"].transform(lambda area: area.isna().sum()) > 0
    no_area = known["deck_area_sf"].isna()
    reason = _no_reason(known)
    reason = reason.mask(missing_beside, "it shares a schedule with a structure whose deck area is not known")
    reason = reason.mask(no_area, "no deck area: give the area, or length and out-to-out width")
    if "geometry_from" in known:
        other = no_area & (known["geometry_from"] == ANOTHER_BRIDGE)
        told = "the structure list has another bridge than the one built: give its length, width and type with the link"
        reason = reason.mask(other, told)
    # A structure paid by several schedules is priced whole or not at all.
    ids = pd.MultiIndex.from_frame(known[STRUCTURE])
    dropped = ids.isin(ids[reason.notna()])
    shared = known.assign(
        area_share=known["deck_area_sf"] / by_schedule["deck_area_sf"].transform("sum"),
        sharing=by_schedule["structure_id"].transform("size"),
    )[~dropped]
    findings = [_sharing_finding(group) for _, group in shared[shared["sharing"] > 1].groupby(SCHEDULE, sort=True)]
    return Step(shared.drop(columns="sharing").reset_index(drop=True), left_out_rows(known, reason), findings)


def _sharing_finding(group: pd.DataFrame) -> Finding:
    contract_id, schedule = group["contract_id"].iloc[0], group["schedule"].iloc[0]
    part = f", schedule {schedule}," if schedule else ""
    shares = ", ".join(
        f"{row['structure_id']} {wording.number(100 * row['area_share'])}%"
        for row in group.sort_values("structure_id").to_dict("records")
    )
    types = group["superstructure"].nunique()
    mixed = f" They are of {types} types, which deck area does not tell apart." if types > 1 else ""
    return Finding(
        "schedule_shared",
        "check" if types > 1 else "note",
        f"Contract {contract_id}{part} pays for {len(group)} structures; its dollars are shared by deck area "
        f"({shares}).{mixed}",
        "If the bid tab has a schedule for each, name it in the structure list.",
        contract_id=contract_id,
    )

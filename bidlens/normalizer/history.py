"""The unit-cost history: what each structure cost per square foot of deck, as bid and in dollars of one quarter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import pandas as pd

from bidlens import quarters, wording
from bidlens.findings import Finding
from bidlens.normalizer import by_hand, costs, escalation, linking
from bidlens.normalizer.bases import DEFAULT_BASIS, CostBasis, basis_named
from bidlens.normalizer.linking import LETTING, STRUCTURE
from bidlens.reference import CostIndex

_DATE, _NUMBER, _TEXT, _ROW = "datetime64[us]", "float64", "str", "Int64"

#: Columns of the history and their types; one row per structure and letting.
HISTORY_COLUMNS = {
    "contract_id": _TEXT, "structure_id": _TEXT, "name": _TEXT, "letting_date": _DATE, "superstructure": _TEXT,
    "deck_area_sf": _NUMBER, "length_ft": _NUMBER, "width_ft": _NUMBER, "spans": _NUMBER, "span_ft": _NUMBER,
    "skew_deg": _NUMBER, "bidders": _NUMBER, "low_bidder": _TEXT, "basis": _TEXT, "basis_usd": _NUMBER,
    "unit_cost": _NUMBER, "letting_quarter": _TEXT, "dollars_of": _TEXT, "index_ratio": _NUMBER,
    "unit_cost_adjusted": _NUMBER, "area_share": _NUMBER, "unclassified_usd": _NUMBER, "source_file": _TEXT,
    "source_sheet": _TEXT, "source_row": _ROW, "typed_usd": _NUMBER, "linked_by": _TEXT, "link_reason": _TEXT,
    "geometry_from": _TEXT,
}  # fmt: skip

#: Columns of the costs by category; one row per structure, letting and work category.
CATEGORY_COST_COLUMNS = {
    "contract_id": _TEXT, "structure_id": _TEXT, "letting_date": _DATE, "superstructure": _TEXT,
    "work_category": _TEXT, "unit_cost": _NUMBER, "unit_cost_adjusted": _NUMBER,
}  # fmt: skip

_LEFT_OUT_COLUMNS = dict.fromkeys(linking.LEFT_OUT_COLUMNS, _TEXT)

_ITEM_COLUMNS = {
    "contract_id": _TEXT, "letting_date": _DATE, "schedule": _TEXT, "line": _TEXT, "item_code": _TEXT,
    "description": _TEXT, "pay_unit": _TEXT, "quantity": _NUMBER, "unit_price": _NUMBER, "extension": _NUMBER,
    "work_category": _TEXT, "category_rule": _TEXT, "alternate": "boolean", "source_file": _TEXT,
    "source_sheet": _TEXT, "source_row": _ROW, "by_hand": _TEXT,
}  # fmt: skip
_LETTING_COLUMNS = {
    "contract_id": _TEXT, "letting_date": _DATE, "status": _TEXT, "bidders": _NUMBER, "low_bidder": _TEXT,
}  # fmt: skip
_STRUCTURE_COLUMNS = {
    "structure_id": _TEXT, "contract_id": _TEXT, "letting_date": _DATE, "schedule": _TEXT, "name": _TEXT,
    "superstructure": _TEXT, "deck_area_sf": _NUMBER, "length_ft": _NUMBER, "width_ft": _NUMBER, "spans": _NUMBER,
    "span_ft": _NUMBER, "skew_deg": _NUMBER, "linked_by": _TEXT, "link_reason": _TEXT, "geometry_from": _TEXT,
}  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class UnitCostHistory:
    """Unit costs on one basis in dollars of one quarter.

    frame : HISTORY_COLUMNS, one row per structure and letting, in letting order; $/sf of deck. typed_usd : dollars of
        the basis that rest on unit prices typed by hand; linked_by, link_reason, geometry_from : how the structure came
        to its contract and its size, see `by_hand`.
    category_costs : CATEGORY_COST_COLUMNS for the same structures; every category their schedules bid, in $/sf.
    left_out : contract_id, structure_id, reason; every structure given is in `frame` or here.
    """

    frame: pd.DataFrame
    category_costs: pd.DataFrame
    basis: str
    dollars_of: str
    index_title: str
    findings: list[Finding] = field(default_factory=list)
    left_out: pd.DataFrame = field(default_factory=lambda: _typed(pd.DataFrame(), _LEFT_OUT_COLUMNS))


def unit_cost_history(
    items: pd.DataFrame,
    lettings: pd.DataFrame,
    structures: pd.DataFrame,
    index: CostIndex,
    basis: str = DEFAULT_BASIS,
    dollars_of: str | None = None,
    *,
    include_mobilization: bool = False,
) -> UnitCostHistory:
    """What each structure cost per square foot of deck on one basis, as bid and in dollars of one quarter.

    items : the low responsive bidder's priced lines, with work_category.
    lettings : one row per contract and letting, with status, bidders and low_bidder.
    structures : structures with the contract that paid for them; letting_date and schedule may be missing.
    index : reaching every letting date, by forecast if need be.
    dollars_of : quarter the adjusted prices are in; the last published quarter of the index when None.
    include_mobilization : add the contract's mobilization in proportion to the dollars of the basis.
    Raises BadValue for an unknown basis, MissingReference for a quarter outside the index.
    """
    found = unit_cost_histories(
        items, lettings, structures, index, [basis], dollars_of, include_mobilization=include_mobilization
    )
    return found[basis]


def unit_cost_histories(
    items: pd.DataFrame,
    lettings: pd.DataFrame,
    structures: pd.DataFrame,
    index: CostIndex,
    bases: Sequence[str],
    dollars_of: str | None = None,
    *,
    include_mobilization: bool = False,
) -> dict[str, UnitCostHistory]:
    """`unit_cost_history` on several bases by name: what they share is worked out once."""
    wanted = [basis_named(basis) for basis in bases]
    paid = {whole: paid_lines(items, lettings, structures, whole) for whole in {one.whole_contract for one in wanted}}
    return {
        one.name: history_of(
            paid[one.whole_contract], index, one.name, dollars_of, include_mobilization=include_mobilization
        )
        for one in wanted
    }


def history_of(
    paid: PaidLines,
    index: CostIndex,
    basis: str = DEFAULT_BASIS,
    dollars_of: str | None = None,
    *,
    include_mobilization: bool = False,
) -> UnitCostHistory:
    """`unit_cost_history` of lines that are linked to their structures already.

    paid : of `paid_lines`, for whole contracts where the basis is one.
    """
    wanted = basis_named(basis)
    base_quarter = quarters.parse_quarter(dollars_of) if dollars_of else index.last_published
    index.at(base_quarter)
    basis_lines = _basis_lines(paid, wanted)
    left_out = pd.concat([paid.left_out, _without_basis_work(paid, basis_lines, wanted)], ignore_index=True)
    if include_mobilization:
        added = costs.mobilization_lines(paid.items, basis_lines, wanted)
        basis_lines = pd.concat([basis_lines, added], ignore_index=True)

    frame = _price_structures(paid, basis_lines, wanted)
    frame = escalation.with_adjusted_cost(frame, index, base_quarter)
    frame = _typed(frame.sort_values([*LETTING[::-1], "structure_id"], kind="stable"), HISTORY_COLUMNS)
    findings = [
        *paid.findings,
        *_history_findings(paid, frame, wanted),
        *by_hand.history_findings(frame, basis_lines),
        *escalation.index_findings(frame, index),
    ]
    category_costs = _category_costs(paid.lines, frame)
    left_out = _typed(left_out, _LEFT_OUT_COLUMNS)
    return UnitCostHistory(frame, category_costs, wanted.name, base_quarter, index.title, findings, left_out)


def rows_of_basis(
    items: pd.DataFrame, structures: pd.DataFrame, structure: pd.Series, letting_date: pd.Timestamp, basis: str
) -> pd.DataFrame:
    """The low bid's lines behind one structure's cost: item columns, share and dollars; dollars sum to basis_usd.

    structure : its row of `structures`; letting_date: of the letting wanted. Empty where the structure is left out.
    """
    contract_id, date = structure["contract_id"], pd.Timestamp(letting_date)
    known = items[items["contract_id"] == contract_id]
    lettings = known[LETTING].drop_duplicates().assign(status="awarded")
    same_contract = structures[structures["contract_id"] == contract_id]
    wanted = basis_named(basis)
    paid = paid_lines(known, lettings, same_contract, wanted.whole_contract)
    lines = _basis_lines(paid, wanted)
    mine = (lines["structure_id"] == structure["structure_id"]) & (lines["letting_date"] == date)
    return lines[mine].reset_index(drop=True)


def ratio_of_sums(frame: pd.DataFrame, unit_cost: str = "unit_cost") -> float:
    """Average $/sf of several structures: all their dollars over all their deck area. NaN where there is none.

    unit_cost : column of $/sf to average; rows without it do not count. The plain mean of unit costs, or of the
    averages of several types, is not an average cost. Source: FHWA bridge replacement cost submittal criteria.
    """
    known = frame[unit_cost].notna() & frame["deck_area_sf"].notna()
    cost, deck = frame[unit_cost][known], frame["deck_area_sf"][known]
    area = float(deck.sum())
    return float((cost * deck).sum()) / area if area > 0 else float("nan")


@dataclass(frozen=True, slots=True, eq=False)
class PaidLines:
    """Structures linked to their lettings and to the lines that pay for them: what every basis and quarter starts from.

    items : lines that count. structures : one row each, still in play. lines : structure x line, with dollars.
    lettings : as given, in their types.
    """

    lettings: pd.DataFrame
    items: pd.DataFrame
    structures: pd.DataFrame
    lines: pd.DataFrame
    left_out: pd.DataFrame
    findings: list[Finding]


def paid_lines(
    items: pd.DataFrame, lettings: pd.DataFrame, structures: pd.DataFrame, whole_contract: bool
) -> PaidLines:
    """Link structures to lettings and schedules and hand each the lines that pay for it.

    Frames as for `unit_cost_history`. whole_contract : all lines of a contract are handed out, as for such a basis.
    """
    items, lettings = _typed(items, _ITEM_COLUMNS), _typed(lettings, _LETTING_COLUMNS)
    structures = _typed(structures, _STRUCTURE_COLUMNS)
    with_contract = structures[structures["contract_id"].fillna("") != ""]
    with_contract = with_contract.assign(schedule=with_contract["schedule"].fillna("")).reset_index(drop=True)
    of_these = items[items["contract_id"].isin(with_contract["contract_id"])]
    base = linking.without_alternates(of_these.assign(schedule=of_these["schedule"].fillna("")), with_contract)
    counted = costs.cost_lines(base.frame)
    let = linking.link_lettings(with_contract, lettings)
    scheduled = linking.link_schedules(let.frame, counted.items, whole_contract=whole_contract)
    shared = linking.share_by_area(scheduled.frame)
    lines = costs.lines_of_structures(counted.items, shared.frame)
    smallest_share = shared.frame.groupby(STRUCTURE)["area_share"].min().rename("area_share").reset_index()
    one_each = shared.frame.drop(columns=["area_share", "schedule"]).drop_duplicates(STRUCTURE)
    return PaidLines(
        lettings,
        counted.items,
        one_each.merge(smallest_share, on=STRUCTURE, how="left", validate="1:1"),
        lines.items,
        pd.concat([let.left_out, scheduled.left_out, shared.left_out], ignore_index=True),
        [*base.findings, *counted.findings, *let.findings, *shared.findings, *lines.findings],
    )


def _basis_lines(paid: PaidLines, basis: CostBasis) -> pd.DataFrame:
    """The lines of the basis of every structure that has such work, in the order of their source."""
    lines = paid.lines
    own = lines[basis.includes(lines["work_category"])]
    if basis.needs_any_of:
        needed = own.loc[own["work_category"].isin(basis.needs_any_of) & (own["dollars"] > 0), STRUCTURE]
        own = own.merge(needed.drop_duplicates(), on=STRUCTURE, how="inner", validate="m:1")
    return own


def _without_basis_work(paid: PaidLines, basis_lines: pd.DataFrame, basis: CostBasis) -> pd.DataFrame:
    """Structures whose schedules bid no work of this basis, with the reason."""
    sums = basis_lines.groupby(STRUCTURE)["dollars"].sum()
    has_dollars = pd.MultiIndex.from_frame(paid.structures[STRUCTURE]).isin(sums[sums > 0].index)
    needed = " or ".join(basis.needs_any_of)
    other_work = "a culvert or repair work" if "deck" in basis.needs_any_of else "a slab, a culvert or repair work"
    text = f"no {needed} were bid: {other_work}" if basis.needs_any_of else "no line of the contract has a price"
    reason = pd.Series(text, index=paid.structures.index, dtype="str").mask(has_dollars)
    return linking.left_out_rows(paid.structures, reason)


def _price_structures(paid: PaidLines, basis_lines: pd.DataFrame, basis: CostBasis) -> pd.DataFrame:
    """One row per structure with dollars in the basis: its dollars, unit cost, bidders and first source line."""
    by_structure = basis_lines.groupby(STRUCTURE, sort=False)
    dollars = by_structure["dollars"].sum().rename("basis_usd").reset_index()
    first = basis_lines.drop_duplicates(STRUCTURE)[[*STRUCTURE, "source_file", "source_sheet", "source_row"]]
    unclassified = paid.lines[paid.lines["work_category"] == costs.UNCLASSIFIED]
    unclassified = unclassified.groupby(STRUCTURE)["dollars"].sum().rename("unclassified_usd").reset_index()
    frame = (
        paid.structures.merge(dollars[dollars["basis_usd"] > 0], on=STRUCTURE, how="inner", validate="1:1")
        .merge(first, on=STRUCTURE, how="left", validate="1:1")
        .merge(unclassified, on=STRUCTURE, how="left", validate="1:1")
        .merge(by_hand.typed_dollars(basis_lines), on=STRUCTURE, how="left", validate="1:1")
        .merge(paid.lettings[[*LETTING, "bidders", "low_bidder"]], on=LETTING, how="left", validate="m:1")
    )
    one_span = frame["span_ft"].isna() & (frame["spans"] == 1)
    return frame.assign(
        basis=basis.name,
        unit_cost=frame["basis_usd"] / frame["deck_area_sf"],
        unclassified_usd=frame["unclassified_usd"].fillna(0.0),
        typed_usd=frame["typed_usd"].fillna(0.0),
        span_ft=frame["span_ft"].where(~one_span, frame["length_ft"]),
    )


def _category_costs(lines: pd.DataFrame, frame: pd.DataFrame) -> pd.DataFrame:
    """$/sf by work category of the structures in `frame`, as bid and adjusted."""
    by_category = lines.groupby([*STRUCTURE, "work_category"])["dollars"].sum().reset_index()
    facts = frame[[*STRUCTURE, "superstructure", "deck_area_sf", "index_ratio"]]
    joined = by_category.merge(facts, on=STRUCTURE, how="inner", validate="m:1")
    unit_cost = joined["dollars"] / joined["deck_area_sf"]
    priced = joined.assign(unit_cost=unit_cost, unit_cost_adjusted=unit_cost * joined["index_ratio"])
    return _typed(priced[priced["dollars"] != 0], CATEGORY_COST_COLUMNS)


def _history_findings(paid: PaidLines, frame: pd.DataFrame, basis: CostBasis) -> list[Finding]:
    """Beams missing from a beam bridge, and items in no work category."""
    findings = costs.unclassified_findings(paid.items, frame)
    if "beams" not in basis.categories:
        return findings
    with_beams = paid.lines[(paid.lines["work_category"] == "beams") & (paid.lines["dollars"] > 0)]
    has_beams = pd.MultiIndex.from_frame(frame[STRUCTURE]).isin(pd.MultiIndex.from_frame(with_beams[STRUCTURE]))
    is_beam_type = frame["superstructure"].str.contains("beam|girder", case=False, na=False)
    findings += [
        Finding(
            "beams_missing",
            "check",
            f"Contract {row['contract_id']}: {row['structure_id']} is on record as {row['superstructure']}, and "
            f"no beams were bid; its {wording.per_sf(row['unit_cost'])} may lack them.",
            "Look whether the beams were bought apart, or the type is another.",
            contract_id=row["contract_id"],
        )
        for row in frame[is_beam_type & ~has_beams].to_dict("records")
    ]
    return findings


def _typed(frame: pd.DataFrame, columns: dict[str, str]) -> pd.DataFrame:
    """Those columns in those types, missing ones empty; a new row index from 0."""
    out = frame.reindex(columns=list(columns)).reset_index(drop=True)
    for name in (name for name, kind in columns.items() if kind == _DATE):
        out[name] = pd.to_datetime(out[name])
    return out.astype(columns)

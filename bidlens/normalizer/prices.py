"""What each structure cost on one basis, as bid: what a history in the dollars of any quarter starts from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from bidlens import wording
from bidlens.findings import Finding
from bidlens.normalizer import by_hand, costs, linking
from bidlens.normalizer.bases import CostBasis
from bidlens.normalizer.columns import PRICE_COLUMNS, typed
from bidlens.normalizer.linking import LETTING, STRUCTURE
from bidlens.normalizer.paid import PaidLines, paid_lines


@dataclass(frozen=True, slots=True, eq=False)
class StructurePrices:
    """Structures priced on one basis, as bid.

    frame : PRICE_COLUMNS, one row per structure and letting, in letting order. lines : the lines of the basis behind
    it, mobilization included where it was asked for. left_out : structures of `paid` without such work among them.
    """

    paid: PaidLines
    basis: CostBasis
    frame: pd.DataFrame
    lines: pd.DataFrame
    left_out: pd.DataFrame
    findings: list[Finding]


def structure_prices(paid: PaidLines, basis: CostBasis, *, include_mobilization: bool = False) -> StructurePrices:
    """Price the structures of `paid` on a basis.

    paid : of `paid_lines`, for whole contracts where the basis is one.
    """
    lines = _lines_of_basis(paid, basis)
    left_out = pd.concat([paid.left_out, _without_basis_work(paid, lines, basis)], ignore_index=True)
    if include_mobilization:
        lines = pd.concat([lines, costs.mobilization_lines(paid.items, lines, basis)], ignore_index=True)
    frame = _price_structures(paid, lines, basis)
    frame = typed(frame.sort_values([*LETTING[::-1], "structure_id"], kind="stable"), PRICE_COLUMNS)
    findings = [*paid.findings, *_history_findings(paid, frame, basis), *by_hand.history_findings(frame, lines)]
    return StructurePrices(paid, basis, frame, lines, left_out, findings)


def prices_on(
    bases: Sequence[CostBasis],
    items: pd.DataFrame,
    lettings: pd.DataFrame,
    structures: pd.DataFrame,
    *,
    include_mobilization: bool = False,
) -> dict[str, StructurePrices]:
    """Price structures on several bases, by name: what they share is worked out once. Frames as for `paid_lines`."""
    paid = {
        whole: paid_lines(items, lettings, structures, whole_contract=whole)
        for whole in {one.whole_contract for one in bases}
    }
    return {
        one.name: structure_prices(paid[one.whole_contract], one, include_mobilization=include_mobilization)
        for one in bases
    }


def _lines_of_basis(paid: PaidLines, basis: CostBasis) -> pd.DataFrame:
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

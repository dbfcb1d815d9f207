"""What a unit cost rests on that was said by hand: prices typed in, links and sizes told. Marks and findings. Pure."""

from __future__ import annotations

import pandas as pd

from bidlens import wording
from bidlens.findings import Finding
from bidlens.normalizer.linking import LETTING, STRUCTURE

#: How a structure came to its contract, as the store says it.
BY_LIST, BY_BID_TAB, BY_HAND = "structure list", "bid tab", "hand"
#: How geometry that is not known to be the new bridge's ends.
YEAR_NOT_KNOWN = "year not known"
_LINKED = {BY_HAND: "linked by hand", BY_BID_TAB: "linked by the bid tab"}


def typed_dollars(lines: pd.DataFrame) -> pd.DataFrame:
    """STRUCTURE columns and typed_usd: dollars of the lines whose unit price was typed in. lines : with by_hand."""
    typed = lines[lines["by_hand"].fillna("") != ""]
    return typed.groupby(STRUCTURE)["dollars"].sum().rename("typed_usd").reset_index()


def marks(frame: pd.DataFrame) -> pd.Series:
    """In a few words what each price rests on by hand, empty where nothing; same index.

    frame : HISTORY rows, or others with typed_usd, linked_by and geometry_from; missing columns: nothing by hand.
    """
    nothing = pd.Series("", index=frame.index, dtype="str")
    typed, linked = nothing, nothing
    if "typed_usd" in frame:
        typed = nothing.mask(frame["typed_usd"].fillna(0.0) > 0, "price typed by hand")
    if "linked_by" in frame:
        linked = frame["linked_by"].map(_LINKED).astype("str").fillna("")
    return typed + nothing.mask((typed != "") & (linked != ""), ", ") + linked


def history_findings(frame: pd.DataFrame, lines: pd.DataFrame) -> list[Finding]:
    """A finding for every letting with typed prices behind a unit cost, and for every link not of a structure list.

    frame : HISTORY rows. lines : lines of their basis, with by_hand and dollars.
    """
    typed = lines[lines["by_hand"].fillna("") != ""]
    priced = typed.merge(frame[STRUCTURE], on=STRUCTURE, how="inner", validate="m:1")
    found = [_typed(group, frame) for _, group in priced.groupby(LETTING, sort=True)]
    return found + [_linked(row) for row in frame[frame["linked_by"].isin([BY_HAND, BY_BID_TAB])].to_dict("records")]


def _typed(lines: pd.DataFrame, frame: pd.DataFrame) -> Finding:
    contract_id = lines["contract_id"].iloc[0]
    structures = sorted(set(lines["structure_id"]))
    mine = frame[(frame["contract_id"] == contract_id) & frame["structure_id"].isin(structures)]
    reasons = "; ".join(sorted(set(lines["by_hand"])))
    names = sorted(set(lines["line"]))
    share = lines["dollars"].sum() / mine["basis_usd"].sum()
    return Finding(
        "typed_price",
        "check",
        f"Contract {contract_id}: {wording.usd(lines['dollars'].sum())}, {wording.number(100 * share, 1)}% of the "
        f"dollars behind the price of {' and '.join(structures)}, rest on "
        f"{wording.count(len(names), 'unit price')} typed by hand (line {', '.join(names)}: {reasons}).",
        "The file has no such price. Look where the typed one is from, or take it back under Records.",
        contract_id=contract_id,
    )


def _linked(row: dict) -> Finding:
    code, who = (
        ("linked_by_hand", "by hand") if row["linked_by"] == BY_HAND else ("linked_by_bid_tab", "by its bid tab")
    )
    reason = f" ({row['link_reason']})" if isinstance(row["link_reason"], str) and row["link_reason"] else ""
    geometry = str(row["geometry_from"])
    unsure = geometry.endswith(YEAR_NOT_KNOWN)
    where = "as said by hand" if geometry == BY_HAND else "of the structure list"
    if geometry.startswith(f"{BY_HAND} and"):
        where = "in part as said by hand, in part of the structure list"
    if unsure:
        where += ", which does not say when it was built: it may be the bridge that was replaced"
    return Finding(
        "linked_geometry_unsure" if unsure else code,
        "check" if unsure else "note",
        f"Contract {row['contract_id']}: {row['structure_id']} is linked to it {who}{reason}; "
        f"{wording.number(row['deck_area_sf'])} sf of deck, {row['superstructure']}, {where}.",
        "Give the new bridge's length, width and type with the link." if unsure else "",
        contract_id=row["contract_id"],
    )

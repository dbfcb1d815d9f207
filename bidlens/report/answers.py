"""What each command says in a terminal. Results in, text out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

import pandas as pd

from bidlens import normalizer, quarters
from bidlens.report import by_hand
from bidlens.report.recognised import recognised_answer
from bidlens.report.replaced import still_counts
from bidlens.report.terminal import WIDTH, findings_by_kind, findings_text, paragraph, plain, table
from bidlens.wording import adding_up, count, day, number, per_sf, percent, signed, usd

if TYPE_CHECKING:
    from bidlens.normalizer import UnitCostHistory
    from bidlens.proposal import ProposalCheck

CAUTION = (
    "Prices describe past bids, not structural fitness: the choice of a type is for a licensed engineer under the "
    "owner's standards and local codes. Award and negotiation follow the owner's procurement law."
)


def records(frame: pd.DataFrame) -> list[Any]:
    """The rows of a frame, each with its columns as attributes."""
    return list(frame.itertuples())


def imports_answer(results: Iterable[Any]) -> str:
    """What became of each file, with the rows set aside and why."""
    results = list(results)
    rows = [
        (
            r.name,
            r.kind,
            r.layout,
            r.status,
            *(number(n) for n in (r.rows_read, r.rows_kept, r.rows_set_aside, r.contracts)),
        )
        for r in results
    ]
    parts = [table(("file", "kind", "layout", "status", "read", "kept", "set aside", "came in"), rows, "llllrrrr")]
    if seen := recognised_answer(results):
        parts.append(f"\nRecognised\n{seen}")
    parts += ["\n" + error_text(result.error, "Not imported.") for result in results if result.error]
    aside = [result.set_aside for result in results if result.set_aside is not None and len(result.set_aside)]
    if aside:
        reasons = pd.concat(aside).groupby("reason", sort=False)["source_file"].agg(["size", "nunique", "first"])
        rows = [
            (number(float(row["size"])), number(float(row["nunique"])), row["first"], why)
            for why, row in reasons.iterrows()
        ]
        parts.append("\nSet aside, and why")
        parts.append(table(("rows", "files", "first in", "reason"), rows, "rrll", 80))
    findings = [finding for result in results for finding in result.findings]
    if findings:
        parts.append(f"\n{count(len(findings), 'finding')}, one of each kind shown")
        parts.append(findings_by_kind(findings))
    return "\n".join(parts)


def import_record(result: Any) -> dict[str, Any]:
    """One file of an import, as the JSON answer lists it."""
    findings = [finding.as_dict() for finding in result.findings]
    if result.error:
        findings.append({"code": "not_imported", "severity": "stop", "text": str(result.error)})
    return {
        "name": result.name,
        "kind": result.kind,
        "layout": result.layout,
        "batch": result.batch_id,
        "rows_read": result.rows_read,
        "rows_kept": result.rows_kept,
        "rows_set_aside": result.rows_set_aside,
        "contracts": result.contracts,
        "status": result.status,
        "findings": findings,
        **({"recognised": result.recognised.as_dict()} if result.recognised else {}),
    }


def error_text(error: Exception, first_word: str = "Stopped.") -> str:
    """An error as a user reads it."""
    lines = str(error).splitlines() or [type(error).__name__]
    return "\n".join([paragraph(f"{first_word} {lines[0]}"), *(paragraph(line, indent="    ") for line in lines[1:])])


def history_answer(history: UnitCostHistory) -> str:
    """The unit-cost history as a table, its average as the first sentence."""
    frame = history.frame
    if frame.empty:
        return paragraph(f"No structure on record has a price on the {history.basis} basis.") + _left_out(history)
    marked = frame.assign(by_hand=normalizer.marks_by_hand(frame))
    head = (
        "contract", "structure", "let", "superstructure", "span ft", "deck sf", "bids", "as bid", "x index",
        "adjusted", "at 60 ft", "first row",
    )  # fmt: skip
    rows = [
        (
            row.contract_id,
            row.structure_id,
            day(row.letting_date),
            row.superstructure,
            _or_words(row.span_ft),
            number(row.deck_area_sf),
            _or_words(row.bidders),
            by_hand.starred(usd(row.unit_cost), row.by_hand),
            _or_words(row.index_ratio, 3),
            _or_words(row.unit_cost_adjusted, 0, "$"),
            _or_words(row.unit_cost_at_reference_span, 0, "$"),
            f"{row.source_file}:{row.source_row}",
        )
        for row in records(marked.sort_values(["letting_date", "contract_id", "structure_id"]))
    ]
    parts = [paragraph(_average(history)), table(head, rows, "llllrrrrrrrl", 30), "\n".join(history_notes(history))]
    if below := by_hand.note_below(marked):
        parts.insert(2, paragraph(below))
    if history.findings:
        parts.append(findings_text(history.findings))
    return "\n\n".join(parts) + _left_out(history)


def _average(history: UnitCostHistory) -> str:
    priced = history.frame.dropna(subset=["unit_cost_adjusted"])
    if priced.empty:
        return "No price can be brought to these dollars: all lettings lie outside the cost index."
    average = (priced["unit_cost_adjusted"] * priced["deck_area_sf"]).sum() / priced["deck_area_sf"].sum()
    first, last = priced["letting_date"].min().year, priced["letting_date"].max().year
    years = f"in {first}" if first == last else f"{first}–{last}"
    return (
        f"{per_sf(average)} on average for {count(len(priced), 'structure')} let {years}: all dollars over all "
        f"deck area, {history.basis} basis, dollars of {quarters.shown(history.dollars_of)}."
    )


def history_notes(history: UnitCostHistory) -> list[str]:
    """What a reader needs beside the numbers: n, basis, dollars-of, index, bids used."""
    return [
        f"n = {len(history.frame)} · {history.basis} basis · dollars of {quarters.shown(history.dollars_of)}",
        f"index: {history.index_title} · low responsive bid, as corrected · source: file and row in each line",
    ]


def _left_out(history: UnitCostHistory) -> str:
    left_out = history.left_out
    if left_out.empty:
        return ""
    alike = [row.reason.replace(row.contract_id, "…") for row in records(left_out)]
    rows = [(number(n), reason) for reason, n in pd.Series(alike).value_counts().items()]
    return f"\n\nLeft out: {count(len(left_out), 'structure')}\n" + table(("n", "reason"), rows, "rl", 90)


def _or_words(value: Any, digits: int = 0, unit: str = "") -> str:
    return "not known" if pd.isna(value) else (usd(value, digits) if unit == "$" else number(value, digits))


def check_answer(check: ProposalCheck) -> str:
    """The verdict first, then how the price was made comparable, what would be expected, and the closest contracts."""
    offer = check.proposal
    about = (
        f"{offer.superstructure} · {number(check.deck_area_sf)} sf of deck · {check.basis} basis · dollars of "
        f"{quarters.shown(check.dollars_of)} · {check.history.same_type} of this type among {check.history.contracts} "
        "on record"
    )
    parts = [paragraph(check.verdict.text), paragraph(check.verdict.support), plain(about)]
    parts += [plain(f"index: {check.index_title}"), "", _steps(check)]
    if check.expected:
        parts += ["", _expected(check), "", _why(check)]
    if len(check.comparables):
        parts += ["", "Closest past contracts", _comparables(check)]
    if check.findings:
        parts += ["", findings_text(check.findings)]
    return "\n".join([plain(offer.proposal_id), "─" * WIDTH, *parts, "", paragraph(CAUTION)])


def steps(check: ProposalCheck) -> list[tuple[str, str, str]]:
    """The steps from the quoted to the comparable price: what, $/sf as printed, source; the amounts add up on paper."""
    amounts = adding_up(check.quoted_per_sf, [a.per_sf for a in check.adjustments], check.like_for_like_per_sf)
    quoted = f"{usd(check.quoted_usd)} over {number(check.deck_area_sf)} sf"
    whats = ["Quoted", *(a.what for a in check.adjustments), "Like for like"]
    sources = [quoted, *(a.source for a in check.adjustments), ""]
    return list(zip(whats, amounts, sources, strict=True))


def _steps(check: ProposalCheck) -> str:
    return table(("from the letter to a comparable price", "$/sf", "source"), steps(check), "lrl", 100)


def _expected(check: ProposalCheck) -> str:
    expected = check.expected or {}
    head = ("1 in 20 below", "1 in 10", "1 in 4", "middle", "3 in 4", "9 in 10", "19 in 20 below")
    values = [usd(expected[key]) for key in ("p05", "p10", "p25", "p50", "p75", "p90", "p95")]
    return "What a letting of this bridge would be expected to cost, $/sf\n" + table(head, [values], "rrrrrrr")


def _why(check: ProposalCheck) -> str:
    """Part by part from the reference bridge to the middle; the ratios multiply exactly."""
    reference, *parts = check.contributions
    rows = [(part.what, f"× {number(part.ratio, 3)}", usd(part.per_sf)) for part in parts]
    head = paragraph(f"Why the middle is where it is: {per_sf(reference.per_sf)} for {reference.what}; then")
    return head + "\n" + table(("this bridge", "ratio", "$/sf so far"), rows, "lrr", 60)


def _comparables(check: ProposalCheck) -> str:
    rows = [
        (
            row.contract_id,
            day(row.letting_date),
            row.superstructure,
            _or_words(row.span_ft),
            number(row.deck_area_sf),
            by_hand.starred(usd(row.unit_cost), row.by_hand),
            signed(row.to_dollars),
            signed(row.to_geometry),
            usd(row.comparable),
            percent(row.offer_ratio),
        )
        for row in records(check.comparables)
    ]
    head = (
        "contract",
        "let",
        "superstructure",
        "span ft",
        "deck sf",
        "as bid",
        "dollars",
        "geometry",
        "comparable",
        "offer is",
    )
    below = by_hand.note_below(check.comparables)
    return table(head, rows, "lllrrrrrrr") + (f"\n{paragraph(below)}" if below else "")


def batches_answer(frame: pd.DataFrame) -> str:
    """The history of imports."""
    if frame.empty:
        return "Nothing has been imported yet."
    rows = [
        (row.batch_id, f"{row.imported_at:%Y-%m-%d %H:%M}", row.source_file, row.kind, row.layout,
         number(row.rows_read), number(row.rows_kept), number(row.rows_set_aside), number(row.contracts))
        for row in records(frame)
    ]  # fmt: skip
    head = ("batch", "when, UTC", "file", "kind", "layout", "read", "kept", "set aside", "came in")
    return "\n".join([table(head, rows, "rllllrrrr"), *map(paragraph, still_counts(records(frame)))])


def undo_answer(batch_id: int, removed: Mapping[str, int]) -> str:
    """What went with an import that was taken back."""
    rows = [(name, number(n)) for name, n in removed.items() if n]
    return f"Import {batch_id} was taken back.\n" + table(("table", "rows removed"), rows, "lr")


def export_answer(files: Iterable[Any]) -> str:
    """The files an export wrote."""
    files = list(files)
    return f"{count(len(files), 'table')} written:\n" + "\n".join(f"  {plain(file)}" for file in files)

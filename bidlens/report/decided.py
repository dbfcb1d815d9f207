"""What the commands on names and corrections say in a terminal."""

from __future__ import annotations

import pandas as pd

from bidlens.findings import Finding
from bidlens.report.answers import records
from bidlens.report.terminal import findings_text, paragraph, table
from bidlens.wording import count, day, number, usd


def names_answer(
    suggestions: pd.DataFrame,
    aliases: pd.DataFrame,
    items: pd.DataFrame,
    findings: list[Finding],
    same_items: pd.DataFrame,
) -> str:
    """Suggested spellings, those confirmed, and pay items that may be one."""
    parts = [_suggested(suggestions)]
    if len(aliases):
        rows = [(row.spelling, row.bidder, day(row.decided_at), row.reason) for row in records(aliases)]
        parts.append("Confirmed\n" + table(("spelling", "shown as", "when", "why"), rows))
    apart = items[items["category"] != items["other_category"]]
    pairs = count(len(items), "pair")
    parts.append(paragraph(f"{pairs} of pay item descriptions may be one item; {len(apart)} stand in two categories."))
    if len(apart):
        alike = [(row.description, row.category, row.other, row.other_category, row.pay_unit) for row in records(apart)]
        parts.append(table(("description", "stands in", "may be", "stands in", "unit"), alike))
    if len(same_items):
        counted = [(row.description, row.same_as, row.pay_unit, row.reason) for row in records(same_items)]
        parts.append("Pay items counted as one\n" + table(("description", "counted as", "unit", "why"), counted))
    if findings:
        parts.append(findings_text(findings))
    return "\n\n".join(parts)


def corrections_answer(corrections: pd.DataFrame, acceptances: pd.DataFrame) -> str:
    """Prices typed by hand, and findings and rows that were accepted."""
    parts = []
    if corrections.empty:
        parts.append("No price was typed by hand.")
    else:
        rows = [
            (row.contract_id, day(row.letting_date), row.line, row.description, row.bidder,
             row.value_as_read or "blank", usd(row.value, 2), row.reason, day(row.decided_at),
             f"{row.source_file}:{row.source_row}" + ("" if row.in_use else " (not on record)"))
            for row in records(corrections)
        ]  # fmt: skip
        head = ("contract", "let", "line", "pay item", "bidder", "as read", "typed", "why", "when", "row")
        parts.append(f"{count(len(rows), 'price')} typed by hand\n" + table(head, rows, "llllllrlll", 36))
    if len(acceptances):
        said = [
            (
                row.code.replace("_", " "),
                row.text,
                row.reason,
                day(row.decided_at),
                f"{row.source_file}:{row.source_row}",
            )
            for row in records(acceptances)
        ]
        parts.append("Accepted\n" + table(("what", "text", "why", "when", "row"), said, "", 60))
    return "\n\n".join(parts)


def _suggested(suggestions: pd.DataFrame) -> str:
    if suggestions.empty:
        return paragraph("No spelling of a bidder looks like another.")
    said = (
        f"{count(len(suggestions), 'spelling')} may stand for another bidder on record. Nothing is put together until "
        "you confirm it: bidlens names --confirm SPELLING BIDDER"
    )
    rows = [
        (row.spelling, number(row.spelling_contracts), row.bidder, number(row.bidder_contracts), row.why,
         f"LOOK: {row.flag}" if row.flag else "")
        for row in records(suggestions)
    ]  # fmt: skip
    head = ("spelling", "bids", "may be", "bids", "why", "")
    return paragraph(said) + "\n\n" + table(head, rows, "lrlrll", 56)


def confirmed_answer(spelling: str, bidder: str, findings: list[Finding]) -> str:
    """What a confirmed spelling does."""
    said = paragraph(f"“{spelling}” is shown and counted as “{bidder}”. The rows keep what was read.")
    return said + (f"\n{findings_text(findings)}" if findings else "")


def forgotten_answer(spelling: str, bidder: str) -> str:
    """What a spelling taken back does."""
    return paragraph(f"“{spelling}” stands for itself again; it was shown as “{bidder}”.")


def item_confirmed_answer(item: str, other: str, lines: int) -> str:
    """What a confirmed pay item does."""
    moved = f" {count(lines, 'line')} on record changed the work category." if lines else ""
    return paragraph(f"“{item}” is counted as “{other}”. The rows keep what was read.{moved}")


def item_forgotten_answer(item: str, other: str) -> str:
    """What a pay item taken back does."""
    return paragraph(f"“{item}” stands for itself again; it was counted as “{other}”.")

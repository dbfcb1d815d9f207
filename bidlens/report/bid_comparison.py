"""The bids of one contract side by side: as text, as a page to print, as a workbook."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

import pandas as pd

from bidlens.errors import Place
from bidlens.findings import Unavailable, findings_frame
from bidlens.letting import BidComparison, comparison_words
from bidlens.letting.comparison import by_bidder, entries
from bidlens.letting.comparison_words import category_title
from bidlens.letting.difference import Difference, largest_and_rest
from bidlens.report import printed
from bidlens.report.escaping import escape
from bidlens.report.terminal import WIDTH, findings_text, paragraph, table
from bidlens.report.workbook import write_workbook
from bidlens.wording import NOT_GIVEN, count, number, percent, signed, usd

CAUTION = (
    "Bids are compared as corrected: quantity × unit price. Differences describe; they are not evidence of wrongdoing. "
    "Award, rejection and negotiation follow the owner's procurement law and counsel."
)
#: Lines of a difference named one by one, and bidders beside each other on a printed page.
MOST_LINES, BIDDERS_WIDE = 15, 6
_LANDSCAPE = "@page { size: Letter landscape } body { max-width:248mm } .block { grid-template-columns:repeat(3,1fr) }"


@dataclass(frozen=True, slots=True)
class Part:
    """One table with its title and the line that says how to read it. total : the last row is the sum."""

    title: str
    lead: str
    head: tuple[str, ...]
    rows: Sequence[tuple[str, ...]]
    sides: str
    total: bool = False


def parts(found: BidComparison) -> list[Part]:
    """Bidders, then each difference by work category and by line, then extensions corrected; the items are apart."""
    shown = [bidders_part(found)]
    for title, ends, whole in (
        ("From low to second", ("low", "second"), found.to_second),
        ("From estimate to low", ("estimate", "low"), found.to_estimate),
    ):
        if isinstance(whole, Difference):
            shown += [_categories(title, ends, whole), _lines(title, ends, whole)]
    return [*shown, *([_corrected(found)] if len(found.corrected) else [])]


def bidders_part(found: BidComparison) -> Part:
    rows = [
        (
            _place(row["rank_corrected"]), row["bidder"], row["status"], _money(row["total_as_read"]),
            _place(row["rank_as_read"]), _money(row["total_corrected"]),
            "0" if row["corrected_by_usd"] == 0 else _change(row["corrected_by_usd"]),
            _ratio(row["over_low"]), _ratio(row["over_estimate"]),
        )
        for row in found.bidders.to_dict("records")
    ]  # fmt: skip
    if not isinstance(found.estimate_usd, Unavailable):
        rows.append(("", "engineer’s estimate", "", "", "", usd(found.estimate_usd, 2), "", "", ""))
    head = ("place", "bidder", "bid", "as read", "place as read", "as corrected", "corrected by", "over low",
            "over estimate")  # fmt: skip
    return Part("Bidders", "Ranked by totals as corrected; percents of the low bid and of the estimate.", head, rows,
                "rllrrrrrr")  # fmt: skip


def _categories(title: str, ends: tuple[str, str], whole: Difference) -> Part:
    rows = [
        (category_title(row["work_category"]), number(row["lines"]), usd(row["from_usd"], 2), usd(row["to_usd"], 2),
         _change(row["difference_usd"]))
        for row in whole.by_category.to_dict("records")
    ]  # fmt: skip
    lines = int(whole.by_category["lines"].sum())
    rows.append(("all work", number(lines), usd(whole.from_usd, 2), usd(whole.to_usd, 2), _change(whole.usd)))
    head = ("work category", "lines", *ends, "difference")
    start, end = _named(ends[0], whole.starts), _named(ends[1], whole.ends)
    lead = f"{end} less {start}, largest first; the column adds up to the cent."
    lead = f"{lead[:1].upper()}{lead[1:]}"
    return Part(title, lead, head, rows, "lrrrr", True)


def _lines(title: str, ends: tuple[str, str], whole: Difference) -> Part:
    several = whole.lines["schedule"].nunique() > 1
    shown, more, rest = largest_and_rest(whole, MOST_LINES)
    rows = [
        (
            line_name(row, several), row["description"], quantity(row), unit_price(row["from_price"]),
            unit_price(row["to_price"]), _change(row["difference_usd"]), source(row),
        )
        for row in shown.to_dict("records")
    ]  # fmt: skip
    if more:
        rows.append(("", f"{count(more, 'more line')} that differ", "", "", "", _change(rest), ""))
    if whole.outside_usd:
        rows.append(("", "not in the lines", "", "", "", _change(whole.outside_usd), ""))
    rows.append(("", "all lines", "", "", "", _change(whole.usd), ""))
    same = int((whole.lines["difference_usd"] == 0).sum())
    lead = f"Largest difference first; {count(same, 'line')} of the same price." if same else "Largest first."
    head = ("line", "pay item", "quantity", *(f"{end} unit price" for end in ends), "difference", "low bid read in")
    return Part(f"{title}, line by line", lead, head, rows, "llrrrrl", True)


def _named(end: str, whose: str) -> str:
    return end if end == whose else f"{end} ({whose})"


def _corrected(found: BidComparison) -> Part:
    several = found.lines["schedule"].nunique() > 1
    names = found.lines.set_index(["schedule", "line"])["description"]
    rows = [
        (
            line_name(row, several), str(names[(row["schedule"], row["line"])]),
            "estimate" if row["is_estimate"] else row["bidder"], unit_price(row["unit_price"]),
            usd(row["extension_as_read"], 2), usd(row["extension"], 2),
            _change(row["extension"] - row["extension_as_read"]), source(row),
        )
        for row in found.corrected.to_dict("records")
    ]  # fmt: skip
    head = ("line", "pay item", "bidder", "unit price", "as read", "as corrected", "corrected by", "row")
    return Part("Extensions corrected", "The unit price governs: quantity × unit price.", head, rows, "lllrrrrl")


def items_parts(found: BidComparison, wide: int = BIDDERS_WIDE) -> list[Part]:
    """Items by bidders, unit price over extension in each cell, `wide` bidders beside the estimate a table."""
    columns = entries(found)
    fixed = columns[:1] if columns and columns[0][0] == "estimate" else []
    bidders = columns[len(fixed) :]
    groups = [bidders[at : at + wide] for at in range(0, len(bidders), wide)] or [[]]
    place = dict(zip(found.bidders["bidder"], found.bidders["rank_corrected"], strict=True))
    return [_items(found, [*fixed, *group], place) for group in groups]


def _items(found: BidComparison, columns: Sequence[tuple[str, pd.DataFrame]], place: dict[Any, Any]) -> Part:
    cells = [prices.set_index(["schedule", "line"]).to_dict("index") for _, prices in columns]
    rows, several = [], found.lines["schedule"].nunique() > 1
    for row in found.lines.to_dict("records"):
        key = (row["schedule"], row["line"])
        name = f"{row['description']}{' (alternate, in no total)' if row['alternate'] else ''}"
        rows.append((line_name(row, several), name, quantity(row), *(_entry(by_line.get(key)) for by_line in cells)))
    totals = dict(zip(found.bidders["bidder"], found.bidders["total_corrected"], strict=True))
    if not isinstance(found.estimate_usd, Unavailable):
        totals["estimate"] = found.estimate_usd
    rows.append(("", "total as corrected", "", *(_money(totals.get(title)) for title, _ in columns)))
    heads = [f"{_place(place[title])}. {title}" if _ranked(place.get(title)) else title for title, _ in columns]
    return Part("Items by bidders", "Unit price over extension, dollars as bid; bidders by place.",
                ("line", "pay item", "quantity", *heads), rows, "llr" + "r" * len(columns), True)  # fmt: skip


def _entry(entered: dict[Any, Any] | None) -> str:
    if entered is None or pd.isna(entered["unit_price"]):
        return "left blank" if entered is not None else "no entry"
    hand = ", by hand" if isinstance(entered["by_hand"], str) else ""
    return f"{unit_price(entered['unit_price'])}{hand}\n{usd(entered['extension'], 2)}"


def line_name(row: dict[Any, Any], several: bool) -> str:
    """“ALT 1, 0030”: the schedule where there are several, and the line."""
    return f"{row['schedule']},\u00a0{row['line']}" if several and row["schedule"] else str(row["line"])


def quantity(row: dict[Any, Any]) -> str:
    """“1,250.5 SY”."""
    digits = next((n for n in range(4) if abs(round(row["quantity"], n) - row["quantity"]) < 1e-9), 4)
    return f"{number(row['quantity'], digits)} {row['pay_unit'] if isinstance(row['pay_unit'], str) else ''}".strip()


def unit_price(value: Any) -> str:
    """With cents, and more decimals where it was bid with more."""
    if pd.isna(value):
        return NOT_GIVEN
    return usd(value, next((n for n in (2, 3, 4) if abs(round(value, n) - value) < 1e-9), 5))


def source(row: dict[Any, Any]) -> str:
    """File, sheet and row a price was read from."""
    file, sheet, at = (row.get(name) for name in ("source_file", "source_sheet", "source_row"))
    if not isinstance(file, str):
        return ""
    named = sheet if isinstance(sheet, str) and sheet else None
    return str(Place(file, named, None if at is None or pd.isna(at) else int(at)))


def _ranked(place: Any) -> bool:
    return place is not None and not pd.isna(place)


def _place(place: Any) -> str:
    return str(int(place)) if _ranked(place) else "not ranked"


def _money(value: Any) -> str:
    return NOT_GIVEN if value is None or pd.isna(value) else usd(value, 2)


def _change(value: Any) -> str:
    return NOT_GIVEN if pd.isna(value) else signed(value, 2, "$")


def _ratio(value: Any) -> str:
    return NOT_GIVEN if pd.isna(value) else percent(value, 1)


def comparison_answer(found: BidComparison) -> str:
    """The comparison in text; the items with the estimate, the low and the second bid."""
    said = [f"Bid comparison {found.contract_id}", "─" * WIDTH, paragraph(comparison_words.answer(found)),
            paragraph(comparison_words.support(found)), ""]  # fmt: skip
    said += [f"{key:<10} {value}" for key, value in comparison_words.title_cells(found).items()]
    for one in parts(found):
        said += ["", one.title, paragraph(one.lead), table(one.head, one.rows, one.sides, 34)]
    first = items_parts(found, 2)[0]
    flat = [tuple(cell.replace("\n", " = ") for cell in row) for row in first.rows]
    said += ["", first.title, "Unit price = extension; every bidder stands in the report and in JSON.",
             table(first.head, flat, first.sides, 34)]  # fmt: skip
    if found.findings:
        said += ["", findings_text(found.findings, 8)]
    return "\n".join([*said, "", paragraph(comparison_words.caption(found)), paragraph(CAUTION)])


def write_comparison(found: BidComparison, path: Path, sources: str) -> None:
    """Write the comparison as .html or .xlsx; raises as `printed.write_as`."""
    printed.write_as(
        path, lambda: comparison_html(found, sources), lambda target: write_comparison_workbook(found, target, sources)
    )


def comparison_html(found: BidComparison, sources: str) -> str:
    """One self-contained page, lying."""
    shown = [*parts(found), *items_parts(found)]
    body = [printed.finding_boxes(found.findings)]
    body += [printed.section(p.title, p.lead, printed.table(p.head, p.rows, p.sides, total=p.total)) for p in shown]
    body.append(f'<p class="soft">{escape(comparison_words.caption(found))}</p>')
    return printed.page(
        f"Bid comparison {found.contract_id}", "How do the bids compare?", comparison_words.answer(found),
        comparison_words.support(found), comparison_words.title_cells(found), body, sources, CAUTION,
        style=_LANDSCAPE,
    )  # fmt: skip


def write_comparison_workbook(found: BidComparison, target: Path | BinaryIO, sources: str) -> None:
    """One sheet a table, real numbers, with the answer and the sources on the first."""
    cells = [f"{key}: {value}" for key, value in comparison_words.title_cells(found).items()]
    said = [comparison_words.answer(found), comparison_words.support(found), comparison_words.caption(found)]
    notes = [*said, *cells, sources, CAUTION]
    write_workbook(target, comparison_sheets(found), notes)


def comparison_sheets(found: BidComparison) -> dict[str, pd.DataFrame]:
    """The comparison as frames by sheet name; a difference that is not given has no sheet."""
    sheets = {"bidders": found.bidders, "items by bidders": by_bidder(found), "prices": found.prices}
    for name, whole in (("low to second", found.to_second), ("estimate to low", found.to_estimate)):
        if isinstance(whole, Difference):
            sheets |= {f"{name}, categories": whole.by_category, f"{name}, lines": whole.lines}
    return {**sheets, "corrected": found.corrected, "findings": findings_frame(found.findings)}

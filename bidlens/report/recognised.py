"""What was recognised in files before they come in, and the mappings on record, as a terminal shows them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pandas as pd

from bidlens.report.terminal import paragraph, plain, table


def recognised_answer(results: Iterable[Any]) -> str:
    """For each file and sheet: kind, layout, heading row, letting date, each column with what it is taken for."""
    parts = [_file(result) for result in results if result.recognised is not None]
    return "\n\n".join(parts)


def _file(result: Any) -> str:
    found = result.recognised
    by = f", by the mapping “{found.mapping}”" if found.mapping else ""
    head = plain(f"{result.name}: {found.kind or 'of no kind that is known'}{by}")
    return "\n\n".join([head, *(_sheet(sheet) for sheet in found.sheets)])


def _sheet(sheet: Any) -> str:
    facts = [
        f"sheet “{sheet.sheet}”" if sheet.sheet else "",
        f"layout {sheet.layout}" if sheet.layout else "",
        f"headings in row {sheet.header_row}" if sheet.header_row else "no headings found",
        _letting(sheet) if sheet.kind in ("bid-tab", "") else "",
        "sure" if sheet.sure else "NOT SURE",
    ]
    lines = [paragraph(" · ".join(filter(None, facts)))]
    lines += [paragraph(f"Not sure: {reason}.") for reason in sheet.unsure]
    rows = [
        (column.letter, column.heading or "(no heading)", column.field or "not used", *_three(column.first))
        for column in sheet.columns
    ]
    lines.append(table(("column", "heading", "taken for", "first values", "", ""), rows, widest=30))
    return "\n".join(lines)


def _letting(sheet: Any) -> str:
    if not sheet.letting_date:
        return f"letting date {sheet.letting_date_from}"
    return f"letting date {sheet.letting_date}, {sheet.letting_date_from}"


def _three(values: tuple[str, ...]) -> tuple[str, str, str]:
    first, second, third = (*values, "", "", "")[:3]
    return first, second, third


def mappings_answer(frame: pd.DataFrame) -> str:
    """The mappings on record: what each is for and which column it takes for what."""
    if frame.empty:
        return "No mapping is on record. A file comes in by one with: bidlens import FILE --columns FILE.columns.toml"
    parts = []
    for row in frame.to_dict("records"):
        layout = f", layout {row['layout']}" if row["layout"] else ""
        kept = f"{row['name']}: {row['kind']}{layout}, kept {row['decided_at']:%Y-%m-%d %H:%M} UTC"
        lines = [plain(kept), plain(f"    headings: {row['headings']}")]
        lines += [plain(f"    {line}") for line in _told_lines(str(row["toml"]))]
        parts.append("\n".join(lines))
    return "\n\n".join(parts)


def _told_lines(toml: str) -> list[str]:
    return [line for line in toml.splitlines() if line and not line.startswith(("name =", "kind =", "layout ="))]

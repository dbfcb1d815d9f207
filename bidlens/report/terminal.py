"""Plain text for a terminal: aligned tables, wrapped sentences, findings with a mark that needs no color."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from bidlens.findings import Finding, worst_first
from bidlens.wording import visible

WIDTH = 100
MARKS = {"stop": "■ Stop.", "check": "▲ Check this.", "note": "· Note."}


def plain(text: object) -> str:
    """Text from a file made safe for a terminal: control characters and direction overrides become blanks."""
    return visible(text)


def table(head: Sequence[str], rows: Iterable[Sequence[object]], right: str = "", widest: int = 44) -> str:
    """An aligned table with a rule under the head.

    right : one letter a column, "r" for a column of numbers; missing letters mean left.
    widest : longer cells are cut with an ellipsis.
    """
    cells = [[_short(plain(cell), widest) for cell in row] for row in rows]
    widths = [max([len(title), *(len(row[i]) for row in cells)]) for i, title in enumerate(head)]
    sides = right.ljust(len(head))

    def line(row: Sequence[str]) -> str:
        parts = [
            cell.rjust(width) if side == "r" else cell.ljust(width)
            for cell, width, side in zip(row, widths, sides, strict=True)
        ]
        return "  ".join(parts).rstrip()

    return "\n".join([line(head), "  ".join("─" * width for width in widths), *(line(row) for row in cells)])


def _short(text: str, widest: int) -> str:
    return text if len(text) <= widest else text[: widest - 1] + "…"


def paragraph(text: str, indent: str = "") -> str:
    """Sentences wrapped to the page width."""
    return textwrap.fill(plain(text), WIDTH, initial_indent=indent, subsequent_indent=indent)


def findings_text(findings: Iterable[Finding], most: int = 5) -> str:
    """Findings worst first, each with what to do on a second line; beyond `most` only a count."""
    ordered = worst_first(findings)
    parts = [_one_finding(finding) for finding in ordered[:most]]
    if len(ordered) > most:
        parts.append(f"… and {len(ordered) - most} more; --format json lists them all.")
    return "\n".join(parts)


def findings_by_kind(findings: Iterable[Finding]) -> str:
    """The first finding of each kind, worst first, and how many more like it there are."""
    kinds: dict[tuple[str, str], list[Finding]] = {}
    for finding in worst_first(findings):
        kinds.setdefault((finding.code, finding.severity), []).append(finding)
    return "\n".join(
        _one_finding(alike[0]) + (f"\n    … and {len(alike) - 1} more of this kind" if len(alike) > 1 else "")
        for alike in kinds.values()
    )


def _one_finding(finding: Finding) -> str:
    where = f" ({finding.place})" if finding.place else ""
    said = paragraph(f"{MARKS[finding.severity]} {finding.text}{where}")
    return said + ("\n" + paragraph(finding.do, indent="    ") if finding.do else "")

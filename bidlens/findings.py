"""Doubtful data and declined numbers: the two kinds of bad news that do not stop the work.

A `Finding` is stored beside the data it speaks of and shown wherever that data is used. `Unavailable` stands in the
place of a number that is not given, and says why.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Literal

import pandas as pd

from bidlens.errors import Place

Severity = Literal["stop", "check", "note"]

#: Worst first. `stop`: a number is withheld or a bid set apart; `check`: look before relying on it; `note`: so noted.
SEVERITIES: tuple[Severity, ...] = ("stop", "check", "note")


@dataclass(frozen=True, slots=True)
class Finding:
    """One doubt about data or result: what was seen, and what to do.

    code : short stable name in snake case, such as `extension_differs`.
    text : one sentence with the values seen and, where known, the effect on the number.
    do : what the engineer can do; may be empty.
    place : file, sheet and row it speaks of, if it has one.
    contract_id : contract it speaks of, if it has one.
    """

    code: str
    severity: Severity
    text: str
    do: str = ""
    place: Place | None = None
    contract_id: str | None = None

    def as_dict(self) -> dict[str, Any]:
        """The public form: `code`, `severity`, `text`, and `do` and `where` when they say something."""
        shown: dict[str, Any] = {"code": self.code, "severity": self.severity, "text": self.text}
        if self.do:
            shown["do"] = self.do
        if self.place:
            shown["where"] = str(self.place)
        return shown


@dataclass(frozen=True, slots=True)
class Unavailable:
    """Stands where a number is not given. Shown as “not given: reason”."""

    reason: str

    def __str__(self) -> str:
        return f"not given: {self.reason}"


def worst_first(findings: Iterable[Finding]) -> list[Finding]:
    """Sort by severity, keeping the given order within one severity."""
    return sorted(findings, key=lambda finding: SEVERITIES.index(finding.severity))


FINDING_COLUMNS = ("source_file", "source_sheet", "source_row", "contract_id", "code", "severity", "text", "advice")


def findings_frame(findings: Iterable[Finding]) -> pd.DataFrame:
    """The findings as rows of the stored table `finding` (without its batch)."""
    rows = [
        (
            finding.place.file if finding.place else None,
            finding.place.sheet if finding.place else None,
            finding.place.row if finding.place else None,
            finding.contract_id,
            finding.code,
            finding.severity,
            finding.text,
            finding.do,
        )
        for finding in findings
    ]
    frame = pd.DataFrame(rows, columns=list(FINDING_COLUMNS))
    return frame.astype({"source_row": "Int64"})

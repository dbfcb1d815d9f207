"""The structure list, the program list, and the suppliers' letters."""

from __future__ import annotations

import csv
import io

from _make.bids import Letting
from _make.county import Bridge, inventory
from _make.plan import PROGRAM

HEAD = (
    "Structure", "Name", "Contract", "Letting date", "Schedule", "Superstructure", "Length (ft)",
    "Width (out to out)", "Spans", "Longest span (ft)", "Skew (deg)", "Year built",
)  # fmt: skip
PROGRAM_HEAD = (
    "Priority", "Structure", "Name", "Planned superstructure", "Length (ft)", "Width (out to out)", "Spans",
    "Skew (deg)", "Planned letting",
)  # fmt: skip
#: Bridge of the program: planned type, length, width, spans, skew, letting quarter. In order of priority.
_PLANNED = (
    ("K-117", "rolled steel beam", 62, "28'-0\"", 1, 0, "2027Q1"),
    ("K-204", "adjacent box beam", 48, "28'-0\"", 1, 15, "2027Q1"),
    ("K-312", "concrete slab", 32, "30'-0\"", 1, 0, "2027Q1"),
    ("K-139", "rolled steel beam", 54, "26'-0\"", 1, 10, "2027Q1"),
    ("K-388", "prestressed I-beam", 88, "34'-8\"", 1, 20, "2027Q2"),
    ("K-271", "adjacent box beam", 72, "28'-0\"", 2, 0, "2027Q2"),
    ("K-168", "timber", 26, "24'-0\"", 1, 0, "2027Q2"),
    ("K-421", "concrete slab", 60, "30'-0\"", 2, 30, "2027Q3"),
    ("K-233", "rolled steel beam", 80, "32'-0\"", 1, 0, "2027Q3"),
    ("K-467", "steel tub girder", 58, "28'-0\"", 1, 0, "2027Q3"),
    ("K-346", "adjacent box beam", 40, "26'-0\"", 1, 0, "2027Q4"),
)


def structures_csv(lettings: list[Letting]) -> bytes:
    """Every bridge of the county; a replaced one has its new geometry and the contract that paid for it."""
    paid = {
        cost.bridge.structure_id: (letting, cost.schedule, cost.bridge)
        for letting in lettings
        if letting.contract.award == "Awarded"
        for cost in letting.low.costs
    }
    rows: list[list[str]] = [list(HEAD)]
    for number, old in inventory().items():
        if number not in paid:
            rows.append(_structure_row(old, "", "", ""))
            continue
        letting, schedule, bridge = paid[number]
        one_schedule = len({line.schedule for line in letting.lines}) == 1
        date = letting.contract.letting_date.isoformat()
        rows.append(_structure_row(bridge, letting.contract.contract_id, date, "" if one_schedule else schedule))
    return _csv(rows)


def _structure_row(bridge: Bridge, contract: str, date: str, schedule: str) -> list[str]:
    return [
        bridge.structure_id, bridge.name, contract, date, schedule, bridge.superstructure, f"{bridge.length_ft:g}",
        bridge.width, str(bridge.spans), f"{bridge.span_ft:g}", str(bridge.skew_deg), str(bridge.year_built),
    ]  # fmt: skip


def program_csv() -> bytes:
    """The bridges the county means to let in 2027, in its own order."""
    names = {number: bridge.name for number, bridge in inventory().items()}
    assert {row[0] for row in _PLANNED} == set(PROGRAM)
    rows: list[list[str]] = [list(PROGRAM_HEAD)]
    for priority, (number, *planned) in enumerate(_PLANNED, start=1):
        rows.append([str(priority), number, names[number], *(str(cell) for cell in planned)])
    return _csv(rows)


def _csv(rows: list[list[str]]) -> bytes:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue().encode("utf-8")

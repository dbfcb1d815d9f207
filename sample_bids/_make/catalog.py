"""Pay items of the county's invented spec book, read from pay_items.csv, and how each file layout spells them."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

#: How each layout spells the pay units, where it differs from the catalog.
UNITS: dict[str, dict[str, str]] = {
    "csv": {},
    "book": {"LS": "L.S.", "EA": "EACH", "LF": "L.F.", "CY": "C.Y.", "LB": "LBS", "SY": "S.Y.", "SF": "S.F."},
    "wide": {"EA": "Each", "TON": "Ton", "DAY": "Day"},
    "ansi": {"LS": "LUMP", "EA": "EA."},
    "money": {"LS": "LSUM", "CY": "CUYD", "SY": "SQYD"},
}
#: Which wording of a pay item each layout uses.
_WORDING = {"csv": 0, "ansi": 0, "book": 1, "wide": 2, "money": 2}
#: Words only the Windows-1252 file has, with characters that are other bytes in UTF-8.
_ANSI_WORDS = {
    "bearings": "Elastomeric bearing pads, 2½ inch",
    "railing": "Bridge railing, steel – two tube",
    "riprap": "Riprap, 18 inch – owner’s quarry",
}


@dataclass(frozen=True, slots=True)
class PayItem:
    """One pay item. `wordings` are those of the early files, of the long workbooks, and of the later files."""

    key: str
    code: str
    unit: str
    category: str
    wordings: tuple[str, str, str]

    def description(self, layout: str) -> str:
        if layout == "ansi" and self.key in _ANSI_WORDS:
            return _ANSI_WORDS[self.key]
        return self.wordings[_WORDING[layout]]

    def unit_in(self, layout: str) -> str:
        return UNITS[layout].get(self.unit, self.unit)


def _read() -> dict[str, PayItem]:
    with (Path(__file__).parent / "pay_items.csv").open(encoding="utf-8", newline="") as file:
        return {
            row["key"]: PayItem(
                row["key"],
                row["code"],
                row["unit"],
                row["work_category"],
                (row["wording_early"], row["wording_workbook"], row["wording_later"]),
            )
            for row in csv.DictReader(file)
        }


ITEMS: dict[str, PayItem] = _read()

BEAMS = frozenset({"beams", "bearings"})
SUPERSTRUCTURE = BEAMS | {"deck", "railing", "wearing_surface", "expansion_joints"}
BRIDGE = SUPERSTRUCTURE | {"substructure", "foundation", "structure_excavation", "reinforcement_unsplit"}

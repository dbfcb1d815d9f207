"""What was recognised of a file before it comes in, in the form that the terminal, JSON and the Records page show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

#: Quotations in running text, without a table.
IN_LINES = "quotations line by line"
#: Layouts whose columns go by their headings alone, or that have none.
READ_AS_IT_IS = frozenset({"contract_summary", "bids_as_opened", IN_LINES})


@dataclass(frozen=True, slots=True)
class ColumnRead:
    """One column: letter, heading, the field it is taken for ("" if it is not used), its first values, each once."""

    letter: str
    heading: str
    field: str
    first: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SheetRead:
    """What was recognised on one sheet.

    header_row : counted from 1; None where no row looks like headings. letting_date : as text; "" where none is needed
    or found, `letting_date_from` then says which. first_rows : field -> text, as the headings make them understood.
    unsure : why the reading may be wrong; empty where it is sure.
    """

    sheet: str
    kind: str
    layout: str
    header_row: int | None
    columns: tuple[ColumnRead, ...]
    letting_date: str
    letting_date_from: str
    first_rows: tuple[Mapping[str, str], ...]
    unsure: tuple[str, ...]

    @property
    def sure(self) -> bool:
        return not self.unsure

    @property
    def columns_can_be_told(self) -> bool:
        """Whether another field can be told for a column; not where totals of contracts, or lines of text, are read."""
        return self.layout not in READ_AS_IT_IS

    def as_dict(self) -> dict[str, Any]:
        """The public form."""
        return {
            "sheet": self.sheet,
            "kind": self.kind,
            "layout": self.layout,
            "header_row": self.header_row,
            "columns": [
                {"column": one.letter, "heading": one.heading, "field": one.field or None} for one in self.columns
            ],
            "not_used": [one.heading or one.letter for one in self.columns if not one.field],
            "letting_date": self.letting_date or None,
            "letting_date_from": self.letting_date_from,
            "first_rows": [dict(row) for row in self.first_rows],
            "sure": self.sure,
            "reasons": list(self.unsure),
        }


@dataclass(frozen=True, slots=True)
class Recognition:
    """What was recognised in a file, sheet by sheet. mapping : name of the mapping used, "" if none was."""

    file: str
    kind: str
    mapping: str
    sheets: tuple[SheetRead, ...]

    @property
    def sure(self) -> bool:
        return bool(self.kind) and all(sheet.sure for sheet in self.sheets)

    def as_dict(self) -> dict[str, Any]:
        """The public form."""
        return {
            "kind": self.kind or None,
            "mapping": self.mapping or None,
            "sure": self.sure,
            "sheets": [sheet.as_dict() for sheet in self.sheets],
        }

"""The sheets of a workbook as plain lists, and a small program that hands them over from a process of its own.

Imports nothing but the spreadsheet reader, and is run as a file, so that the process starts quickly.
"""

from __future__ import annotations

import pickle
import sys
from pathlib import Path
from typing import Any

import python_calamine as calamine

MAX_MEMORY_BYTES = 4 * 2**30

Sheet = tuple[str, bool, list[Any], list[list[Any]]]


def sheets_of(path: Path) -> list[Sheet]:
    """Name, whether hidden, merged blocks and rows of each worksheet; cells stand where the sheet has them."""
    book = calamine.CalamineWorkbook.from_path(str(path))
    found = []
    for meta in book.sheets_metadata:
        if meta.typ == calamine.SheetTypeEnum.WorkSheet:
            sheet = book.get_sheet_by_name(meta.name)
            hidden = meta.visible != calamine.SheetVisibleEnum.Visible
            rows = sheet.to_python(skip_empty_area=False)
            found.append((meta.name, hidden, list(sheet.merged_cell_ranges or []), rows))
    return found


def main() -> None:
    """Write the sheets of the workbook named on the command line to standard output, for the process that asked."""
    _limit_memory()
    sys.stdout.buffer.write(pickle.dumps(sheets_of(Path(sys.argv[1]))))


def _limit_memory() -> None:
    """Where the system can (not on Windows), stop at a size that no honest workbook needs."""
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MAX_MEMORY_BYTES, MAX_MEMORY_BYTES))


if __name__ == "__main__":
    main()

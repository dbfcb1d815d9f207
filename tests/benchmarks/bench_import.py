"""How long reading bid tabs takes beside merely opening the same workbooks, in one run.

    python tests/benchmarks/bench_import.py FOLDER

Opens every .xlsx below the folder with the spreadsheet reader alone, then reads it as a bid tab, and prints both times
(processor time, best of three) and their ratio. Reading includes the safety checks, numbers, totals and findings, not
the placing of pay items nor the database.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import python_calamine as calamine

from bidlens.errors import BidlensError
from bidlens.ingest import read_file


def open_only(paths: Sequence[Path]) -> int:
    """Rows of all sheets, by the spreadsheet reader alone."""
    rows = 0
    for path in paths:
        book = calamine.CalamineWorkbook.from_path(str(path))
        rows += sum(len(book.get_sheet_by_name(name).to_python(skip_empty_area=False)) for name in book.sheet_names)
    return rows


def read_all(paths: Sequence[Path]) -> int:
    """Rows read as bid tabs; files that are refused count for nothing."""
    rows = 0
    for path in paths:
        try:
            rows += read_file(path, "bid-tab").rows_read
        except BidlensError as error:
            print(f"  refused: {str(error).splitlines()[0]}")
    return rows


def best_of_three(work: Callable[[Sequence[Path]], int], paths: Sequence[Path]) -> tuple[float, int]:
    """Least processor seconds of three runs, and the rows."""
    times = []
    for _ in range(3):
        start = time.process_time()
        rows = work(paths)
        times.append(time.process_time() - start)
    return min(times), rows


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("folder", type=Path)
    paths = sorted(parser.parse_args().folder.rglob("*.xlsx"))
    opened, rows = best_of_three(open_only, paths)
    read, kept = best_of_three(read_all, paths)
    print(f"{len(paths)} workbooks, {rows:,} rows: opened in {opened:.2f} s; {kept:,} rows read in {read:.2f} s")
    print(f"ratio {read / opened:.2f}")


if __name__ == "__main__":
    main()

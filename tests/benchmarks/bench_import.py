"""How long importing bid tabs takes beside merely opening the same workbooks, in one run.

    python -m tests.benchmarks.bench_import FOLDER

Opens every .xlsx below the folder with the spreadsheet reader alone, then reads it as a bid tab (safety, numbers,
totals, findings), then imports it whole (pay items placed, everything stored in a new record). Prints the times by the
clock, least of three runs, and their ratios.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import python_calamine as calamine

from bidlens import workflow
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


def import_all(paths: Sequence[Path]) -> int:
    """Rows imported into a new record."""
    with tempfile.TemporaryDirectory() as folder, workflow.open_database(Path(folder, "new.duckdb")) as db:
        return sum(result.rows_read for result in db.import_files(paths))


def best_of_three(work: Callable[[Sequence[Path]], int], paths: Sequence[Path]) -> tuple[float, int]:
    """Least seconds of three runs, and the rows."""
    times = []
    for _ in range(3):
        start = time.perf_counter()
        rows = work(paths)
        times.append(time.perf_counter() - start)
    return min(times), rows


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("folder", type=Path)
    paths = sorted(parser.parse_args().folder.rglob("*.xlsx"))
    opened, rows = best_of_three(open_only, paths)
    print(f"{len(paths)} workbooks, {rows:,} rows")
    print(f"opened alone  {opened:6.2f} s")
    for what, work in (("read", read_all), ("imported", import_all)):
        took, kept = best_of_three(work, paths)
        print(f"{what:12}  {took:6.2f} s  {kept:,} rows  ratio {took / opened:.2f}")


if __name__ == "__main__":
    main()

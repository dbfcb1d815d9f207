"""How long importing one very large CSV bid tab takes beside DuckDB's own reading of it as text, and its memory.

    python -m tests.benchmarks.bench_big_csv [--rows 2500000] [--file KEPT.csv]

Writes an invented bid tab (one row per item and bidder), has DuckDB read it and imports it into a new record, three
times in turn, each in a process of its own, and prints the least time of either by the clock, their ratio, the largest
memory the importing process held, and the share of the time during which it held the record for writing, when nobody
else can read it.
"""

from __future__ import annotations

import argparse
import random
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import duckdb

from bidlens.store import Store

BIDDERS = 40
ITEMS_KNOWN = 3000
HEAD = "Contract,Letting Date,Line,Section,Item Code,Description,Unit,Quantity,Bidder,Unit Price,Amount,Rank\n"


def write_bid_tab(path: Path, rows: int, seed: int = 1) -> None:
    """An invented bid tab of about `rows` rows: contracts of 40 to 120 lines with one to seven bidders."""
    dice = random.Random(seed)
    firms = [f"Invented Builder {number:02d}, Inc." for number in range(BIDDERS)]
    items = [
        (f"{600 + n // 100}-{n:05d}", f"Invented work of kind {n}", ("LF", "SF", "CY", "LS")[n % 4])
        for n in range(ITEMS_KNOWN)
    ]
    written = contract = 0
    with path.open("w", encoding="utf-8", newline="") as stream:
        stream.write(HEAD)
        while written < rows:
            contract += 1
            day = f"{dice.randint(1, 12):02d}/{dice.randint(1, 28):02d}/{dice.randint(2030, 2044)}"
            bidders = dice.sample(firms, dice.randint(1, 7))
            lines, totals = [], dict.fromkeys(bidders, 0.0)
            for line, (code, text, unit) in enumerate(dice.sample(items, dice.randint(40, 120)), 1):
                quantity = dice.randint(1, 500_000) / 100
                base = dice.randint(100, 90_000) / 100
                for bidder in bidders:
                    price = round(base * dice.uniform(0.7, 1.5), 2)
                    totals[bidder] += round(quantity * price, 2)
                    facts = f"C{contract:06d},{day},{line:04d},1,{code},{text},{unit},{quantity}"
                    lines.append((bidder, f'{facts},"{bidder}",{price},{quantity * price:.2f}'))
            places = {bidder: place for place, bidder in enumerate(sorted(bidders, key=totals.__getitem__), 1)}
            stream.writelines(f"{line},{places[bidder]}\n" for bidder, line in lines)
            written += len(lines)


READ_ALONE = """
import duckdb, sys, time
duckdb.sql("SET enable_progress_bar = false")
start, processor = time.perf_counter(), time.process_time()
duckdb.sql(f"CREATE TABLE t AS FROM read_csv('{sys.argv[1]}', all_varchar=true)")
print(time.perf_counter() - start, time.process_time() - processor)
"""


def figures_of(*arguments: str) -> list[float]:
    """The figures that a run of Python prints."""
    said = subprocess.run([sys.executable, *arguments], capture_output=True, check=True).stdout
    return [float(figure) for figure in said.split()]


def import_one(path: Path) -> None:
    """Import into a new record; prints seconds (clock, processor), rows kept, seconds held for writing, memory."""
    from bidlens import workflow

    with tempfile.TemporaryDirectory() as folder, workflow.open_database(Path(folder, "new.duckdb")) as db:
        held = _seconds_held(db.store)
        start, processor = time.perf_counter(), time.process_time()
        result = db.import_files([path])[0]
        took, used = time.perf_counter() - start, time.process_time() - processor
    if result.error:
        raise result.error
    print(took, used, result.rows_kept, sum(held), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)


def _seconds_held(record: Store) -> list[float]:
    """A list that gains the seconds of each time the record is held for writing, its letting go included."""
    held: list[float] = []
    once = record.open

    @contextmanager
    def timed(write: bool = False, *given: Any, **named: Any) -> Iterator[duckdb.DuckDBPyConnection]:
        start = time.perf_counter()
        with once(write, *given, **named) as cursor:
            yield cursor
        if write:
            held.append(time.perf_counter() - start)

    record.open = timed  # type: ignore[method-assign]
    return held


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--rows", type=int, default=2_500_000)
    parser.add_argument("--file", type=Path, help="keep the invented file here, or use the one that is there")
    parser.add_argument("--import-only", type=Path, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.import_only:
        import_one(asked.import_only)
        return
    with tempfile.TemporaryDirectory() as folder:
        path = asked.file or Path(folder, "big.csv")
        if not path.exists():
            write_bid_tab(path, asked.rows)
        importing = ("-m", "tests.benchmarks.bench_big_csv", "--import-only", str(path))
        runs = [(figures_of("-c", READ_ALONE, str(path)), figures_of(*importing)) for _ in range(3)]
        alone, processor = min(read for read, _ in runs)
        took, used, kept, held, peak = min(imported for _, imported in runs)
        print(f"{path.stat().st_size / 2**20:,.0f} MB, {int(kept):,} rows kept")
        print(f"DuckDB, every cell as text  {alone:6.2f} s ({processor:.2f} s of a processor)")
        print(f"imported                    {took:6.2f} s ({used:.2f} s of a processor)")
        print(f"ratio                       {took / alone:6.2f}   ({used / processor:.2f} by processor time; goal 4)")
        print(f"peak memory                 {peak:6,.0f} MB (goal 1,536)")
        print(f"held for writing            {held:6.2f} s, {held / took:.1%} of the import (goal 10%)")


if __name__ == "__main__":
    main()

"""How long importing one very large CSV bid tab takes beside DuckDB's own reading of it as text, and its memory.

    python -m tests.benchmarks.bench_big_csv [--rows 2500000] [--file KEPT.csv]

Writes an invented bid tab (one row per item and bidder), imports it into a new record in a process of its own, and
prints both times by the clock, their ratio, and the largest memory the importing process held.
"""

from __future__ import annotations

import argparse
import random
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

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


def duckdb_seconds(path: Path) -> float:
    """Least of three runs of DuckDB reading every cell as text and counting the rows."""
    code = (
        "import duckdb, sys, time\n"
        "duckdb.sql('SET enable_progress_bar = false')\n"
        "times = []\n"
        "for _ in range(3):\n"
        "    start = time.perf_counter()\n"
        "    duckdb.sql(f\"CREATE OR REPLACE TABLE t AS FROM read_csv('{sys.argv[1]}', all_varchar=true)\")\n"
        "    times.append(time.perf_counter() - start)\n"
        "print(min(times))\n"
    )
    return float(subprocess.run([sys.executable, "-c", code, str(path)], capture_output=True, check=True).stdout)


def import_one(path: Path) -> None:
    """Import into a new record; prints seconds, rows kept and the largest memory of this process in MB."""
    from bidlens import workflow

    with tempfile.TemporaryDirectory() as folder, workflow.open_database(Path(folder, "new.duckdb")) as db:
        start = time.perf_counter()
        result = db.import_files([path])[0]
        took = time.perf_counter() - start
    if result.error:
        raise result.error
    print(took, result.rows_kept, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)


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
        alone = duckdb_seconds(path)
        command = [sys.executable, "-m", "tests.benchmarks.bench_big_csv", "--import-only", str(path)]
        took, kept, peak = map(float, subprocess.run(command, capture_output=True, check=True).stdout.split())
        print(f"{path.stat().st_size / 2**20:,.0f} MB, {int(kept):,} rows kept")
        print(f"DuckDB, every cell as text  {alone:6.2f} s")
        print(f"imported                    {took:6.2f} s  ratio {took / alone:.2f}  peak memory {peak:,.0f} MB")


if __name__ == "__main__":
    main()

"""Damage invented bid tabs at random and import them: each comes in, or is refused in plain words; nothing else.

    python -m tests.benchmarks.fuzz_bid_tabs [--count 2000] [--first 0] [--seed 1] [--medium csv pdf txt xls xlsx]

Every file goes through a record: rows read = kept + set aside, those that came in are counted in the record itself,
and a refused file leaves the record untouched. Prints for each medium what became of the files, the slowest, and the
largest memory this process and those it starts ever held. `tests/ingest/test_fuzz.py` runs a few.
"""

from __future__ import annotations

import argparse
import random
import resource
import shutil
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from bidlens import workflow
from bidlens.database import Database
from bidlens.errors import BidlensError
from bidlens.importing import ImportResult
from tests.benchmarks.damaged_bid_tabs import MEDIA

SECONDS_AT_MOST = 20.0
FILES_IN_ONE_RECORD = 50
AGAIN = ("keep-first", "replace", "keep-both")
HOLD_ROWS = ("contract", "contract_item", "bid", "bid_price", "estimate_price", "set_aside", "finding", "kept_file")


@dataclass(slots=True)
class Tally:
    """What became of the files of one medium. aside : rows set aside; slowest : seconds."""

    files: int = 0
    came_in: int = 0
    refused: int = 0
    rows: int = 0
    aside: int = 0
    slowest: float = 0.0

    def __str__(self) -> str:
        return (
            f"{self.files:,} files: {self.came_in:,} came in with {self.rows:,} rows ({self.aside:,} set aside), "
            f"{self.refused:,} refused; slowest {self.slowest:.2f} s"
        )


def run(medium: str, count: int, seed: int, folder: Path, first: int = 0) -> Tally:
    """Make and import `count` files. Raises whatever is no BidlensError, AssertionError where rows are lost."""
    tally = Tally()
    for start in range(first, first + count, FILES_IN_ONE_RECORD):
        record = folder / "record.duckdb"
        record.unlink(missing_ok=True)
        with workflow.open_database(record) as db:
            held = _Held(db)
            for number in range(start, min(start + FILES_IN_ONE_RECORD, first + count)):
                dice = random.Random(f"{medium} {seed} {number}")
                path = folder / f"2031-04-08 {number}.{medium}"
                path.write_bytes(MEDIA[medium](dice))
                try:
                    _import(tally, held, path, dice.choice(AGAIN))
                except Exception as error:
                    error.add_note(f"{medium}, seed {seed}, number {number}")
                    raise
                path.unlink()
    return tally


class _Held:
    """A record between two files: its stamp, and the rows of its tables."""

    def __init__(self, db: Database) -> None:
        self.db, self.stamp, self.rows = db, db.stamp(), dict.fromkeys(HOLD_ROWS, 0)

    def look(self) -> tuple[dict[str, int], dict[str, int]]:
        """Rows of each table before and now, counted by DuckDB itself."""
        before = self.rows
        with self.db.store.open() as cursor:
            counts = cursor.execute(f"SELECT {', '.join(f'(SELECT count(*) FROM {name})' for name in HOLD_ROWS)}")  # noqa: S608
            self.rows = dict(zip(HOLD_ROWS, map(int, counts.fetchall()[0]), strict=True))
        self.stamp = self.db.stamp()
        return before, self.rows


def _import(tally: Tally, held: _Held, path: Path, again: str) -> None:
    start = time.perf_counter()
    (result,) = held.db.import_files([path], again=again)
    took = time.perf_counter() - start
    tally.files += 1
    tally.slowest = max(tally.slowest, took)
    assert took < SECONDS_AT_MOST, f"took {took:.1f} s"
    if result.error:
        tally.refused += 1
        assert isinstance(result.error, BidlensError)
        assert str(result.error).strip()
        assert held.db.stamp() == held.stamp, "a refused file has changed the record"
        return
    tally.came_in += 1
    tally.rows += result.rows_read
    tally.aside += result.rows_set_aside
    assert result.rows_read == result.rows_kept + result.rows_set_aside
    assert min(result.rows_kept, result.rows_set_aside) >= 0
    _check_stored(result, *held.look(), again)


def _check_stored(result: ImportResult, before: dict[str, int], after: dict[str, int], again: str) -> None:
    """The record grew by what the file brought, and by nothing else."""
    if result.status == "already imported":
        assert after == before
        return
    gained = {table: after.get(table, 0) - before.get(table, 0) for table in HOLD_ROWS}
    assert gained["kept_file"] == 1
    assert gained["set_aside"] == result.rows_set_aside
    if again != "replace":
        assert gained["contract"] == result.contracts
        assert (gained["contract_item"] == 0) == (gained["bid_price"] + gained["estimate_price"] == 0)


def _peak_mb() -> tuple[float, float]:
    """Largest memory of this process, and of the largest it has started."""
    who = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    own, started = (resource.getrusage(which).ru_maxrss / 1024 for which in who)
    return own, started


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--count", type=int, default=2000)
    parser.add_argument("--first", type=int, default=0, help="number of the first file, to go on where a run ended")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--medium", nargs="+", choices=sorted(MEDIA), default=sorted(MEDIA))
    asked = parser.parse_args()
    folder = Path(tempfile.mkdtemp())
    try:
        for medium in asked.medium:
            tally = run(medium, asked.count, asked.seed, folder, asked.first)
            own, started = _peak_mb()
            print(f"{medium:5} {tally}; peak {own:,.0f} MB, in processes started {started:,.0f} MB", flush=True)
    finally:
        shutil.rmtree(folder)


if __name__ == "__main__":
    main()

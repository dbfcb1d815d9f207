"""How quick the program is on a record of 7,000 contracts and 2.5 million bid rows, and on the sample county.

    python -m tests.benchmarks.bench_big_record [--contracts 7000] [--folder KEPT] [--part NAME ...]

Makes the invented record (or takes the one kept in the folder), measures each part in a process of its own, and prints
every figure with its goal. Times are by the clock, so leave the machine alone meanwhile; the seconds of processor time
beside them say what they would be.
"""

from __future__ import annotations

import argparse
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import contextmanager
from decimal import Decimal
from pathlib import Path

from bidlens import workflow
from tests.benchmarks.big_record import FIRST_YEAR, YEARS, make_record

LAST_YEAR = FIRST_YEAR + YEARS - 1


def told(what: str, value: float, goal: float | None, unit: str = "s", beside: str = "") -> None:
    """One line: figure, goal, whether it is met."""
    verdict = (
        ""
        if goal is None
        else f"goal {goal:g} {unit}  {'pass' if value <= goal else f'FALLS SHORT by {value - goal:.2f} {unit}'}"
    )
    print(f"{what:52} {value:8.2f} {unit:3} {beside:14} {verdict}", flush=True)


def timed(what: str, goal: float | None, work: Callable[[], object]) -> object:
    clock, processor = time.perf_counter(), time.process_time()
    done = work()
    told(what, time.perf_counter() - clock, goal, beside=f"({time.process_time() - processor:.2f} s cpu)")
    return done


def peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


# --- parts, each in a process of its own --------------------------------------------------------------------------


def review(record: Path, sample: Path) -> None:
    with workflow.open_database(record) as db:
        timed(f"review {LAST_YEAR}, big record", 5.0, lambda: workflow.review_lettings(db, LAST_YEAR))
        told("  its peak memory", peak_mb(), 1024, "MB")
        timed("  once more", 5.0, lambda: workflow.review_lettings(db, LAST_YEAR))


def prices(record: Path, sample: Path) -> None:
    from bidlens.proposal import Proposal

    with workflow.open_database(record) as db:
        priced = timed("price history and model, big record", None, db.price_history)
        offer = Proposal(
            "Invented", "Invented Works", "adjacent box beam", ("furnish", "deliver", "set"), Decimal(400_000),
            length_ft=80.0, width_ft=32.0, spans=1,
        )  # fmt: skip
        timed("check of a proposal, history at hand", 0.5, lambda: workflow.check_proposal(db, offer, priced=priced))
        told("  peak memory", peak_mb(), None, "MB")


def pages(record: Path, sample: Path) -> None:
    from tests.benchmarks import page_times

    for page in page_times.PAGES:
        cold, warm = page_times.cold_and_warm(record, page)
        told(f"{page}, big record, warm", warm, 1.5, beside=f"(cold {cold:.1f} s)")
    told("  peak memory", peak_mb(), None, "MB")


def sessions(record: Path, sample: Path) -> None:
    from tests.benchmarks import page_times

    times, troubles = page_times.sessions_at_once(record)
    told("errors, five sessions at once, big record", len(troubles), 0, "")
    told("  slowest page among them", max(times), None)
    told("  median page among them", sorted(times)[len(times) // 2], None)
    for trouble in troubles[:10]:
        print(f"    {trouble}")


def county(record: Path, sample: Path) -> None:
    from tests.benchmarks import page_times

    told("first page, sample county, cold", page_times.first_sight(sample), 3.0)
    for page in page_times.PAGES:
        cold, warm = page_times.cold_and_warm(sample, page)
        told(f"{page}, sample county, warm", warm, 1.0, beside=f"(cold {cold:.1f} s)")
    for page in page_times.PAGES:
        by_form = page == "pay_item_prices"
        changes = page_times.searches(sample) if by_form else page_times.widget_changes(sample, page)
        told(f"{page}, a widget changed, p95 of {len(changes.again)}", page_times.p95(changes.again), 0.4)
        told(f"  to what was never asked before, p95 of {len(changes.new)}", page_times.p95(changes.new), 0.4)


PARTS: dict[str, Callable[[Path, Path], None]] = {
    "review": review,
    "prices": prices,
    "pages": pages,
    "sessions": sessions,
    "county": county,
}


@contextmanager
def _folder(kept: Path | None):  # type: ignore[no-untyped-def]
    if kept:
        kept.mkdir(parents=True, exist_ok=True)
        yield kept
    else:
        with tempfile.TemporaryDirectory() as made:
            yield Path(made)


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--contracts", type=int, default=7000)
    parser.add_argument("--folder", type=Path, help="keep the records here, or use those that are there")
    parser.add_argument("--part", nargs="+", choices=list(PARTS), default=list(PARTS))
    parser.add_argument("--alone", action="store_true", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    with _folder(asked.folder) as folder:
        record, sample = folder / "record.duckdb", folder / "sample.duckdb"
        if asked.alone:
            PARTS[asked.part[0]](record, sample)
            return
        if not record.exists():
            timed(
                f"{asked.contracts:,} contracts made and imported",
                None,
                lambda: make_record(record, folder, asked.contracts),
            )
        if not sample.exists():
            workflow.build_sample_county(sample).store.close()
        for part in asked.part:
            command = [sys.executable, "-m", "tests.benchmarks.bench_big_record", "--alone", "--part", part]
            subprocess.run([*command, "--folder", str(folder)], check=False)


if __name__ == "__main__":
    main()

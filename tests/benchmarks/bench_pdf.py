"""How many pages of PDF bid tabs are read a second, opening in a process of its own included.

    python -m tests.benchmarks.bench_pdf [FILE ...]

Without files, an invented tabulation of 60 pages is drawn and read.
"""

from __future__ import annotations

import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import pypdfium2

from bidlens.errors import BidlensError
from bidlens.ingest import read_file
from tests.ingest.pdf.conftest import ITEMS, OFFERS
from tests.ingest.pdf.drawing import Paper, draw_blocks


def drawn(folder: Path) -> Path:
    """30 pages for each of two blocks of bidders, 18 items a page."""
    items = [replace(item, code=f"{at:03d}-00001", section=ITEMS[0].section) for at in range(135) for item in ITEMS]
    offers = [replace(offer, prices=offer.prices * 135) for offer in OFFERS]
    paper = Paper(folder / "drawn.pdf")
    draw_blocks(paper, items, offers, per_page=18)
    return paper.save()


def main() -> None:
    """One line a file: pages, seconds (best of three), pages a second, what became of it."""
    with tempfile.TemporaryDirectory() as folder:
        for path in map(Path, sys.argv[1:]) if sys.argv[1:] else [drawn(Path(folder))]:
            with pypdfium2.PdfDocument(path) as document:
                pages = len(document)
            best, outcome = float("inf"), ""
            for _ in range(3):
                start = time.perf_counter()
                try:
                    outcome = f"{len(read_file(path).tables['bid_price']):,} prices"
                except BidlensError as error:
                    outcome = f"refused: {str(error).splitlines()[0][:70]}"
                best = min(best, time.perf_counter() - start)
            print(f"{pages:5} pages {best:7.2f} s {pages / best:7.0f} pages/s  {outcome}  {path.name}")


if __name__ == "__main__":
    main()

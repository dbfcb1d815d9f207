"""Damaged PDFs by the thousand: each must be read right or refused in plain words, never end in a traceback.

python -m tests.ingest.pdf.damage --count 2000
"""

from __future__ import annotations

import argparse
import random
import re
import sys
import tempfile
import time
from collections import Counter
from decimal import Decimal
from pathlib import Path

from bidlens.errors import BidlensError
from bidlens.ingest import read_file


def damaged(whole: bytes, seed: int) -> bytes:
    """The bytes of a PDF with one kind of damage, chosen by the seed: always the same for the same seed."""
    dice = random.Random(seed)
    raw = bytearray(whole)
    kind = seed % 6  # every kind comes up as often
    at = dice.randrange(16, len(raw))
    if kind == 0:  # single bytes changed
        for _ in range(dice.choice((1, 5, 50))):
            raw[dice.randrange(8, len(raw))] = dice.randrange(256)
    elif kind == 1:  # a piece lost
        del raw[at : at + dice.randrange(1, 400)]
    elif kind == 2:  # a piece doubled
        raw[at:at] = raw[at : at + dice.randrange(1, 400)]
    elif kind == 3:  # cut off, with an end mark put behind
        raw = raw[:at] + b"\n%%EOF\n"
    elif kind == 4:  # a number of the file's own tables made huge, negative or nought
        numbers = [match.span() for match in re.finditer(rb"\b\d+\b", whole)]
        start, end = dice.choice(numbers)
        raw[start:end] = dice.choice((b"0", b"-1", b"999999999", b"4294967296", b"1e9"))
    else:  # the text of one page changed inside its packed stream
        raw = bytearray(_digit_changed(whole, dice))
    return bytes(raw)


def _digit_changed(whole: bytes, dice: random.Random) -> bytes:
    """One digit of one page's text exchanged for another; the stream is not packed in these files, or left alone."""
    shown = [match.start() for match in re.finditer(rb"\d(?=[\d,.]*\) Tj)", whole)]
    if not shown:
        return whole
    at = dice.choice(shown)
    return whole[:at] + bytes([48 + (whole[at] - 48 + dice.randrange(1, 10)) % 10]) + whole[at + 1 :]


def sample(folder: Path) -> Path:
    """An invented bid tab of two blocks with its ranking; its pages are not packed, so damage reaches the text."""
    from tests.ingest.pdf.conftest import ITEMS, OFFERS
    from tests.ingest.pdf.drawing import Paper, draw_blocks, draw_ranking

    paper = Paper(folder / "tab.pdf", options={"pageCompression": 0})
    draw_ranking(paper, ITEMS, OFFERS)
    draw_blocks(paper, ITEMS, OFFERS)
    return paper.save()


def main() -> int:
    """Count what became of the damaged files; 1 if one was read wrong or ended in a traceback."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--count", type=int, default=2000)
    arguments.add_argument("--first", type=int, default=0)
    arguments.add_argument("--seconds", type=float, default=float("inf"), help="stop after this time")
    told = arguments.parse_args()
    became: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        path = sample(Path(folder))
        whole = path.read_bytes()
        right = _totals(path)
        end = time.monotonic() + told.seconds
        for seed in range(told.first, told.first + told.count):
            if time.monotonic() > end:
                break
            path.write_bytes(damaged(whole, seed))
            try:
                outcome = "read right" if _same(_totals(path), right) else f"READ WRONG, seed {seed}"
            except BidlensError:
                outcome = "refused"
            except Exception as error:  # noqa: BLE001 - what must not happen is what is looked for
                outcome = f"TRACEBACK, seed {seed}: {type(error).__name__}"
            became[outcome] += 1
    for outcome, count in became.most_common():
        print(f"{count:6,}  {outcome}")
    return int(any(outcome.isupper() or "seed" in outcome for outcome in became))


def _totals(path: Path) -> list[Decimal]:
    return sorted(read_file(path).tables["bid"]["total_corrected"])


def _same(found: list[Decimal], right: list[Decimal]) -> bool:
    """To a cent: a price changed by less than its amount shows cannot be seen in any sum."""
    pairs = zip(found, right, strict=False)
    return len(found) == len(right) and all(abs(one - other) <= Decimal("0.01") for one, other in pairs)


if __name__ == "__main__":
    sys.exit(main())

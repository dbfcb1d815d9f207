"""Write Larkmoor County, the invented sample county, again: every file, byte for byte.

    python sample_bids/make_samples.py            rewrites this folder
    python sample_bids/make_samples.py --out DIR  writes the same files elsewhere

Nothing here knows how bidlens reads or judges a file: of bidlens only the published cost index is used. So the files
and truth.json stand as an independent witness of what ought to be found in them.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

from _make import bid_tabs, letters, structure_list, workbooks  # noqa: E402
from _make.bids import Letting, take_bids  # noqa: E402
from _make.low_bid import price_low_bid  # noqa: E402
from _make.plan import contracts  # noqa: E402
from _make.truth_file import truth_json  # noqa: E402


def all_files() -> Iterator[tuple[str, bytes]]:
    """Every file by its path below the sample folder."""
    lettings = [take_bids(price_low_bid(contract)) for contract in contracts()]
    named: dict[tuple[str, str], str] = {}
    for day, group in groupby(lettings, key=lambda letting: letting.contract.letting_date):
        together = list(group)
        name, data = _bid_tab(together)
        named |= {(letting.contract.contract_id, day.isoformat()): name for letting in together}
        yield f"bid_tabs/{name}", data
    yield "structures.csv", structure_list.structures_csv(lettings)
    yield "program_2027.csv", structure_list.program_csv()
    for name, text in letters.LETTERS.items():
        yield f"proposals/{name}", text.encode("utf-8")
    yield "proposals/several_offers.csv", letters.SEVERAL.encode("utf-8")
    yield "proposals/quotations_k204.txt", letters.QUOTATIONS.encode("utf-8")
    yield "truth.json", truth_json(lettings, named)


def _bid_tab(lettings: list[Letting]) -> tuple[str, bytes]:
    """The file of one letting date, in its layout."""
    contract = lettings[0].contract
    stem = f"letting_{contract.letting_date.isoformat()}"
    text = {"csv": bid_tabs.long_csv, "money": bid_tabs.money_csv, "ansi": bid_tabs.ansi_csv}
    if contract.layout in text:
        return f"{stem}.csv", text[contract.layout](lettings)
    if contract.layout == "book":
        return f"{stem}.xlsx", workbooks.long_workbook(lettings)
    (only,) = lettings
    return f"{stem}.xlsx", workbooks.wide_workbook(only)


def main() -> None:
    parser = argparse.ArgumentParser(description="Write the sample county's files.")
    parser.add_argument("--out", type=Path, default=HERE, help="folder to write to (default: this one)")
    out: Path = parser.parse_args().out
    count = size = 0
    for name, data in all_files():
        path = out / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
        count, size = count + 1, size + len(data)
    sys.stderr.write(f"{count} files, {size:,} bytes, in {out}\n")


if __name__ == "__main__":
    main()

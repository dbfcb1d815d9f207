"""How it works, the part that stands without a record: each number with its formula and source, versions and data."""

from __future__ import annotations

import tomllib
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from bidlens import wording
from bidlens.dashboard import blocks, cache, words
from bidlens.dashboard.words import Html, esc
from bidlens.reference import CostIndex, load_table
from bidlens.tables import SCHEMA_VERSION

#: What is seen, how it is found, its formula, its source, what it leaves out; in the file's order.
EXPLAINED = Path(__file__).with_name("numbers_explained.toml")
_COLUMNS = {"seen": "What you see", "found": "How it is found", "source": "Source", "leaves_out": "What it leaves out"}


def numbers() -> list[dict[str, str]]:
    """Every number the pages show, as the file explains it."""
    return list(tomllib.loads(EXPLAINED.read_text(encoding="utf-8"))["number"])


def explained() -> None:
    """Where each number comes from; the formula stands under how it is found."""
    blocks.section(
        "Where each number comes from",
        "c dollars per sf, s longest span in ft, A deck area in sf, I the cost index, m the middle of ln c.",
    )
    rows = [[Html(f"<b>{esc(one['seen'])}</b>"), _found(one), one["source"], one["leaves_out"]] for one in numbers()]
    blocks.table([blocks.Column(title) for title in _COLUMNS.values()], rows)


def _found(one: dict[str, str]) -> Html:
    return Html(f'{esc(one["found"])}<br><span class="bl-formula">{esc(one["formula"])}</span>')


def sources() -> None:
    """The published tables in the program."""
    blocks.section("Published tables")
    about = [load_table(name).about for name in ("nhcci", "nbi_item43")]
    rows = [[str(one.get(key, "not stated")) for key in ("title", "publisher", "release", "licence")] for one in about]
    blocks.table([blocks.Column(title) for title in ("Table", "Publisher", "Release", "Licence")], rows)


def stamps(index: CostIndex) -> None:
    """Version of the program, the record, its last import, and the index: what a printed number rests on."""
    blocks.section("Versions and data")
    blocks.title_block(
        {
            "Program": f"bidlens {program_version()}",
            "Record": f"{words.label(cache.database().path.name, 40)}, tables of version {SCHEMA_VERSION}",
            "Last import": last_import(),
            "Shipped index": index.title,
        }
    )


def program_version() -> str:
    """As installed; “not installed” when run from a folder."""
    try:
        return version("bidlens")
    except PackageNotFoundError:
        return "not installed"


def last_import() -> str:
    if cache.is_empty():
        return "nothing yet"
    last = cache.table("imports").iloc[0]
    return f"{wording.day(last['imported_at'])}, {words.label(last['source_file'], 40)}"

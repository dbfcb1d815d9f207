"""A file to typed rows and findings: bid tabs, structures, NBI extracts, proposals, cost indexes, program lists.

`read_file` is the one way in. It says what kind of file it is, hands it to that kind's reader, and gives a `Batch`;
nothing is stored here.
"""

from __future__ import annotations

import hashlib
import importlib
from pathlib import Path

from bidlens.batch import Batch
from bidlens.errors import BadValue, UnreadableFile
from bidlens.ingest import guard
from bidlens.ingest.cost_index import index_from_file, index_from_frame, index_of_rows
from bidlens.ingest.grid import Grid, read_grids
from bidlens.ingest.proposals import parse_proposal, proposals_of

__all__ = [
    "KINDS",
    "fingerprint",
    "index_from_file",
    "index_from_frame",
    "index_of_rows",
    "parse_proposal",
    "proposals_of",
    "read_file",
    "recognise",
]

#: Kinds of file, and the module that reads each. Order is the order in which an unnamed file is tried.
READERS = {
    "bid-tab": "bid_tabs",
    "proposals": "proposals",
    "nbi": "nbi",
    "structures": "structures",
    "program": "program",
    "cost-index": "cost_index",
}
KINDS = tuple(READERS)


def read_file(path: str | Path, kind: str | None = None, *, name: str | None = None) -> Batch:
    """Read one file whole; nothing is stored.

    kind : one of `KINDS`; recognised from the content when not given. name : shown name if the path is a temporary
    copy. Raises UnreadableFile if it is no readable table or of no known kind, BadValue at a cell that cannot be read.
    """
    path = Path(path)
    shown = name or path.name
    if kind is not None and kind not in READERS:
        raise BadValue(f"there is no kind of file “{kind}”", do=f"Kinds: {', '.join(KINDS)}.")
    if Path(shown).suffix.lower() == ".toml":
        return _read_toml(path, kind, shown)
    grids = read_grids(path, shown)
    found = kind or recognise(grids)
    batch: Batch = _reader(found).read(grids, fingerprint(path))
    on_opening = [finding for grid in grids for finding in grid.findings]
    batch.findings[:0] = [finding for finding in on_opening if finding not in batch.findings]
    return batch


def recognise(grids: list[Grid]) -> str:
    """The kind of file, by the words of its headings. Raises UnreadableFile if it is none we know."""
    for kind in READERS:
        if _reader(kind).looks_like(grids):
            return kind
    raise UnreadableFile(
        "no sheet has the headings of a bid tab, structure list, inventory extract, proposals, program or cost index",
        where=grids[0].file,
        do="Give the columns plain headings (contract, item, quantity, unit, bidder, unit price, ...) or say --kind.",
    )


def fingerprint(path: Path) -> str:
    """SHA-256 of the file's bytes, in hexadecimal."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _reader(kind: str):  # type: ignore[no-untyped-def]
    return importlib.import_module(f"bidlens.ingest.{READERS[kind]}")


def _read_toml(path: Path, kind: str | None, name: str) -> Batch:
    if kind not in (None, "proposals"):
        raise BadValue(f"a .toml file holds proposals, not {kind}", where=name, do="Leave out --kind.")
    guard.check_file(path, name)
    batch: Batch = _reader("proposals").read_toml(path, fingerprint(path), name)
    return batch

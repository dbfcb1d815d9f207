"""A file to typed rows and findings: bid tabs, structures, NBI extracts, proposals, cost indexes, program lists.

`read_file` is the one way in. It says what kind of file it is, hands it to that kind's reader, and gives a `Batch`;
nothing is stored here.
"""

from __future__ import annotations

import hashlib
import importlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from bidlens.batch import Batch
from bidlens.errors import BadValue, UnreadableFile
from bidlens.ingest import quotations
from bidlens.ingest.cost_index import index_from_file, index_from_frame, index_of_rows
from bidlens.ingest.grid import Grid, read_grids
from bidlens.ingest.guard import check_file
from bidlens.ingest.mapping import KINDS_TOLD, SIDECAR, ColumnMapping, beside, field_names, parse_mapping, read_mapping
from bidlens.ingest.proposals import parse_proposal, proposals_of
from bidlens.ingest.recognition import mapping_of, recognition
from bidlens.ingest.rules import AS_READ, ENTRY_RULES, BidRules, entry_notes, parse_award
from bidlens.ingest.sheet_read import ColumnRead, Recognition, SheetRead
from bidlens.ingest.told import KeptMapping, Used, apply, note

__all__ = [
    "ENTRY_RULES",
    "KINDS",
    "KINDS_TOLD",
    "BidRules",
    "ColumnMapping",
    "ColumnRead",
    "KeptMapping",
    "Opened",
    "Recognition",
    "SheetRead",
    "beside",
    "check_file",
    "field_names",
    "fingerprint",
    "index_from_file",
    "index_from_frame",
    "index_of_rows",
    "mapping_of",
    "open_file",
    "parse_award",
    "parse_mapping",
    "parse_proposal",
    "proposals_of",
    "read_file",
    "read_mapping",
    "read_opened",
    "recognise",
    "recognition_of",
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


def read_file(
    path: str | Path,
    kind: str | None = None,
    *,
    name: str | None = None,
    mapping: ColumnMapping | None = None,
    kept: Sequence[KeptMapping] = (),
    rules: BidRules = AS_READ,
) -> Batch:
    """Read one file whole; nothing is stored.

    kind : one of `KINDS`; recognised from the content when not given. name : shown name if the path is a temporary
    copy. mapping : which column is what, as told for this file. kept : mappings on record; one made for the same
    headings is used where none is told. rules : the owner's word on counting bids; of bid tabs alone.
    Raises UnreadableFile if it is no readable table or of no known kind, BadValue at a cell that cannot be read.
    """
    return read_opened(open_file(path, kind, name=name, mapping=mapping, kept=kept), rules)


@dataclass(frozen=True, slots=True, eq=False)
class Opened:
    """A file opened and told about, not yet read. kind : as given or told; used : the mapping used, if any."""

    path: Path
    name: str
    kind: str | None
    grids: list[Grid]
    used: Used | None


def open_file(
    path: str | Path,
    kind: str | None = None,
    *,
    name: str | None = None,
    mapping: ColumnMapping | None = None,
    kept: Sequence[KeptMapping] = (),
) -> Opened:
    """The sheets of a file with what was told about them; parameters and errors as of `read_file`."""
    path = Path(path)
    shown = name or path.name
    if kind is not None and kind not in READERS:
        raise BadValue(f"there is no kind of file “{kind}”", do=f"Kinds: {', '.join(KINDS)}.")
    if Path(shown).suffix.lower() == ".toml":
        return Opened(path, shown, _kind_of_toml(kind, shown), [], None)
    if Path(shown).suffix.lower() == ".pdf":
        return Opened(path, shown, _kind_of_pdf(kind, mapping, shown), [], None)
    grids, used = apply(read_grids(path, shown), mapping, kept, kind)
    return Opened(path, shown, used.mapping.kind if used else kind, grids, used)


def read_opened(opened: Opened, rules: BidRules = AS_READ, sha256: Callable[[], str] | None = None) -> Batch:
    """The rows of an opened file. Raises as `read_file`.

    sha256 : gives the file's `fingerprint`, where somebody is taking it already.
    """
    taken = sha256 or partial(fingerprint, opened.path)
    if not opened.grids:
        is_pdf = Path(opened.name).suffix.lower() == ".pdf"
        return _read_pdf(opened, taken(), rules) if is_pdf else _read_toml(opened, taken())
    kind = opened.kind or recognise(opened.grids)
    extra = (rules,) if kind == "bid-tab" else ()
    batch: Batch = _reader(kind).read(opened.grids, "", *extra)
    batch.sha256 = taken()
    on_opening = [finding for grid in opened.grids for finding in grid.findings]
    if kind == "bid-tab":
        batch.findings += entry_notes(rules, opened.name)
    batch.findings[:0] = [finding for finding in on_opening if finding not in batch.findings]
    if opened.used:
        batch.findings.append(note(opened.used, opened.grids))
    return batch


def recognition_of(opened: Opened, header_row: int | None = None) -> Recognition:
    """What was recognised in an opened file, sheet by sheet, and how sure that is; nothing is read into rows.

    header_row : take this row, counted from 1, for the headings, whatever stands in it.
    """
    if not opened.grids:
        return Recognition(opened.name, opened.kind or "", "", ())
    kind = opened.kind or _kind_or_none(opened.grids)
    return recognition(opened.name, opened.grids, kind, opened.used, header_row)


def _kind_or_none(grids: list[Grid]) -> str | None:
    try:
        return recognise(grids)
    except UnreadableFile:
        return None


def recognise(grids: list[Grid]) -> str:
    """The kind of file, by the words of its headings. Raises UnreadableFile if it is none we know."""
    for kind in READERS:
        if _reader(kind).looks_like(grids):
            return kind
    if quotations.in_lines(grids):
        return "proposals"
    hidden = [f"“{grid.sheet}”" for grid in grids if grid.hidden]
    raise UnreadableFile(
        "no sheet has the headings of a bid tab, structure list, inventory extract, proposals, program or cost index"
        + (f" (hidden and not looked at: {', '.join(hidden)})" if hidden else ""),
        where=grids[0].file,
        do="Give the columns plain headings (contract, item, quantity, unit, bidder, unit price, ...), or say which "
        "column is what: on the Records page, or in a file beside it (--columns FILE).",
    )


def fingerprint(path: Path) -> str:
    """SHA-256 of the file's bytes, in hexadecimal."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _reader(kind: str):  # type: ignore[no-untyped-def]
    return importlib.import_module(f"bidlens.ingest.{READERS[kind]}")


def _kind_of_toml(kind: str | None, name: str) -> str:
    if name.lower().endswith(SIDECAR):
        raise BadValue(
            "this file says which column is what in another file; it holds no data",
            where=name,
            do="Import the file it stands beside: it is read with it.",
        )
    if kind not in (None, "proposals"):
        raise BadValue(
            f"a .toml file holds proposals, not {kind}", where=name, do="Let the kind be recognised (no --kind)."
        )
    return "proposals"


def _kind_of_pdf(kind: str | None, mapping: ColumnMapping | None, name: str) -> str:
    if kind not in (None, "bid-tab"):
        raise BadValue(f"a PDF is read as a bid tab only, not as {kind}", where=name, do="Save it as .xlsx or .csv.")
    if mapping is not None:
        raise BadValue(
            "a PDF has no columns of its own that could be told what they are",
            where=name,
            do="Leave the mapping out; the columns of a PDF are found by its headings.",
        )
    return "bid-tab"


def _read_pdf(opened: Opened, sha256: str, rules: BidRules) -> Batch:
    check_file(opened.path, opened.name)
    batch: Batch = importlib.import_module("bidlens.ingest.pdf").read(opened.path, sha256, opened.name, rules)
    return batch


def _read_toml(opened: Opened, sha256: str) -> Batch:
    check_file(opened.path, opened.name)
    batch: Batch = _reader("proposals").read_toml(opened.path, sha256, opened.name)
    return batch

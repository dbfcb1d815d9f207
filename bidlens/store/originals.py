"""Imported files kept as they were, packed, so that any number can be followed to its row as it was read."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

import duckdb
import pyarrow as pa

from bidlens.errors import NotOnRecord, StoreError
from bidlens.store.connection import Store
from bidlens.store.statements import statement

#: A file that packs to more than this is not kept: the record would grow by more than the rows read from it.
MOST_PACKED_BYTES = 128 * 2**20
_CODEC = "zstd"  # RFC 8878
_BYTES_AT_ONCE = 4 * 2**20


@dataclass(frozen=True, slots=True, eq=False)
class Packed:
    """A file's bytes, packed; file_bytes is their number."""

    file_bytes: int
    packed: bytes


@dataclass(frozen=True, slots=True, eq=False)
class Original:
    """A file as it was imported."""

    source_file: str
    content: bytes


def pack(path: Path) -> Packed | None:
    """A file's bytes for `save_batch`; None for one that is empty or too large to keep."""
    size = path.stat().st_size
    if not size:
        return None
    held = pa.BufferOutputStream()
    with path.open("rb") as stream, pa.CompressedOutputStream(held, _CODEC) as packer:
        while part := stream.read(_BYTES_AT_ONCE):
            packer.write(part)
            if held.tell() > MOST_PACKED_BYTES:
                return None
    packed = held.getvalue()
    return Packed(size, packed.to_pybytes()) if packed.size <= MOST_PACKED_BYTES else None


def keep(cursor: duckdb.DuckDBPyConnection, batch_id: int, source_file: str, packed: Packed) -> None:
    """Store a packed file with its import, inside the import's own transaction."""
    row = {"batch_id": batch_id, "source_file": source_file, "file_bytes": packed.file_bytes, "packed": packed.packed}
    cursor.execute(statement("saving/kept_file"), row)


def original(store: Store, batch_id: int) -> Original:
    """The file of one import, byte for byte.

    Raises NotOnRecord if it was not kept (an import of an earlier bidlens, or a very large file), StoreError if what
    was kept is not the file that was read.
    """
    with store.open() as cursor:
        row = cursor.execute(statement("saving/kept_file_of"), {"batch_id": batch_id}).fetchone()
    if row is None:
        raise NotOnRecord(
            f"the file of import {batch_id} was not kept",
            do="Rows are kept as they were understood. Take the import back and import the file again to keep it too.",
        )
    name, size, packed, sha256 = row
    content = pa.decompress(packed, decompressed_size=size, codec=_CODEC, asbytes=True)
    if hashlib.sha256(content).hexdigest() != sha256:
        raise StoreError(f"the file kept of import {batch_id} is not the one that was read", where=str(store.path))
    return Original(name, content)

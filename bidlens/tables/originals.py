"""The table of imported files as they were, so that a number can be followed to its row as it was read."""

from __future__ import annotations

from bidlens.schema import Column, Table

KEPT_FILE = Table(
    "kept_file",
    "One row per import whose file was kept: its bytes, from which a row is shown as it was read.",
    ("batch_id",),
    (
        Column("source_file", "VARCHAR", "Name of the file.", required=True),
        Column("file_bytes", "BIGINT", "Size of the file.", "bytes", True, "file_bytes > 0"),
        Column("packed", "BLOB", "The file's bytes, packed with Zstandard (RFC 8878).", required=True),
        Column("batch_id", "INTEGER", "The import this row came with.", required=True),
    ),
)

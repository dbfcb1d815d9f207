"""Large text tables read by column instead of by row: a tenth of the memory and time of a list of cells.

Only plain tables take this way: every line with the same number of cells, UTF-8, closed quotation marks. Whatever is
not like that is left to the reader that goes line by line and says what is wrong, and where.
"""

from __future__ import annotations

import mmap
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import overload

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.csv as pacsv

from bidlens.ingest.coded import Coded, CodedText, EachText

WORTH_IT_FROM_BYTES = 8 * 2**20
_BLOCK_BYTES = 8 * 2**20
_ROWS_AT_ONCE = 10_000
_ENOUGH_TO_TELL = 1_000


class ColumnRows(Sequence[list[str]]):
    """The rows of a table of m columns kept by column; a row is put together when it is asked for."""

    def __init__(self, columns: Sequence[CodedText]) -> None:
        self.columns = list(columns)

    def __len__(self) -> int:
        return len(self.columns[0])

    @overload
    def __getitem__(self, at: int) -> list[str]: ...
    @overload
    def __getitem__(self, at: slice) -> ColumnRows: ...
    def __getitem__(self, at: int | slice) -> list[str] | ColumnRows:
        if isinstance(at, slice):
            return ColumnRows([column.rows(at) for column in self.columns])
        return [column.cell(at) for column in self.columns]

    def __iter__(self) -> Iterator[list[str]]:
        for start in range(0, len(self), _ROWS_AT_ONCE):
            part = slice(start, start + _ROWS_AT_ONCE)
            yield from map(list, zip(*(column.cells(part) for column in self.columns), strict=True))

    def below(self, row: int, column: int) -> Coded:
        """The cells of a column below a row."""
        below = self.columns[column].rows(slice(row + 1, None))
        return below.where(np.ones(len(below), dtype=bool))


def read_columns(path: Path, delimiter: str) -> ColumnRows | None:
    """The whole file by column, or None if it is no plain table of two or more columns in UTF-8."""
    with path.open("rb") as stream, mmap.mmap(stream.fileno(), 0, access=mmap.ACCESS_READ) as raw:
        if raw.find(b"\x00") >= 0:
            return None
        width = _cells_of_first_line(raw, delimiter)
        quoted = raw.find(b'"') >= 0
    if width < 2:
        return None
    table = _parsed(path, delimiter, width, quoted)
    if table is None:
        return None
    columns = []
    for name in table.column_names:
        columns.append(_coded(table[name]))
        table = table.drop_columns([name])  # each column is let go as soon as its copy is made
    return ColumnRows(columns)


def _parsed(path: Path, delimiter: str, width: int, quoted: bool) -> pa.Table | None:
    """The cells as text. Parts of the file are read side by side; where a part would end inside quotation marks the
    parser says so, and the file is gone through from its beginning.
    """
    names = [str(place) for place in range(width)]
    for breaks_in_cells in (False, True) if quoted else (False,):
        try:
            return pacsv.read_csv(
                path,
                read_options=pacsv.ReadOptions(column_names=names, block_size=_BLOCK_BYTES),
                parse_options=pacsv.ParseOptions(
                    delimiter=delimiter, newlines_in_values=breaks_in_cells, ignore_empty_lines=False
                ),
                convert_options=pacsv.ConvertOptions(
                    column_types=dict.fromkeys(names, pa.string()), strings_can_be_null=False
                ),
            )
        except pa.ArrowInvalid:
            continue
    return None


def _cells_of_first_line(raw: mmap.mmap, delimiter: str) -> int:
    end = raw.find(b"\n")
    first = raw[: end if end >= 0 else len(raw)]
    return 0 if b'"' in first else first.count(delimiter.encode()) + 1


def _coded(column: pa.ChunkedArray) -> CodedText:
    """A column of few different cells by what is different in it; of many, such as amounts, cell by cell."""
    part = column.chunk(0)
    if len(part) >= _ENOUGH_TO_TELL and pc.count_distinct(part).as_py() * 2 > len(part):
        return EachText(_in_one_piece(column))
    whole = _in_one_piece(column.dictionary_encode())
    return CodedText(whole.indices.to_numpy(zero_copy_only=False), whole.dictionary)


def _in_one_piece(column: pa.ChunkedArray) -> pa.Array:
    whole = column.combine_chunks()
    return whole.unify_dictionaries().combine_chunks() if isinstance(whole, pa.ChunkedArray) else whole

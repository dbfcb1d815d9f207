"""A column of cells as the different cells in it and, for each row, which of them it is."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar, TypeAlias

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

#: Text that white space may have to be tidied in: two blanks, or anything but plain printable characters.
_MAY_BE_UNTIDY = r"  |[^ -~]"

Cell: TypeAlias = str | float | int | bool | dt.date | dt.datetime | dt.time | dt.timedelta


@dataclass(frozen=True, slots=True, eq=False)
class Coded:
    """A column of n cells as the different cells in it and, for each row, which one it is (-1: none)."""

    codes: np.ndarray
    uniques: np.ndarray
    each: ClassVar[bool] = False  # every row has a cell of its own, in the order of the rows

    def __len__(self) -> int:
        return len(self.codes)

    def where(self, keep: np.ndarray) -> Coded:
        """Only the rows where `keep` (n bool), and only the cells that occur there."""
        codes, used = renumbered(self.codes[keep], len(self.uniques))
        return Coded(codes, self.uniques[used])

    def filled_in(self, where: np.ndarray, shown: str) -> Coded:
        """The column with a text in the rows `where` (n bool)."""
        return Coded(np.where(where, len(self.uniques), self.codes), np.append(self.uniques, np.array(shown, object)))

    def is_blank(self) -> np.ndarray:
        """True where a row has no cell, or one of white space only."""
        blank = [isinstance(cell, str) and not cell.strip() for cell in self.uniques]
        return np.array([*blank, True])[self.codes]

    def matches(self, test: Callable[[Cell], bool]) -> np.ndarray:
        """True where the cell passes the test; asked once per different cell."""
        return np.array([*(bool(test(cell)) for cell in self.uniques), False])[self.codes]

    @property
    def different(self) -> int:
        """How many different cells there are."""
        return len(self.uniques)

    def floats(self) -> np.ndarray:
        """Which of the different cells are numbers as a workbook holds them, bool."""
        return np.fromiter((type(cell) is float for cell in self.uniques), dtype=bool, count=len(self.uniques))

    def texts_among(self, which: np.ndarray) -> tuple[np.ndarray, list[int]]:
        """Of some places of different cells those that hold text, and the others."""
        is_text = np.fromiter((isinstance(cell, str) for cell in self.uniques[which]), dtype=bool, count=len(which))
        return which[is_text], [int(place) for place in which[~is_text]]

    def texts_at(self, which: np.ndarray) -> pa.Array:
        """The different cells at some places, all of them text, as Arrow text."""
        return pa.array(self.uniques[which], type=pa.string())


class CodedText(Coded):
    """As `Coded`, of text alone and kept as Arrow text: Python's own text is made only where it is asked for."""

    __slots__ = ("_objects", "shown")

    shown: pa.StringArray
    _objects: np.ndarray | None

    def __init__(self, codes: np.ndarray, shown: pa.StringArray) -> None:
        object.__setattr__(self, "codes", codes)
        object.__setattr__(self, "shown", shown)
        object.__setattr__(self, "_objects", None)

    @property
    def uniques(self) -> np.ndarray:
        made = self._objects
        if made is None:
            made = self.shown.to_numpy(zero_copy_only=False)
            object.__setattr__(self, "_objects", made)
        return made

    def cell(self, at: int) -> str:
        """The cell of one row."""
        return str(self.shown[int(self.codes[at])].as_py())

    def cells(self, part: slice) -> list[str]:
        """The cells of some rows."""
        return self.shown.take(pa.array(self.codes[part])).to_pylist()

    def rows(self, part: slice) -> CodedText:
        """Only some rows; the different cells stay as they are."""
        return CodedText(self.codes[part], self.shown)

    def where(self, keep: np.ndarray) -> CodedText:
        codes, used = renumbered(self.codes[keep], len(self.shown))
        return CodedText(codes, self.shown.filter(pa.array(used)))

    def filled_in(self, where: np.ndarray, shown: str) -> CodedText:
        codes = np.where(where, len(self.shown), self.codes).astype(np.int32)
        return CodedText(codes, pa.concat_arrays([self.shown, pa.array([shown], self.shown.type)]))

    def is_blank(self) -> np.ndarray:
        blank = pc.match_substring_regex(self.shown, r"^\s*$").to_numpy(zero_copy_only=False)
        return np.append(blank, True)[self.codes]

    def is_one_of(self, words: frozenset[str]) -> np.ndarray:
        """True where the text, its white space tidied, is one of the words."""
        trimmed = pc.utf8_trim_whitespace(self.shown)
        found = pc.is_in(trimmed, value_set=pa.array(sorted(words), trimmed.type)).to_numpy(zero_copy_only=False)
        found = np.append(found, False)
        untidy = pc.match_substring_regex(trimmed, _MAY_BE_UNTIDY).to_numpy(zero_copy_only=False)
        for place in np.flatnonzero(untidy):
            found[place] = " ".join(str(self.shown[int(place)].as_py()).split()) in words
        return found[self.codes]

    @property
    def different(self) -> int:
        return len(self.shown)

    def floats(self) -> np.ndarray:
        return np.zeros(len(self.shown), dtype=bool)

    def texts_among(self, which: np.ndarray) -> tuple[np.ndarray, list[int]]:
        return which, []

    def texts_at(self, which: np.ndarray) -> pa.Array:
        return self.shown if len(which) == len(self.shown) else self.shown.take(pa.array(which))


class EachText(CodedText):
    """As `CodedText`, of cells of which nearly all differ: each row has its own, and nothing is looked for twice."""

    __slots__ = ()

    each: ClassVar[bool] = True

    def __init__(self, shown: pa.StringArray) -> None:
        super().__init__(np.arange(len(shown), dtype=np.int32), shown)

    def rows(self, part: slice) -> EachText:
        start, stop, step = part.indices(len(self))
        return EachText(self.shown.slice(start, max(stop - start, 0))[::step])

    def where(self, keep: np.ndarray) -> EachText:
        return self if keep.all() else EachText(self.shown.filter(pa.array(keep)))


def renumbered(codes: np.ndarray, count: int) -> tuple[np.ndarray, np.ndarray]:
    """Codes (from 0; -1 none) of the values that occur, numbered anew, and which of the `count` values those are."""
    used = np.zeros(count + 1, dtype=bool)
    used[codes] = True
    used[-1] = False  # the place that code -1 points to
    number = np.cumsum(used, dtype=np.int32) - 1
    number[-1] = -1
    return number[codes], used[:-1]

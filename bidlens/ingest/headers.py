"""Find the row that names the columns, by the words the trade uses, in any order and case.

What the words are is data: each reader has a TOML file that lists, for each field, the phrases that name it. A phrase
matches where each of its words begins a word of the heading, side by side: “unit pri” matches “Unit Price ($)”.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from bidlens.ingest.grid import Cell, Grid

_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])|(?<=[A-Za-z])(?=\d)|(?<=\d)(?=[A-Za-z])")
_APOSTROPHE = re.compile(r"[’'`]")
_NOT_WORD = re.compile(r"[^a-z0-9%$#]+")

Words = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FieldStems:
    """How one field's heading is recognised.

    stems : phrases in order of preference: of two columns that match, the one with the earlier phrase is taken.
    unless : words that make it another field, such as the 2 in “bidder 2 name”.
    """

    stems: tuple[Words, ...]
    unless: tuple[Words, ...] = ()


@dataclass(frozen=True, slots=True)
class Header:
    """The heading row: where it is, and which column holds each field.

    row : index from 0. columns : field -> its columns, best first. names : heading text of every column, tidied.
    over : rows of headings above that row; top : the first of them. under_names : the headings of the unit prices are
    the bidders' names.
    """

    row: int
    columns: Mapping[str, tuple[int, ...]]
    names: tuple[str, ...]
    over: int = 0
    under_names: bool = False

    @property
    def top(self) -> int:
        return self.row - self.over

    def column(self, field: str) -> int | None:
        """The column of a field, None if there is none."""
        found = self.columns.get(field, ())
        return found[0] if found else None

    def name_of(self, field: str) -> str:
        """Heading text of a field's column, for messages."""
        column = self.column(field)
        return field if column is None else self.names[column]


def tidy(text: object) -> str:
    """Text with white space and line breaks reduced to single blanks."""
    return " ".join(str(text).split())


def words_of(text: object) -> Words:
    """A heading as small words: `ProjectID` is project, id; `Bidder2Town` is bidder, 2, town."""
    spaced = _CAMEL.sub(" ", tidy(text))
    return tuple(_NOT_WORD.sub(" ", _APOSTROPHE.sub("", spaced.lower())).split())


@cache
def load_stems(path: Path) -> dict[str, FieldStems]:
    """Field -> stems, from a TOML file of tables `[field]` with `stems` and optionally `unless`."""
    told = tomllib.loads(path.read_text(encoding="utf-8"))
    return {
        field: FieldStems(
            tuple(tuple(stem.split()) for stem in entry["stems"]),
            tuple(tuple(stem.split()) for stem in entry.get("unless", [])),
        )
        for field, entry in told.items()
        if isinstance(entry, dict) and "stems" in entry
    }


def contains(words: Words, phrase: Words) -> bool:
    """Each word of the phrase begins a word, side by side and in order; one that ends in `.` must be the whole word."""
    return any(
        all(_begins(words[start + step], part) for step, part in enumerate(phrase))
        for start in range(len(words) - len(phrase) + 1)
    )


def _begins(word: str, stem: str) -> bool:
    return word == stem[:-1] if stem.endswith(".") else word.startswith(stem)


def match_headings(cells: Sequence[Cell], stems: Mapping[str, FieldStems]) -> dict[str, tuple[int, ...]]:
    """Field -> columns that name it, best first. Each column goes to the one field whose matching phrase is longest."""
    claims: dict[str, list[tuple[int, int]]] = {}
    for column, cell in enumerate(cells):
        if isinstance(cell, str) and cell and len(cell) <= _LONGEST_HEADING:
            owner = _owner(words_of(cell), stems)
            if owner:
                claims.setdefault(owner[0], []).append((owner[1], column))
    return {field: tuple(column for _, column in sorted(found)) for field, found in claims.items()}


_LONGEST_HEADING = 120


def header_told(grid: Grid) -> Header | None:
    """The headings of a sheet as the engineer told them; None where nothing was said of its columns.

    A text file's heading row may be shorter than its data: columns beyond it have no name.
    """
    if grid.told is None or not grid.told.columns:
        return None
    names = [tidy(cell) for cell in grid.rows[grid.told.row]]
    width = max(column + 1 for columns in grid.told.columns.values() for column in columns)
    return Header(grid.told.row, grid.told.columns, tuple(names + [""] * (width - len(names))))


def _owner(words: Words, stems: Mapping[str, FieldStems]) -> tuple[str, int] | None:
    """The field a heading names, and the place of the matching phrase in its order of preference."""
    best: tuple[tuple[int, int], str, int] | None = None
    spaced = " " + " ".join(words)
    for field, entry in stems.items():
        for place, phrase in enumerate(entry.stems):
            # The look for the first word is only for speed: most headings and nearly all data cells fail it.
            if " " + phrase[0].removesuffix(".") in spaced and contains(words, phrase):
                weight = (len(phrase), sum(map(len, phrase)))
                if (best is None or weight > best[0]) and not any(contains(words, other) for other in entry.unless):
                    best = weight, field, place
    return None if best is None else (best[1], best[2])


def find_header(
    rows: Sequence[Sequence[Cell]],
    stems: Mapping[str, FieldStems],
    required: Iterable[str],
    *,
    within: int = 60,
) -> Header | None:
    """The first row, of the first `within`, that names every required field; None if there is none."""
    wanted = set(required)
    for index, row in enumerate(rows[:within]):
        if sum(isinstance(cell, str) and bool(cell) for cell in row) < len(wanted):
            continue
        columns = match_headings(row, stems)
        if wanted <= columns.keys():
            return Header(index, columns, tuple(tidy(cell) for cell in row))
    return None

"""The SQL files: one question per file in `sql/`, each opening with its grain, columns and parameters.

`sql/views/` holds what several questions share, `sql/saving/` and `sql/export/` the statements of those rooms.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from bidlens.errors import BadValue

_FOLDER = Path(__file__).parent / "sql"


@dataclass(frozen=True, slots=True)
class Question:
    """One question and its SQL. `columns` in order; `parameters` without their $."""

    name: str
    grain: str
    columns: tuple[str, ...]
    parameters: tuple[str, ...]
    sql: str


def question_names() -> list[str]:
    """Every question the store answers."""
    return sorted(file.stem for file in _FOLDER.glob("*.sql"))


@cache
def question(name: str) -> Question:
    """A question by the name of its file. Raises BadValue naming the questions there are."""
    if name not in question_names():
        raise BadValue(f"the store knows no question “{name}”", do=f"Questions: {', '.join(question_names())}.")
    sql = (_FOLDER / f"{name}.sql").read_text(encoding="utf-8")
    opening = " ".join(re.findall(r"^-- ?(.*)$", sql.split("\nSELECT")[0].split("\nWITH")[0], flags=re.MULTILINE))
    said = re.fullmatch(r"(.*?) columns: (.*?) parameters: (.*)", opening)
    if said is None:
        raise BadValue(f"the question “{name}” does not say its grain, columns and parameters")
    return Question(name, said[1], tuple(re.findall(r"\w+", said[2])), tuple(re.findall(r"\$(\w+)", said[3])), sql)


@cache
def statement(name: str, **identifiers: str) -> str:
    """A statement by folder and name, such as `views/low_bid`.

    identifiers : table and column names put where the file says {table}, {keys}, ...; our own names alone, never text
        of a file or a user, which is bound.
    """
    sql = (_FOLDER / f"{name}.sql").read_text(encoding="utf-8")
    for place, names in identifiers.items():
        if not re.fullmatch(r"[a-z_]+(, [a-z_]+)*", names):
            raise BadValue(f"“{names}” are no names of tables or columns")
        sql = sql.replace(f"{{{place}}}", names)
    return sql

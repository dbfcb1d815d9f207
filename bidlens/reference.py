"""Published tables that ship with bidlens: where they are, what they are, and the cost indexes among them.

`shared_dir` alone knows where the tables stand. Each table is a CSV beside a TOML that names its title, publisher,
release, unit and licence.
"""

from __future__ import annotations

import os
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from bidlens import quarters
from bidlens.errors import MissingReference


def _packaged(name: str) -> Path:
    """A data folder of the project: a copy inside the installed package, or the checkout's own."""
    inside = Path(__file__).parent / "_data" / name
    return inside if inside.is_dir() else Path(__file__).parent.parent / name


def shared_dir() -> Path:
    """Folder of the published tables: `BIDLENS_SHARED` if set, else the copy that came with the package."""
    return Path(os.environ["BIDLENS_SHARED"]) if "BIDLENS_SHARED" in os.environ else _packaged("shared")


def sample_dir() -> Path:
    """Folder of the invented sample county's files."""
    return _packaged("sample_bids")


@dataclass(frozen=True, slots=True, eq=False)
class PublishedTable:
    """A published table and where it is from.

    about : title, publisher, release, unit, licence and read (how it was seen), as in the TOML beside the CSV.
    """

    name: str
    frame: pd.DataFrame
    about: dict[str, Any]


@cache
def load_table(name: str) -> PublishedTable:
    """A published table by its file name without ending, text kept as text where the TOML says so.

    Raises MissingReference if there is no such table.
    """
    path = shared_dir() / f"{name}.csv"
    if not path.is_file():
        known = ", ".join(sorted(file.stem for file in shared_dir().glob("*.csv")))
        raise MissingReference(f"there is no published table “{name}”", do=f"Tables that ship with bidlens: {known}.")
    about = tomllib.loads(path.with_suffix(".toml").read_text(encoding="utf-8"))
    text_columns = dict.fromkeys(about.get("text_columns", []), "str")
    return PublishedTable(name, pd.read_csv(path, dtype=text_columns), about)


#: What is asked for where prices are to stay as bid.
NO_INDEX = "none"


@dataclass(frozen=True, slots=True, eq=False)
class CostIndex:
    """A quarterly cost index of one release.

    quarters : consecutive quarters as "2024Q2", ascending, n of them.
    values : index values, same n, positive.
    seasonally_adjusted : None where the publisher does not say.
    forecast_from : first quarter that is a forecast and not published; None if all are published.
    """

    name: str
    release: str
    seasonally_adjusted: bool | None
    quarters: tuple[str, ...]
    values: np.ndarray
    source: str = ""
    forecast_from: str | None = None

    def __post_init__(self) -> None:
        if len(self.quarters) != len(self.values) or not len(self.values):
            raise MissingReference(f"the index {self.name} has no values, or not one for each quarter")
        if not np.all(np.asarray(self.values, dtype=float) > 0):
            raise MissingReference(f"the index {self.name} holds values that are not positive")
        gaps = [
            later
            for earlier, later in zip(self.quarters, self.quarters[1:], strict=False)
            if quarters.position(later) != quarters.position(earlier) + 1
        ]
        if gaps:
            raise MissingReference(f"the index {self.name} jumps over or repeats a quarter before {gaps[0]}")

    @property
    def is_none(self) -> bool:
        """Stands for the choice of no index: prices as bid, each in the dollars of its own letting."""
        return self.name == NO_INDEX

    @property
    def first(self) -> str:
        return self.quarters[0]

    @property
    def last(self) -> str:
        """Last quarter with a value, published or forecast."""
        return self.quarters[-1]

    @property
    def last_published(self) -> str:
        return quarters.step(self.forecast_from, -1) if self.forecast_from else self.last

    @property
    def title(self) -> str:
        """As shown: name, release and whether it is adjusted."""
        if self.is_none:
            return "no cost index, prices as bid"
        kind = {True: ", seasonally adjusted", False: ", not seasonally adjusted", None: ""}[self.seasonally_adjusted]
        return f"{self.name} to {quarters.shown(self.last_published)}{kind}"

    def at(self, quarter: str) -> float:
        """Index value of a quarter. Raises MissingReference outside the series."""
        place = quarters.position(quarter) - quarters.position(self.first)
        if not 0 <= place < len(self.values):
            raise MissingReference(
                f"the index {self.name} ({self.release}) has no value for {quarters.shown(quarter)}; "
                f"it runs from {quarters.shown(self.first)} to {quarters.shown(self.last)}",
                do="Choose a quarter inside it, or import a longer index.",
            )
        return float(self.values[place])

    def ratio(self, from_quarter: str, to_quarter: str) -> float:
        """What a dollar of one quarter is in dollars of another: index[to] / index[from]."""
        return self.at(to_quarter) / self.at(from_quarter)

    def ratios(self, from_quarters: pd.Series, to_quarter: str) -> pd.Series:
        """`ratio` for n rows; NaN where the quarter is missing or outside the series."""
        by_quarter = pd.Series(self.at(to_quarter) / np.asarray(self.values, dtype=float), index=list(self.quarters))
        return from_quarters.map(by_quarter).astype("float64")


def no_index() -> CostIndex:
    """The choice of no index: 1.0 in every quarter a letting could fall in, so that nothing is restated."""
    first, last = quarters.position("1900Q1"), quarters.position("2100Q4")
    held = tuple(f"{place // 4}Q{place % 4 + 1}" for place in range(first, last + 1))
    return CostIndex(NO_INDEX, "", None, held, np.ones(len(held)))


#: Names the shipped cost index goes by, and the column each one reads.
SHIPPED_INDEXES = {"nhcci": ("index", False), "nhcci-adjusted": ("index_sa", True)}


def load_shipped_index(name: str = "nhcci") -> CostIndex:
    """The FHWA National Highway Construction Cost Index that ships with bidlens: "nhcci" (raw) or "nhcci-adjusted".

    Raw is the default: its past stays as published from release to release, the adjusted series' whole past moves.
    Raises MissingReference for another name.
    """
    if name not in SHIPPED_INDEXES:
        raise MissingReference(f"no index “{name}” ships with bidlens", do=f"Use one of: {', '.join(SHIPPED_INDEXES)}.")
    column, adjusted = SHIPPED_INDEXES[name]
    table = load_table("nhcci")
    return CostIndex(
        "NHCCI",
        str(table.about["release"]),
        adjusted,
        tuple(table.frame["quarter"]),
        table.frame[column].to_numpy(dtype=float),
        source=str(table.about["title"]),
    )

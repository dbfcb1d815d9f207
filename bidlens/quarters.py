"""Calendar quarters written as "2024Q2", the key every cost index is read by."""

from __future__ import annotations

import datetime as dt
import re

import pandas as pd

from bidlens.errors import BadValue

_WRITTEN = re.compile(r"^\s*(\d{4})\s*[-/ ]?\s*[Qq]([1-4])\s*$")


def parse_quarter(text: str) -> str:
    """Read "2024Q2", "2024 Q2" or "2024-q2" and give "2024Q2".

    Raises BadValue for anything else.
    """
    match = _WRITTEN.match(str(text))
    if not match:
        raise BadValue(f"cannot read “{text}” as a quarter", do="Write it as year and quarter, for example 2026Q1.")
    return f"{match[1]}Q{match[2]}"


def quarter_of(date: dt.date) -> str:
    """The quarter a date falls in."""
    return f"{date.year}Q{(date.month - 1) // 3 + 1}"


def quarters_of(dates: pd.Series) -> pd.Series:
    """The quarter of each date (n rows, same index); a missing date gives a missing quarter."""
    when = pd.to_datetime(dates)
    known = when.notna()
    out = pd.Series(pd.NA, index=dates.index, dtype="str")
    out[known] = when[known].dt.year.astype(str) + "Q" + when[known].dt.quarter.astype(str)
    return out


def step(quarter: str, by: int) -> str:
    """The quarter `by` quarters later (earlier when negative)."""
    number = position(quarter) + by
    return f"{number // 4}Q{number % 4 + 1}"


def position(quarter: str) -> int:
    """Quarters since year 0, so that differences count quarters."""
    read = parse_quarter(quarter)
    return int(read[:4]) * 4 + int(read[5]) - 1


def shown(quarter: str) -> str:
    """As printed: "2026 Q1"."""
    read = parse_quarter(quarter)
    return f"{read[:4]} Q{read[5]}"

"""What the engineer said about one sheet before it is read; made by `told.py`, heeded by the readers."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Told:
    """Columns and facts of one sheet as told.

    row : of the headings, from 0. columns : field -> its columns (from 0); empty where only facts were told.
    layout : bid tab layout. letting_date, contract : facts the sheet does not state.
    """

    row: int
    columns: Mapping[str, tuple[int, ...]]
    layout: str
    letting_date: dt.date | None
    contract: str

"""Results as JSON: one object a command, with its schema name; a declined number is null."""

from __future__ import annotations

import datetime as dt
import json
import math
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd


def document(command: str, **content: Any) -> str:
    """The JSON document of a command: `{"schema": "bidlens/<command>/1", ...}`."""
    return json.dumps(
        clean({"schema": f"bidlens/{command}/1", **content}), ensure_ascii=False, indent=2, allow_nan=False
    )


def rows(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """A frame as a list of records."""
    return [dict(zip(frame.columns, values, strict=True)) for values in frame.itertuples(index=False, name=None)]


def clean(value: Any) -> Any:
    """The same content in JSON's own types: dates as ISO text, NaN and missing as null, money as numbers."""
    if isinstance(value, dict):
        return {str(key): clean(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [clean(inner) for inner in value]
    if isinstance(value, pd.DataFrame):
        return [clean(record) for record in rows(value)]
    if value is None or value is pd.NA or value is pd.NaT:
        return None
    if isinstance(value, dt.datetime | pd.Timestamp):
        return value.date().isoformat() if value.time() == dt.time(0) else value.isoformat(timespec="seconds")
    if isinstance(value, dt.date):
        return value.isoformat()
    return _scalar(value)


def _scalar(value: Any) -> Any:
    if isinstance(value, bool | np.bool_):
        return bool(value)
    if isinstance(value, int | np.integer):
        return int(value)
    if isinstance(value, float | np.floating | Decimal):
        as_float = float(value)
        return as_float if math.isfinite(as_float) else None
    return str(value) if isinstance(value, str | Path) else repr(value)

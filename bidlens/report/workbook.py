"""Frames as an XLSX workbook, CSV or Parquet: real numbers and dates, text never a formula or a link."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, BinaryIO

import pandas as pd

from bidlens.errors import BadValue

#: Characters a spreadsheet program may take as the start of a formula.
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def write_workbook(target: Path | BinaryIO, sheets: Mapping[str, pd.DataFrame], notes: list[str] | None = None) -> None:
    """Write one sheet a frame, with a first sheet of notes where given.

    target : file path or binary stream. Text stays text: strings that begin like a formula or look like a link are
    written as strings.
    """
    import xlsxwriter

    options = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False, "in_memory": True}
    with xlsxwriter.Workbook(str(target) if isinstance(target, Path) else target, options) as book:
        if notes:
            sheet = book.add_worksheet("About")
            sheet.set_column(0, 0, 110, book.add_format({"text_wrap": True, "valign": "top"}))
            for row, note in enumerate(notes):
                sheet.write_string(row, 0, note)
        for name, frame in sheets.items():
            _write_sheet(book, name, frame)


def _write_sheet(book: Any, name: str, frame: pd.DataFrame) -> None:
    sheet = book.add_worksheet(name[:31])
    head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
    date = book.add_format({"num_format": "yyyy-mm-dd"})
    formats = [_number_format(book, str(title)) for title in frame.columns]
    for column, title in enumerate(frame.columns):
        sheet.write_string(0, column, str(title), head)
        sheet.set_column(column, column, _width(frame.iloc[:, column], str(title)))
    for row, values in enumerate(frame.itertuples(index=False, name=None), start=1):
        for column, value in enumerate(values):
            _write_cell(sheet, row, column, value, date, formats[column])
    sheet.freeze_panes(1, 0)


#: What a column's name says of its numbers: shares as percent, dollars with cents; other numbers as they are.
_SHARES = re.compile(r".*(_share|_ratio|_of_low|_cv)|bias|spread|change|chance|over_\w+|\w+_over_\w+")
_DOLLARS = re.compile(r".*(usd|price|extension|_as_read|total_corrected|per_sf|_at_reference_span)")


def _number_format(book: Any, title: str) -> Any:
    """The number format of a column, None for a plain number. Ranks and years have none."""
    if title.startswith("rank"):
        return None  # rank_as_read
    if _SHARES.fullmatch(title):
        return book.add_format({"num_format": "0.0%"})
    return book.add_format({"num_format": "#,##0.00"}) if _DOLLARS.fullmatch(title) else None


def _width(values: pd.Series, title: str) -> float:
    longest = values.head(200).astype(str).str.len().max() if len(values) else 0
    return float(min(max(len(title), longest, 6), 48)) + 1


def _write_cell(sheet: Any, row: int, column: int, value: Any, date: Any, number: Any) -> None:
    if value is None or value is pd.NaT or (not isinstance(value, str) and pd.isna(value)):
        return
    if isinstance(value, dt.date | dt.datetime):
        sheet.write_datetime(row, column, value, date)
    elif isinstance(value, bool):
        sheet.write_boolean(row, column, value)
    elif isinstance(value, str):
        sheet.write_string(row, column, value[:32767])
    else:
        sheet.write_number(row, column, float(value), number)


def safe_csv(frame: pd.DataFrame) -> str:
    """CSV text in which no cell of text can act as a formula: such cells begin with an apostrophe."""
    text_columns = frame.select_dtypes(include=["object", "str"]).columns
    guarded = frame.assign(**{name: frame[name].map(_guard, na_action="ignore") for name in text_columns})
    return guarded.to_csv(index=False, lineterminator="\n")


def _guard(value: Any) -> Any:
    return f"'{value}" if isinstance(value, str) and value.startswith(_FORMULA_STARTS) else value


def write_frame(frame: pd.DataFrame, path: Path, sheet: str, notes: list[str]) -> None:
    """Write a frame in the form the file's ending asks for: .csv, .xlsx or .parquet.

    Raises BadValue for another ending or a place that cannot be written.
    """
    ending = path.suffix.lower()
    try:
        if ending == ".csv":
            path.write_text(safe_csv(frame), encoding="utf-8")
        elif ending == ".xlsx":
            write_workbook(path, {sheet: frame}, notes)
        elif ending == ".parquet":
            frame.to_parquet(path, index=False)
        else:
            raise BadValue(f"cannot write “{path.name}”", do="End the file name in .csv, .xlsx or .parquet.")
    except OSError as error:
        raise BadValue(
            f"cannot write {path}: {error.strerror or error}", do="Choose a folder you may write to."
        ) from error

"""Cells to exact numbers, dates and text, column by column; strict, because a guess in money is a wrong price.

Numbers are read once per different cell and then spread over the rows, so a column of half a million prices takes a
fraction of a second. Nothing is guessed: “1.2.50” and “1.234,50” are refused with their place.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from bidlens.errors import BadValue, Place
from bidlens.ingest.coded import Cell, Coded

FIRST_YEAR, LAST_YEAR = 1950, 2100
NO_BID = frozenset(
    {"n/b", "n.b.", "nb", "no bid", "nobid", "not bid", "-", "--", "---", "----", "—", "–", "n/a", "no quote"}
)

_LARGEST = 10**18  # decimals are kept in 18 digits
_PLAIN = re.compile(r"(?:\d+|\d{1,3}(?:,\d{3})+|\d{1,3}(?: \d{3})+)?(?:\.\d*)?")
_EXCEL_DAY_0 = dt.date(1899, 12, 30)
_DATE_FORMATS = (
    "%Y-%m-%d", "%m/%d/%Y", "%m-%d-%Y", "%Y/%m/%d", "%Y%m%d", "%m/%d/%y", "%B %d, %Y", "%b %d, %Y", "%b. %d, %Y",
    "%d %B %Y", "%d %b %Y", "%d-%b-%Y", "%d-%b-%y", "%A, %B %d, %Y",
)  # fmt: skip


def number(cell: Cell, scale: int) -> Decimal | None:
    """One cell as a number with at most `scale` decimals, half up; None if blank.

    Reads 1234.5, "$1,234.50", "(1,234.50)", "-$1,234.50", "1 234.50". Floats are taken as they print, so 0.1 is 0.1.
    Raises ValueError if it is none of these.
    """
    if isinstance(cell, bool) or not isinstance(cell, (str, int, float, Decimal)):
        raise ValueError("not a number")
    if isinstance(cell, str):
        exact = _number_in_text(cell)
        if exact is None:
            return None
    else:
        exact = Decimal(repr(cell)) if isinstance(cell, float) else Decimal(cell)
    if not exact.is_finite() or abs(exact) * 10**scale >= _LARGEST:
        raise ValueError("too large")
    return exact.quantize(Decimal(1).scaleb(-scale), ROUND_HALF_UP)


def plain_number(cell: Cell) -> float | None:
    """One cell as a number to compare with, None where it holds none."""
    try:
        value = number(cell, 5)
    except ValueError:
        return None
    return None if value is None else float(value)


def _number_in_text(text: str) -> Decimal | None:
    shown = text.strip().replace("\u00a0", " ").replace("\u202f", " ").replace("−", "-")
    if not shown:
        return None
    negative = False
    if shown.startswith("(") and shown.endswith(")"):
        negative, shown = True, shown[1:-1].strip()
    for sign in ("-", "$", "-"):  # -$5, $-5, $ 5 and -5 alike, but one minus at most
        if shown.startswith(sign):
            if sign == "-":
                if negative:
                    raise ValueError("two signs")
                negative = True
            shown = shown[1:].lstrip()
    if not negative and shown.endswith("-"):
        negative, shown = True, shown[:-1].rstrip()
    if not _PLAIN.fullmatch(shown) or not any(letter.isdigit() for letter in shown):
        raise ValueError("not a number")
    try:
        value = Decimal(shown.replace(",", "").replace(" ", ""))
    except InvalidOperation as error:
        raise ValueError("not a number") from error
    return -value if negative else value


def coded(cells: Sequence[Cell] | np.ndarray | Coded) -> Coded:
    """A column of cells as `Coded`."""
    if isinstance(cells, Coded):
        return cells
    column = cells
    if not isinstance(column, np.ndarray):
        column = np.empty(len(cells), dtype=object)
        column[:] = cells
    codes, uniques = pd.factorize(column, use_na_sentinel=True)
    return Coded(codes, uniques)


def numbers(
    cells: Sequence[Cell] | Coded,
    scale: int,
    places: Sequence[Place] | RowPlaces,
    kind: str,
    *,
    blanks: frozenset[str] = frozenset(),
) -> pa.Array:
    """A column of cells as decimals of 18 digits with `scale` decimals; blank cells are null.

    places : where each cell stands, for the message. kind : what the column holds, as said in it (“a price”).
    blanks : words, in small letters, that also mean nothing is given, such as `NO_BID`.
    Raises BadValue at the first cell that is not a number.
    """
    column = coded(cells)
    scaled = np.zeros(column.different + 1, dtype=np.int64)
    missing = np.ones(len(scaled), dtype=bool)
    is_float = column.floats()
    odd = _quick_floats(column, is_float, scale, scaled, missing)
    for index in [*odd, *_quick_texts(column, ~is_float, scale, scaled, missing)]:
        cell = column.uniques[index]
        try:
            value = None if isinstance(cell, str) and cell.strip().lower() in blanks else number(cell, scale)
        except ValueError as error:
            row = int(np.flatnonzero(column.codes == index)[0])
            raise _unreadable(cell, places[row], kind) from error
        if value is not None:
            scaled[index] = int(value.scaleb(scale))
            missing[index] = False
    if not column.each:
        scaled, missing = scaled[column.codes], missing[column.codes]
    return decimal_array(scaled[: len(column)], missing[: len(column)], scale)


def _quick_floats(
    column: Coded, is_float: np.ndarray, scale: int, scaled: np.ndarray, missing: np.ndarray
) -> list[int]:
    """Fill in the floats that print with at most `scale` decimals; the places of the others are left to read."""
    where = np.flatnonzero(is_float)
    if not len(where):
        return []
    values = column.uniques[where].astype("float64")
    factor = 10.0**scale
    with np.errstate(invalid="ignore", over="ignore"):
        exact = (np.round(values, scale) == values) & (np.abs(values) * factor < 2**52)
    scaled[where[exact]] = np.rint(values[exact] * factor).astype(np.int64)
    missing[where[exact]] = False
    return [int(index) for index in where[~exact]]


def _quick_texts(column: Coded, others: np.ndarray, scale: int, scaled: np.ndarray, missing: np.ndarray) -> list[int]:
    """Fill in the texts of the commonest form, $1,234.50, with no more decimals than wanted; what is left to read.

    others : which of the different cells are no floats.
    """
    where, left = column.texts_among(np.flatnonzero(others))
    shown = column.texts_at(where)
    if (exact := _plain_numbers(shown, scale)) is not None:
        scaled[where], missing[where] = exact, False
        return left
    common = rf"^\$?([0-9]{{1,9}}|[0-9]{{1,3}}(,[0-9]{{3}}){{1,2}})(\.[0-9]{{0,{scale}}})?$"
    quick = pc.match_substring_regex(shown, common).to_numpy(zero_copy_only=False).astype(bool)
    plain = shown if quick.all() else shown.filter(pa.array(quick))
    for mark in (",", "$"):
        if pc.any(pc.match_substring(plain, mark)).as_py():
            plain = pc.replace_substring(plain, mark, "")
    scaled[where[quick]] = whole(plain.cast(pa.decimal128(18, scale)))
    missing[where[quick]] = False
    return [*left, *(int(index) for index in where[~quick])]


def _plain_numbers(shown: pa.StringArray, scale: int) -> np.ndarray | None:
    """Texts that are digits and points alone as whole numbers of the last decimal, half up; None where one is not
    plainly such a number.

    A float of 53 bits holds any number below 10^12 of the last decimal closely enough to tell which whole number is
    nearest, but for those about half way between two: with one of these nothing is taken.
    """
    if not len(shown) or not _digits_and_points(shown):
        return None
    try:
        values = shown.cast(pa.float64()).to_numpy() * 10.0**scale
    except pa.ArrowInvalid:  # an empty text, or two points in one
        return None
    nearest = np.rint(values)
    if values.max() >= 1e12 or np.abs(values - nearest).max() > 0.49:
        return None
    return nearest.astype(np.int64)


def _digits_and_points(shown: pa.StringArray) -> bool:
    """Whether all texts together hold no other letter; the cells of a slice lie side by side."""
    first, last = (np.frombuffer(shown.buffers()[1], np.int32, 1, 4 * (shown.offset + at))[0] for at in (0, len(shown)))
    letters = shown.buffers()[2]
    return letters is not None and not letters[int(first) : int(last)].to_pybytes().translate(None, b"0123456789.")


def whole(decimals: pa.Array) -> np.ndarray:
    """Decimals of at most 18 digits as whole numbers of their last decimal (cents for money), n int64; 0 where null."""
    filled = pc.fill_null(decimals, pa.scalar(Decimal(0), decimals.type)) if decimals.null_count else decimals
    halves = np.frombuffer(filled.buffers()[1], dtype=np.int64).reshape(-1, 2)  # little end first: the low half
    return halves[filled.offset : filled.offset + len(filled), 0]


def decimal_array(scaled: np.ndarray, missing: np.ndarray, scale: int) -> pa.Array:
    """Whole numbers of the last decimal (n int64) as decimals of 18 digits; null where `missing` (n bool)."""
    halves = np.empty((len(scaled), 2), dtype=np.int64)
    halves[:, 0] = scaled
    halves[:, 1] = scaled >> 63
    valid = pa.py_buffer(np.packbits(~missing, bitorder="little")) if missing.any() else None
    return pa.Array.from_buffers(pa.decimal128(18, scale), len(scaled), [valid, pa.py_buffer(halves)])


def _unreadable(cell: Cell, where: Place, kind: str) -> BadValue:
    advice = "Correct the cell and import again; nothing was imported from this file."
    if isinstance(cell, str) and re.fullmatch(r"\D*\d{1,3}(?:\.\d{3})*,\d{1,2}\D*", cell):
        advice = "Write it with a decimal point, as 1,234.50. " + advice
    return BadValue(f"cannot read “{str(cell)[:60]}” as {kind}", where=where, do=advice)


class RowPlaces:
    """Where the cells of one column stand, made only when a message needs it."""

    __slots__ = ("column", "file", "rows", "sheet")

    def __init__(self, file: str, sheet: str, rows: Sequence[int] | np.ndarray, column: str) -> None:
        self.file, self.sheet, self.rows, self.column = file, sheet, rows, column

    def __getitem__(self, index: int) -> Place:
        return Place(self.file, self.sheet or None, int(self.rows[index]), self.column)


# --- text ---------------------------------------------------------------------------------------------------------


def texts(cells: Sequence[Cell] | Coded) -> pa.Array:
    """A column of cells as text with white space tidied; whole numbers lose their “.0”, blanks are ``""``."""
    return pa.array(categories(cells).astype("str"), type=pa.string())


def categories(cells: Sequence[Cell] | Coded) -> pd.Categorical:
    """As `texts`, as a categorical: much smaller, and quick to group by."""
    column = coded(cells)
    shown = [text(cell) for cell in column.uniques]
    if "" not in shown:
        shown.append("")
    codes = column.codes
    if codes.min(initial=0) < 0:
        codes = np.where(codes < 0, shown.index(""), codes)
    return _by_name(codes, shown)


def renamed(column: pd.Categorical, names: Sequence[str]) -> pd.Categorical:
    """A column with other words for its categories, in their order; several may get the same word."""
    return _by_name(column.codes, names)


def constant(shown: str, count: int) -> pd.Categorical:
    """A column of one text in every row."""
    return pd.Categorical.from_codes(np.zeros(count, dtype=np.int8), pd.Index([shown], dtype="str"))


def _by_name(codes: np.ndarray, names: Sequence[str]) -> pd.Categorical:
    """Each row's name, equal names as one category, in order of first mention."""
    number, different = pd.factorize(np.array(names, dtype=object))
    if len(different) < len(names):
        codes = number.astype(np.int32)[codes]
    return pd.Categorical.from_codes(codes, pd.Index(different, dtype="str"))


def text(cell: Cell | None) -> str:
    """One cell as text: white space tidied, 10.0 as 10, dates as 2031-04-08."""
    if cell is None:
        return ""
    if isinstance(cell, str):
        single = cell.isprintable() and "  " not in cell  # the common case, and three times as quick
        return cell.strip() if single else " ".join(cell.split())
    if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15:
        return str(int(cell))
    if isinstance(cell, dt.datetime) and cell.time() == dt.time(0):
        return cell.date().isoformat()
    return str(cell)


# --- dates --------------------------------------------------------------------------------------------------------


def date(cell: Cell, where: Place | str | None = None) -> dt.date | None:
    """One cell as a date: a true date, text in a common American or ISO form, or a spreadsheet's day number.

    None if blank. Raises BadValue if it is no date, or one outside 1950 to 2100.
    """
    if isinstance(cell, dt.datetime):
        found: dt.date | None = cell.date()
    elif isinstance(cell, dt.date):
        found = cell
    elif isinstance(cell, (int, float)) and not isinstance(cell, bool):
        found = _date_in_number(cell)
    elif isinstance(cell, str):
        if not cell.strip():
            return None
        found = _date_in_text(cell)
    else:
        found = None
    if found is None:
        raise BadValue(
            f"cannot read “{str(cell)[:60]}” as a date", where=where, do="Write it as 2031-04-08 or 04/08/2031."
        )
    return in_reach(found, where)


def in_reach(found: dt.date, where: Place | str | None = None) -> dt.date:
    """The date itself, refused outside 1950 to 2100."""
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        raise BadValue(
            f"the date {found.isoformat()} is outside {FIRST_YEAR} to {LAST_YEAR}", where=where, do="Correct the date."
        )
    return found


def _date_in_number(cell: float) -> dt.date | None:
    """A day number of a spreadsheet, or a date typed as the number 20310408."""
    if not float(cell).is_integer() and cell >= 100_000:
        return None
    if 19_000_000 <= cell <= 21_990_000:
        return _date_in_text(str(int(cell)))
    return _EXCEL_DAY_0 + dt.timedelta(days=int(cell)) if 1 <= cell < 100_000 else None


def _date_in_text(shown: str) -> dt.date | None:
    tidy = " ".join(shown.split())
    day_only = re.sub(r"[ T]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?: ?[AaPp][Mm])?$", "", tidy)
    for form in _DATE_FORMATS:
        try:
            return dt.datetime.strptime(day_only, form).date()  # noqa: DTZ007 - a day has no time zone
        except ValueError:
            continue
    return None


def dates(cells: Sequence[Cell] | Coded, places: Sequence[Place] | RowPlaces) -> pa.Array:
    """A column of cells as dates; blank cells are null. Raises BadValue at the first cell that is no date."""
    column = coded(cells)
    first = np.zeros(column.different + 1, dtype=np.int64)
    first[column.codes[::-1]] = np.arange(len(column))[::-1]  # of the rows with one cell the first is written last
    found = [date(cell, places[int(first[index])]) for index, cell in enumerate(column.uniques)]
    codes = np.where(column.codes < 0, len(column.uniques), column.codes)
    return pa.array([*found, None], type=pa.date32()).take(pa.array(codes))


_IN_NAME = (
    re.compile(r"(?<!\d)(?P<y>(?:19|20)\d\d)[-_. ](?P<m>\d{1,2})[-_. ](?P<d>\d{1,2})(?!\d)"),
    re.compile(r"(?<!\d)(?P<y>(?:19|20)\d\d)(?P<m>\d\d)(?P<d>\d\d)(?!\d)"),
    re.compile(r"(?<!\d)(?P<m>\d{1,2})[-_. ](?P<d>\d{1,2})[-_. ](?P<y>(?:19|20)\d\d)(?!\d)"),
)


def date_in_name(name: str) -> dt.date | None:
    """The date a file's name holds, such as 2031-04-08, 20310408, letting_2031_04_08 or 04-08-2031; None if none.

    Raises BadValue if what stands there is no day of the calendar, such as 2031-02-30.
    """
    for form in _IN_NAME:
        match = form.search(name)
        if match:
            try:
                found = dt.date(int(match["y"]), int(match["m"]), int(match["d"]))
            except ValueError as error:
                raise BadValue(
                    f"the file's name holds “{match[0]}”, which is no day of the calendar",
                    where=name,
                    do="Rename the file to the day of the letting, as 2031-04-08.",
                ) from error
            return in_reach(found, name)
    return None

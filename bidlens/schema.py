"""Every stored table declared once: grain, key, columns with type, unit and meaning.

The DDL, the checks made on frames before they are stored, and the data dictionary all derive from `TABLES`.
The declarations themselves stand in `tables/`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
import pyarrow as pa

from bidlens.errors import BadValue

_ARROW = {
    "VARCHAR": pa.string(),
    "DATE": pa.date32(),
    "TIMESTAMP": pa.timestamp("us"),
    "INTEGER": pa.int32(),
    "BIGINT": pa.int64(),
    "DOUBLE": pa.float64(),
    "BOOLEAN": pa.bool_(),
    "BLOB": pa.binary(),
    "DECIMAL(18,2)": pa.decimal128(18, 2),
    "DECIMAL(18,4)": pa.decimal128(18, 4),
    "DECIMAL(18,5)": pa.decimal128(18, 5),
}


@dataclass(frozen=True, slots=True)
class Column:
    """One column: SQL type, unit (blank for text and codes), meaning, and what its values must satisfy."""

    name: str
    sql_type: str
    meaning: str
    unit: str = ""
    required: bool = False
    check: str = ""  # SQL condition on this column, for the DDL

    @property
    def arrow_type(self) -> pa.DataType:
        return _ARROW[self.sql_type]

    def ddl(self) -> str:
        parts = [self.name, self.sql_type]
        if self.required:
            parts.append("NOT NULL")
        if self.check:
            parts.append(f"CHECK ({self.check})")
        return " ".join(parts)


@dataclass(frozen=True, slots=True)
class Table:
    """One stored table. `grain` says what a row is; `key` is enforced by the database when `keyed`.

    The large price tables are not keyed in the database (a key costs six times the space); `Table.conform` checks
    the key on the frame before it is stored.
    """

    name: str
    grain: str
    key: tuple[str, ...]
    columns: tuple[Column, ...]
    keyed: bool = True

    @property
    def column_names(self) -> list[str]:
        return [column.name for column in self.columns]

    def ddl(self) -> str:
        """CREATE TABLE statement, with NOT NULL, CHECK and (where `keyed`) the primary key."""
        lines = [column.ddl() for column in self.columns]
        if self.keyed:
            lines.append(f"PRIMARY KEY ({', '.join(self.key)})")
        return f"CREATE TABLE {self.name} (\n    " + ",\n    ".join(lines) + "\n)"

    def empty(self) -> pd.DataFrame:
        """A frame with the table's columns and no rows."""
        return pd.DataFrame({name: pd.Series(dtype="object") for name in self.column_names})

    def conform(self, frame: pd.DataFrame) -> pa.Table:
        """The frame as an Arrow table in the declared columns and types.

        frame : any frame holding the required columns; missing optional columns become null, others are an error.
        Money and quantities may come as text, float or Decimal; text is taken exactly, floats are rounded half to
        even at the column's scale.

        Raises BadValue naming every offence at once: unknown columns, nulls where a value is required, values that
        do not fit the type, and rows that repeat the key.
        """
        offences = [f"unknown column {name}" for name in frame.columns if name not in self.column_names]
        arrays: dict[str, pa.ChunkedArray | pa.Array] = {}
        for column in self.columns:
            values = frame[column.name] if column.name in frame else pd.Series(None, index=frame.index, dtype="object")
            try:
                array = _as_arrow(values, column.arrow_type)
            except (pa.ArrowInvalid, pa.ArrowTypeError, pa.ArrowNotImplementedError, ValueError, TypeError) as error:
                offences.append(f"{column.name}: {str(error).splitlines()[0]}")
                continue
            if column.required and array.null_count:
                offences.append(f"{column.name}: {array.null_count} rows without a value")
            arrays[column.name] = array
        checked = bool(self.key) and set(self.key) <= set(frame.columns) & set(arrays)
        if checked and (repeats := _repeats([arrays[name] for name in self.key])):
            offences.append(f"{repeats} rows repeat the key ({', '.join(self.key)})")
        if offences:
            raise BadValue(f"rows for the table {self.name} do not fit it: " + "; ".join(offences))
        return pa.table(arrays)


def _as_arrow(values: pd.Series, wanted: pa.DataType) -> pa.ChunkedArray | pa.Array:
    """One column in the wanted Arrow type; text goes to decimals exactly, floats by rounding at the scale.

    A column of categories stays a dictionary: the database takes it as text, and it is a fraction of the size.
    """
    if pa.types.is_string(wanted) and isinstance(values.dtype, pd.CategoricalDtype):
        codes = values.cat.codes.to_numpy()
        places = pa.array(codes, type=pa.int32(), mask=codes < 0 if codes.min(initial=0) < 0 else None)
        return pa.DictionaryArray.from_arrays(places, pa.array(values.cat.categories, type=wanted))
    if isinstance(values.dtype, pd.ArrowDtype) and values.dtype.pyarrow_dtype == wanted:
        return pa.chunked_array(values.array.__arrow_array__())
    if pa.types.is_decimal(wanted):
        if pd.api.types.is_float_dtype(values) or pd.api.types.is_integer_dtype(values):
            return pa.array(values.to_numpy(dtype="float64", na_value=float("nan")), from_pandas=True).cast(wanted)
        array = pa.array(values, from_pandas=True)
        if pa.types.is_null(array.type):
            return array.cast(wanted)
        return array.cast(pa.string()).cast(wanted) if not pa.types.is_decimal(array.type) else array.cast(wanted)
    if pa.types.is_date(wanted):
        dates = pd.to_datetime(values).to_numpy(dtype="datetime64[D]")
        return pa.array(dates, type=wanted, from_pandas=True)
    array = pa.array(values, from_pandas=True)
    return array if array.type == wanted else array.cast(wanted)


def _repeats(keys: list[pa.ChunkedArray | pa.Array]) -> int:
    """How many rows have the same key columns (each n long) as a row above them."""
    number = np.zeros(len(keys[0]), dtype=np.int64)
    for values in keys:
        coded = pa.chunked_array(values).combine_chunks() if isinstance(values, pa.ChunkedArray) else values
        if not isinstance(coded, pa.DictionaryArray):
            coded = coded.dictionary_encode(null_encoding="encode")
        many = len(coded.dictionary)
        if number.max(initial=0) > 2**62 // (many + 1):
            number = pd.factorize(number)[0]
        number = number * (many + 1) + coded.indices.fill_null(many).to_numpy(zero_copy_only=False)
    number.sort()
    return int(np.count_nonzero(number[1:] == number[:-1]))


def dictionary_markdown(tables: tuple[Table, ...]) -> str:
    """The data dictionary, as it stands in README.md."""
    parts = []
    for table in tables:
        parts.append(f"#### `{table.name}`\n\n{table.grain} Key: {', '.join(f'`{name}`' for name in table.key)}.\n")
        parts.append("| column | type | unit | meaning |\n| --- | --- | --- | --- |")
        parts += [f"| `{c.name}` | {c.sql_type} | {c.unit} | {c.meaning} |" for c in table.columns]
        parts.append("")
    return "\n".join(parts)

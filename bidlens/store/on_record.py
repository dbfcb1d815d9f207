"""What a file brings that another file has brought already: the first file stands, the second's rows are set aside.

No contract is counted twice, and nothing is lost: each row set aside keeps its text and the reason.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

import duckdb
import pyarrow as pa

from bidlens.errors import Place
from bidlens.findings import Finding
from bidlens.store.staging import Staged
from bidlens.store.statements import statement
from bidlens.tables import BY_NAME, SET_ASIDE


@dataclass(frozen=True, slots=True)
class Entity:
    """What a file may bring again. `holders` are the tables with its rows, its own table first."""

    noun: str
    plural: str
    key: tuple[str, ...]
    holders: tuple[str, ...]
    code: str

    @property
    def table(self) -> str:
        return self.holders[0]


CONTRACT = Entity(
    "contract",
    "contracts",
    ("contract_id", "letting_date"),
    ("contract", "contract_item", "estimate_price", "bid", "bid_price"),
    "contract_on_record",
)
ENTITIES = (
    CONTRACT,
    Entity(
        "structure", "structures", ("structure_id", "contract_id", "schedule"), ("structure",), "structure_on_record"
    ),
    Entity("proposal", "proposals", ("proposal_id",), ("proposal", "proposal_scope"), "proposal_on_record"),
    Entity("index", "indexes", ("series", "release"), ("index_series", "index_value"), "index_on_record"),
)
_SOURCE = ("source_file", "source_sheet", "source_row")
_NAMED_IN_A_FINDING = 5


@dataclass(slots=True)
class Sorted:
    """A staged batch with what is on record taken out.

    staged : the rows to store; `set_aside` has gained the rows taken out.
    rows_left : rows of the file that are not set aside; no more can be.
    findings : one per contract on record, and one per earlier file for the rest.
    entities_on_record : contracts, structures, proposals and index quarters taken out.
    """

    staged: Staged
    rows_left: int
    findings: list[Finding] = field(default_factory=list)
    entities_on_record: int = 0


def sort_out(
    cursor: duckdb.DuckDBPyConnection,
    staged: Staged,
    source_file: str,
    rows_kept: int,
    entities: Sequence[Entity] = ENTITIES,
) -> Sorted:
    """Part the staged rows (registered on `cursor`) into those to store and those whose entity is on record.

    rows_kept : rows of the file that are not set aside so far. entities : what is looked for on record.
    """
    result = Sorted(dict(staged), rows_kept)
    for entity in entities:
        if not staged[entity.table].num_rows:
            continue
        known = known_on_record(cursor, entity)
        if known.num_rows:
            _set_apart(cursor, result, entity, known, source_file)
    return result


def known_on_record(cursor: duckdb.DuckDBPyConnection, entity: Entity) -> pa.Table:
    """The entities of the batch that are on record: key, earlier file, batch, and the reason given with each row."""
    sql = statement("saving/known", table=entity.table, keys=", ".join(entity.key))
    known = cursor.sql(sql).to_arrow_table()
    reasons = [
        f"{entity.noun} {_name(row, entity)} is on record from “{row['earlier_file']}” (import {row['earlier_batch']})"
        for row in known.to_pylist()
    ]
    return known.append_column("reason", pa.array(reasons, pa.string()))


def _set_apart(
    cursor: duckdb.DuckDBPyConnection, result: Sorted, entity: Entity, known: pa.Table, source_file: str
) -> None:
    """Take the known entities out of `result.staged`, and their rows into its `set_aside`."""
    cursor.register("known", known)
    keys = ", ".join(entity.key)
    taken_out = {}
    for name in entity.holders:
        taken_out[name] = cursor.sql(statement("saving/rows_taken_out", table=name, keys=keys)).to_arrow_table()
        result.staged[name] = cursor.sql(statement("saving/rows_left", table=name, keys=keys)).to_arrow_table()
    if entity.table == "contract":
        cursor.register("bid_left", result.staged["bid"])
        result.staged["bidder"] = cursor.sql(statement("saving/bidders_left")).to_arrow_table()
    if entity.table == "index_series":
        counted = taken_out["index_value"]
        aside = _values_aside(counted, source_file, result.rows_left)
    else:
        counted = taken_out[entity.table]
        aside = _rows_aside(cursor, result.staged, taken_out)
    result.staged["set_aside"] = pa.concat_tables([result.staged["set_aside"], aside])
    result.rows_left -= aside.num_rows
    result.findings += _findings(entity, known, taken_out[entity.table], source_file)
    result.entities_on_record += counted.num_rows


def _rows_aside(cursor: duckdb.DuckDBPyConnection, staged: Staged, taken_out: Staged) -> pa.Table:
    """One row for the table `set_aside` per row of the file that served only what was taken out."""
    holders = [name for name, rows in taken_out.items() if "source_row" in rows.column_names]
    texts = []
    for name in holders:
        cells = [column for column in BY_NAME[name].column_names if column not in (*_SOURCE, "batch_id")]
        cursor.register("typed", taken_out[name])
        texts.append(cursor.sql(statement("saving/rows_as_text", cells=", ".join(cells))).to_arrow_table())
    cursor.register("taken", pa.concat_tables(texts))
    cursor.register("in_use", pa.concat_tables([staged[name].select(_SOURCE) for name in [*holders, "set_aside"]]))
    return cursor.sql(statement("saving/rows_set_aside")).to_arrow_table()


def _values_aside(values: pa.Table, source_file: str, rows_left: int) -> pa.Table:
    """Index values, whose rows in the file are not known: one row each, or all in one if the file had fewer rows."""
    taken = values.to_pylist()
    texts = [f"{row['series']} | {row['release']} | {row['quarter']} | {row['value']}" for row in taken]
    reasons = [row["reason"] for row in taken]
    if len(texts) > rows_left:
        texts, reasons = [" ; ".join(texts)], reasons[:1]
    empty = pa.schema([(column.name, column.arrow_type) for column in SET_ASIDE.columns])
    rows = [
        {"source_file": source_file, "source_sheet": None, "source_row": None, "reason": r, "text": t, "batch_id": 0}
        for r, t in zip(reasons, texts, strict=True)
    ]
    return pa.Table.from_pylist(rows, schema=empty)


def _findings(entity: Entity, known: pa.Table, rows: pa.Table, source_file: str) -> Iterable[Finding]:
    """One finding per contract; for the others one per earlier file, naming the first few."""
    if entity.table == "contract":
        places = {(row["contract_id"], row["letting_date"]): row for row in rows.to_pylist()}
        for row in known.to_pylist():
            here = places[row["contract_id"], row["letting_date"]]
            place = Place(here["source_file"], here["source_sheet"], here["source_row"])
            text = f"{row['reason']}; the rows of it in this file were set aside"
            yield _finding(entity, text, row["earlier_batch"], place, row["contract_id"])
        return
    by_file: dict[tuple[int, str], list[str]] = {}
    for row in known.to_pylist():
        by_file.setdefault((row["earlier_batch"], row["earlier_file"]), []).append(_name(row, entity))
    for (earlier_batch, earlier_file), names in by_file.items():
        shown = ", ".join(names[:_NAMED_IN_A_FINDING]) + (", ..." if len(names) > _NAMED_IN_A_FINDING else "")
        count = f"{len(names)} {entity.noun if len(names) == 1 else entity.plural}"
        text = (
            f"{count} on record from “{earlier_file}” (import {earlier_batch}): {shown}; the rows here were set aside"
        )
        yield _finding(entity, text, earlier_batch, Place(source_file))


def _finding(entity: Entity, text: str, earlier_batch: int, place: Place, contract_id: str | None = None) -> Finding:
    return Finding(
        entity.code,
        "check",
        text,
        do=f"The first file stands. To use this one instead, take back this import and import {earlier_batch} "
        "(bidlens undo), and import this file again; a contract can also be brought in so that the one on record gives "
        "its place to it (--again replace).",
        place=place,
        contract_id=contract_id,
    )


def _name(row: dict[str, Any], entity: Entity) -> str:
    """How an entity is spoken of: K-117, C-12 let 12 Mar 2024, NHCCI 2025Q4."""
    if entity.table == "contract":
        return f"{row['contract_id']} let {row['letting_date']:%d %b %Y}"
    if entity.table == "structure":
        contract = f" (contract {row['contract_id']})" if row["contract_id"] else ""
        return f"{row['structure_id']}{contract}"
    return " ".join(str(row[name]) for name in entity.key)

"""Batches built by hand, and records that hold them. Contracts, firms and places are invented."""

from __future__ import annotations

import datetime as dt
import shutil
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from bidlens.batch import Batch, no_rows_set_aside
from bidlens.findings import Finding
from bidlens.store import Store, create_or_upgrade, save_batch
from bidlens.tables import BY_NAME, TABLES

NOON = dt.datetime(2026, 2, 10, 12, 0, tzinfo=dt.UTC)
LETTING = dt.date(2024, 3, 12)
BIDS = {
    "Harrier Bridge": ("100.00", "20.50"),
    "Kestrel & Sons": ("90.00", "25.00"),
    "Wren Contracting": ("95.00", "21.00"),
}


def cents(text: str) -> Decimal:
    return Decimal(text).quantize(Decimal("0.01"))


def bid_tab(
    *contract_ids: str,
    sha256: str = "a" * 64,
    name: str = "tab.csv",
    letting_date: dt.date = LETTING,
    bids: dict[str, tuple[str, str]] | None = None,
    status: str = "awarded",
    bid_status: dict[str, str] | None = None,
) -> Batch:
    """Two lines (10 EA of beams, 200 SY of deck) per contract, one row of the file per contract, line and bidder."""
    bids, bid_status = bids or BIDS, bid_status or {}
    rows: dict[str, list[dict[str, Any]]] = {
        table: [] for table in ("contract", "contract_item", "bid", "bid_price", "estimate_price", "bidder")
    }
    row_number = 1  # the headings
    for contract_id in contract_ids:
        key = {"contract_id": contract_id, "letting_date": letting_date}
        first = {"source_file": name, "source_sheet": None, "source_row": row_number + 1}
        rows["contract"].append({**key, "agency": "Alder County", "description": "Bridge", "status": status, **first})
        for line, (item, quantity) in enumerate([(BEAM, "10"), (DECK, "200")]):
            rows["contract_item"].append({**key, **item, "schedule": "", "quantity": quantity, **first})
            estimate = {"unit_price": "98.5", "extension": cents("985.00"), **first}
            rows["estimate_price"].append({**key, "schedule": "", "line": str(line + 1), **estimate})
        totals = {b: cents("10") * Decimal(p[0]) + cents("200") * Decimal(p[1]) for b, p in bids.items()}
        for bidder, prices in bids.items():
            responsive = bid_status.get(bidder, "responsive") == "responsive"
            ranked = sorted(t for b, t in totals.items() if bid_status.get(b, "responsive") == "responsive")
            rank = ranked.index(totals[bidder]) + 1 if responsive else None
            here = {"source_file": name, "source_sheet": None, "source_row": row_number + 1}
            rows["bid"].append(
                {**key, "bidder": bidder, "status": bid_status.get(bidder, "responsive"),
                 "total_as_read": cents(str(totals[bidder])), "total_corrected": cents(str(totals[bidder])),
                 "rank_as_read": rank, "rank_corrected": rank, **here}
            )  # fmt: skip
            for line, (price, quantity) in enumerate(zip(prices, ("10", "200"), strict=True)):
                row_number += 1
                extension = cents(str(Decimal(price) * Decimal(quantity)))
                rows["bid_price"].append(
                    {**key, "schedule": "", "line": str(line + 1), "bidder": bidder, "unit_price": price,
                     "extension_as_read": extension, "extension": extension, **here, "source_row": row_number}
                )  # fmt: skip
    rows["bidder"] = [{"bidder": bidder, "spelling": bidder} for bidder in bids]
    return Batch(
        name, sha256, "bid-tab", "long", row_number, len(contract_ids), frames(rows), no_rows_set_aside(),
        [Finding("extension_differs", "check", "an extension differs by $0.01", contract_id=contract_ids[0])],
    )  # fmt: skip


BEAM = {"line": "1", "item_code": "0501", "description": "Steel beam, furnished and set", "pay_unit": "EA",
        "pay_unit_as_read": "Each", "work_category": "beams", "category_rule": "words: beam"}  # fmt: skip
DECK = {"line": "2", "item_code": "0502", "description": "Deck concrete", "pay_unit": "SY",
        "pay_unit_as_read": "SQ YD", "work_category": "deck", "category_rule": "words: deck"}  # fmt: skip


def frames(rows: dict[str, list[dict[str, Any]]]) -> dict[str, pd.DataFrame]:
    """Rows as frames with the columns of their tables, without the batch."""
    return {
        table: pd.DataFrame(found, columns=[c for c in BY_NAME[table].column_names if c != "batch_id"])
        for table, found in rows.items()
    }


def structure_list(
    *structure_ids: str, sha256: str = "b" * 64, name: str = "structures.csv", contract: str = ""
) -> Batch:
    rows = [
        {"structure_id": structure_id, "contract_id": contract, "letting_date": LETTING if contract else None,
         "schedule": "", "name": "Alder Creek", "superstructure": "rolled steel beam", "deck_area_sf": 1736.0,
         "length_ft": 62.0, "width_ft": 28.0, "spans": 1 if number else None, "span_ft": 60.0, "skew_deg": None,
         "source_file": name, "source_sheet": "Bridges", "source_row": number + 2}
        for number, structure_id in enumerate(structure_ids)
    ]  # fmt: skip
    return Batch(
        name, sha256, "structures", "list", len(rows) + 1, len(rows), frames({"structure": rows}), no_rows_set_aside()
    )


def proposal_letter(sha256: str = "c" * 64, name: str = "harrier.toml", proposal_id: str = "Harrier K-117") -> Batch:
    proposal = {"proposal_id": proposal_id, "supplier": "Harrier Steel Works", "proposal_date": dt.date(2026, 2, 10),
                "structure_id": "K-117", "superstructure": "rolled steel beam", "price_usd": Decimal("158000.00"),
                "source_file": name, "source_row": 1}  # fmt: skip
    scope = [{"proposal_id": proposal_id, "scope": part} for part in ("furnish", "deliver", "set")]
    tables = frames({"proposal": [proposal], "proposal_scope": scope})
    return Batch(name, sha256, "proposals", "toml", 9, 1, tables, no_rows_set_aside())


def cost_index(sha256: str = "d" * 64, name: str = "index.csv", last: str = "2024Q3") -> Batch:
    values = [{"series": "Alder", "release": last, "quarter": q, "value": 100.0 + i}
              for i, q in enumerate(("2024Q1", "2024Q2", "2024Q3"))]  # fmt: skip
    series = {"series": "Alder", "release": last, "seasonally_adjusted": None, "source_file": name}
    tables = frames({"index_series": [series], "index_value": values})
    return Batch(name, sha256, "cost-index", "quarters", 4, 3, tables, no_rows_set_aside())


def contents(store: Store) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table, exactly as stored (money as Decimal)."""
    with store.open() as cursor:
        return {t.name: cursor.table(t.name).order("ALL").fetchall() for t in TABLES}


@pytest.fixture(scope="session")
def empty_record(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record without data, made once and copied for each test."""
    made = Store(tmp_path_factory.mktemp("empty") / "county.duckdb")
    create_or_upgrade(made)
    return made.path


@pytest.fixture(scope="session")
def filled_record(empty_record: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with one file of each kind, and a second structure list; made once and copied for each test."""
    made = Store(shutil.copy(empty_record, tmp_path_factory.mktemp("filled")))
    for batch in (
        bid_tab("C-1", "C-2"),
        structure_list("K-1", "K-2"),
        structure_list("K-2", sha256="e" * 64, contract="C-1"),
        proposal_letter(),
        cost_index(),
    ):
        save_batch(made, batch, NOON)
    return made.path


@pytest.fixture
def store(empty_record: Path, tmp_path: Path) -> Store:
    """A record of its own, without data."""
    return Store(shutil.copy(empty_record, tmp_path))


@pytest.fixture
def filled(filled_record: Path, tmp_path: Path) -> Store:
    """A record of its own with one file of each kind."""
    return Store(shutil.copy(filled_record, tmp_path))


@pytest.fixture
def rows_of(store: Store) -> Callable[..., list[tuple[Any, ...]]]:
    """Run one statement on the record and give its rows."""

    def run(sql: str, *values: Any) -> list[tuple[Any, ...]]:
        with store.open() as cursor:
            return cursor.execute(sql, list(values)).fetchall()

    return run

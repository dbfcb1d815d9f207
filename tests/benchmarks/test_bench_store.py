"""What checking, keys and rollback cost: a batch of 500,000 prices saved, beside a bare INSERT ... SELECT of the frame.

Run with: python -m pytest tests/benchmarks/test_bench_store.py --benchmark-only
"""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import duckdb
import numpy as np
import pandas as pd
import pytest

from bidlens.batch import Batch, no_rows_set_aside
from bidlens.store import Store, create_or_upgrade, save_batch

NOON = dt.datetime(2026, 2, 10, 12, 0, tzinfo=dt.UTC)
CONTRACTS, LINES, BIDDERS = 1000, 100, 5


@pytest.fixture(scope="module")
def batch() -> Batch:
    """1,000 contracts of 100 lines and 5 bidders; prices as exact text, the way a file is read."""
    prices = np.random.default_rng(1).integers(100, 10_000_000, CONTRACTS * LINES * BIDDERS)
    contract_ids = np.array([f"C-{number:05d}" for number in range(CONTRACTS)])
    source = {"source_file": "big.csv", "source_row": 1}
    contract = pd.DataFrame(
        {"contract_id": contract_ids, "letting_date": pd.Timestamp(2024, 3, 12), "status": "awarded", **source}
    )
    keys = contract[["contract_id", "letting_date", "source_file"]]
    item = keys.loc[keys.index.repeat(LINES)].reset_index(drop=True)
    lines = pd.Series(np.tile(np.arange(1, LINES + 1), CONTRACTS).astype(str))
    item = item.assign(schedule="", line=lines, source_row=np.arange(2, len(item) + 2))
    price = item.loc[item.index.repeat(BIDDERS)].reset_index(drop=True)
    bidders = np.tile([f"Bidder {number}" for number in range(BIDDERS)], len(item))
    text = pd.Series(prices).astype(str)
    text = text.str[:-2] + "." + text.str[-2:]
    bid = keys.loc[keys.index.repeat(BIDDERS)].reset_index(drop=True)
    bid = bid.assign(bidder=np.tile([f"Bidder {number}" for number in range(BIDDERS)], CONTRACTS), status="responsive")
    tables = {
        "contract": contract,
        "contract_item": item.assign(
            description="Item " + lines, quantity="1", work_category="other", category_rule="x"
        ),
        "bid": bid.assign(source_row=1),
        "bid_price": price.assign(bidder=bidders, unit_price=text, extension=text, extension_as_read=text),
    }
    return Batch("big.csv", "9" * 64, "bid-tab", "long", len(price) + 1, CONTRACTS, tables, no_rows_set_aside())


def test_bench_saving_half_a_million_prices(benchmark: Any, batch: Batch, tmp_path: Path) -> None:
    def fresh() -> tuple[tuple[Any, ...], dict[str, Any]]:
        store = Store(tmp_path / f"{len(list(tmp_path.iterdir()))}.duckdb")
        create_or_upgrade(store)
        return (store, batch, NOON), {}

    saved = benchmark.pedantic(save_batch, setup=fresh, rounds=5)
    assert saved.status == "imported"


def test_bench_bare_insert_of_the_same_frame(benchmark: Any, batch: Batch, tmp_path: Path) -> None:
    frame = batch.tables["bid_price"]

    def insert(path: Path) -> int:
        with duckdb.connect(str(path)) as connection:
            connection.register("frame", frame)
            connection.execute("CREATE TABLE price AS SELECT * FROM frame LIMIT 0")
            return int(connection.execute("INSERT INTO price SELECT * FROM frame").fetchall()[0][0])

    def fresh() -> tuple[tuple[Any, ...], dict[str, Any]]:
        return (tmp_path / f"{len(list(tmp_path.iterdir()))}.duckdb",), {}

    assert benchmark.pedantic(insert, setup=fresh, rounds=5) == len(frame)

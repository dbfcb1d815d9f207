"""A review of 2017 over public bid tabs, held against counts made by plain pandas from the exported tables."""

from __future__ import annotations

import os
from pathlib import Path

import pandas as pd
import pytest

from bidlens import workflow

FOLDER = os.environ.get("BIDLENS_REAL_FILES")
pytestmark = [
    pytest.mark.real_files,
    pytest.mark.skipif(not FOLDER, reason="BIDLENS_REAL_FILES names no folder with public bid tabs"),
]
YEAR = 2017


@pytest.fixture(scope="module")
def exported(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict, dict[str, pd.DataFrame]]:
    folder = tmp_path_factory.mktemp("real")
    files = sorted((Path(str(FOLDER)) / "michigan").glob(f"{YEAR}*.xlsx"))
    with workflow.open_database(folder / "real.duckdb") as db:
        assert all(result.error is None for result in db.import_files(files))
        db.export(folder / "out")
        found = workflow.review_lettings(db, YEAR).as_dict()
    tables = {
        name: pd.read_parquet(folder / "out" / f"{name}.parquet") for name in ("bid", "estimate_price", "contract")
    }
    return found, tables


def test_counts_shares_and_money_are_those_of_an_independent_count(
    exported: tuple[dict, dict[str, pd.DataFrame]],
) -> None:
    found, tables = exported
    key = ["contract_id", "letting_date"]
    bids = tables["bid"][tables["bid"]["status"] == "responsive"]
    money = bids["total_corrected"].astype(float)
    per = bids.assign(usd=money).sort_values("usd").groupby(key)["usd"].apply(list)
    estimate = tables["estimate_price"].assign(usd=lambda t: t["extension"].astype(float)).groupby(key)["usd"].sum()
    assert found["contracts"] == len(per) == len(tables["contract"])
    assert found["bids"] == len(bids)
    assert found["bids_per_contract"] == pytest.approx(len(bids) / len(per))
    assert found["single_bid_contracts"] == sum(len(one) == 1 for one in per)
    left = sum(one[1] - one[0] for one in per if len(one) > 1)
    assert found["money_left_on_table"] == pytest.approx(left, abs=0.01)
    both = pd.DataFrame({"low": per.map(min), "estimate": estimate}).dropna()
    both = both[both["estimate"] > 0]
    near = (both["estimate"] - both["low"]).abs() / both["low"] <= 0.10
    assert found["estimates"] == len(both)
    assert found["estimate_within_10pct_share"] == pytest.approx(near.mean(), abs=1 / len(both) + 1e-9)
    assert found["low_over_estimate"] == pytest.approx(both["low"].sum() / both["estimate"].sum() - 1)

"""The main job on public bid tabs, held against a few independent lines of pandas.

The files are public records of a state department of transportation (24 lettings 2015-2024) and a list of 56 bridges
among them. They are not part of the project: the folder is named by BIDLENS_REAL_FILES.
"""

import json
import os
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest

REAL = os.environ.get("BIDLENS_REAL_FILES")
pytestmark = [
    pytest.mark.real_files,
    pytest.mark.skipif(not REAL, reason="BIDLENS_REAL_FILES is not set: no public bid tabs to read"),
]

OFFER = """
supplier = "Merlin Precast"
date = 2021-03-01
superstructure = "adjacent box beam"
length = "60 ft"
width = "33'-0\\""
price_per_sf = 95
scope = ["furnish", "deliver", "set", "bearings"]
delivery = 2021-06-01
"""


def run(*arguments, db, folder):
    done = subprocess.run(
        [sys.executable, "-m", "bidlens", *map(str, arguments), "--db", str(db), "--format", "json"],
        capture_output=True,
        text=True,
        cwd=folder,
        check=False,
    )
    assert "Traceback" not in done.stderr
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("real")


@pytest.fixture(scope="module")
def imported(folder):
    files = [*sorted(Path(REAL, "michigan").glob("*.xlsx")), Path(REAL, "michigan", "structures.csv")]
    return run("import", *files, db=folder / "real.duckdb", folder=folder)["files"]


@pytest.fixture(scope="module")
def counted():
    """The same workbooks counted by pandas, columns by place: rank 0 is the estimate, debris lacks a contract."""
    frames = []
    for file in sorted(Path(REAL, "michigan").glob("*.xlsx")):
        raw = pd.read_excel(file, engine="calamine", dtype=str)
        rows = raw.iloc[:, [1, 4, 7, -2, -1]]
        rows.columns = ["contract_id", "description", "bidder", "usd", "rank"]
        rows = rows.dropna(subset=["contract_id", "bidder", "usd"])
        frames.append(rows.assign(letting_date=pd.Timestamp(file.stem), rank=pd.to_numeric(rows["rank"])))
    rows = pd.concat(frames, ignore_index=True)
    # A bid the agency gave no place is not counted, unless nobody has the first place: then it was lost on the way.
    first = rows[rows["rank"] > 0].groupby(["contract_id", "letting_date"])["rank"].min().rename("first").reset_index()
    rows = rows.merge(first, on=["contract_id", "letting_date"], how="left")
    rows.loc[rows["rank"].isna() & (rows["first"] > 1), "rank"] = 1
    rows["usd"] = pd.to_numeric(rows["usd"].str.replace(r"[$,]", "", regex=True))
    rows = rows[rows["rank"] > 0]
    bids = rows.groupby(["contract_id", "letting_date", "bidder"], as_index=False)["usd"].sum().sort_values("usd")
    best = bids.groupby(["contract_id", "letting_date"]).agg(
        bidders=("usd", "size"), low_bidder=("bidder", "first"), low_total=("usd", "first")
    )
    return best.reset_index()


def test_all_workbooks_and_the_structure_list_come_in(imported):
    assert {file["status"] for file in imported} == {"imported"}
    assert len(imported) == 25
    for file in imported:
        assert file["rows_read"] == file["rows_kept"] + file["rows_set_aside"]


def test_contracts_bidders_low_bidder_and_low_total_agree_with_pandas(imported, counted, folder):
    run("export", folder / "out", db=folder / "real.duckdb", folder=folder)
    bids = pd.read_parquet(folder / "out" / "bid.parquet")
    ranked = bids[bids["status"] == "responsive"].sort_values("total_as_read")
    ours = ranked.groupby(["contract_id", "letting_date"]).agg(
        bidders=("bidder", "size"), low_bidder=("bidder", "first"), low_total=("total_as_read", "first")
    )  # fmt: skip
    ours = ours.reset_index().assign(letting_date=lambda frame: pd.to_datetime(frame["letting_date"]))
    both = counted.merge(ours, on=["contract_id", "letting_date"], how="outer", suffixes=("", "_ours"), indicator=True)
    assert (both["_merge"] == "both").all(), both[both["_merge"] != "both"]
    assert (both["bidders"] == both["bidders_ours"]).all()
    assert (both["low_total"] - both["low_total_ours"].astype(float)).abs().max() < 0.01
    assert (both["low_bidder"].str.split().str.join(" ") == both["low_bidder_ours"]).all()


def test_each_of_the_56_structures_has_a_unit_cost_on_the_bridge_basis(imported, folder):
    answer = run("history", "--basis", "bridge", db=folder / "real.duckdb", folder=folder)
    frame = pd.DataFrame(answer["history"])
    assert len(frame) == 56
    assert frame["unit_cost"].between(20, 1500).all()
    assert frame["unit_cost_adjusted"].notna().all()
    assert frame["source_file"].notna().all()


def test_the_look_back_is_printed_beside_the_spreadsheet_mean(imported, folder):
    answer = run("backtest", "--basis", "bridge", db=folder / "real.duckdb", folder=folder)
    assert answer["n"] >= 30
    assert answer["median_abs_error"] <= answer["type_mean_median_abs_error"]
    assert 0.6 <= answer["coverage_90"] <= 1.0


def test_a_made_up_offer_of_2021_reads_sensibly(imported, folder):
    (folder / "offer.toml").write_text(OFFER, encoding="utf-8")
    answer = run("check", folder / "offer.toml", db=folder / "real.duckdb", folder=folder)["proposals"][0]
    assert answer["deck_area_sf"] == pytest.approx(1980)
    assert answer["quoted_per_sf"] == pytest.approx(95)
    assert answer["history"]["same_type"] >= 45
    assert answer["expected"]["p05"] < answer["expected"]["p50"] < answer["expected"]["p95"]
    assert answer["like_for_like_per_sf"] == pytest.approx(
        answer["quoted_per_sf"] + sum(step["per_sf"] for step in answer["adjustments"])
    )
    assert answer["verdict"]["text"]

"""Public bid tabs, held against a few independent lines of pandas: contracts, bidders, low bidder, low total.

The files are public records and no part of the project; their folder is named by BIDLENS_REAL_FILES.
"""

from __future__ import annotations

import os
from functools import partial
from pathlib import Path

import pandas as pd
import pytest

from bidlens.errors import BadValue
from bidlens.ingest import read_file
from bidlens.ingest.layout import cell_words
from tests.ingest.conftest import conform_all

REAL = Path(os.environ.get("BIDLENS_REAL_FILES", "nowhere"))
pytestmark = [
    pytest.mark.real_files,
    pytest.mark.skipif(not REAL.is_dir(), reason="BIDLENS_REAL_FILES is not set: no public bid tabs to read"),
]


def files(pattern):
    return sorted(REAL.glob(pattern)) or [REAL]


def named(path):
    return path.name


def by_hand(path, contract, bidder, rank, price, quantity):
    """Contract -> (bidders, low total), by pandas alone; columns are told by their place among those with a heading."""
    read = pd.read_csv if path.suffix == ".csv" else partial(pd.read_excel, engine="calamine")
    sheet = read(path, header=None, dtype=str)
    frame = sheet.loc[1:, sheet.iloc[0].notna().to_numpy()]
    frame = frame.set_axis(range(frame.shape[1]), axis=1).dropna(subset=[contract, bidder, quantity])
    money = {place: frame[place].str.replace(r"[$,]", "", regex=True).astype(float) for place in (price, quantity)}
    frame = frame.assign(cents=(money[price] * money[quantity] * 100 + 1e-6).round())
    offered = frame[~(frame[rank].astype(float) == 0)]
    totals = offered.groupby([contract, bidder])["cents"].sum() / 100
    # A bid the agency gave no place is not its low bid, unless nobody has the first place.
    first = offered[rank].astype(float).groupby(offered[contract]).transform("min") == 1
    placed = (offered[rank].notna() | ~first).groupby([offered[contract], offered[bidder]]).all()
    counts = totals.groupby(level=0).size()
    return pd.DataFrame({"size": counts, "min": totals[placed].groupby(level=0).min()}), totals[placed]


def compare(path, **columns):
    batch = read_file(path)
    conform_all(batch)
    assert batch.rows_read == batch.rows_kept + batch.rows_set_aside
    wanted, totals = by_hand(path, **columns)
    bids = batch.tables["bid"].assign(total=lambda frame: frame["total_corrected"].astype(float))
    assert batch.contracts == len(wanted)
    assert bids.groupby("contract_id").size().to_dict() == {" ".join(k.split()): v for k, v in wanted["size"].items()}
    low = bids[bids["rank_corrected"] == 1].drop_duplicates("contract_id").set_index("contract_id")
    for contract, row in wanted.iterrows():
        found = low.loc[" ".join(contract.split())]
        assert found["total"] == pytest.approx(row["min"], abs=1.0)  # half cents of floats
        hand = totals.loc[contract].rename(index=lambda name: " ".join(name.split()))
        assert hand[found["bidder"]] == pytest.approx(hand.min(), abs=1.0)
    return batch


@pytest.mark.parametrize("path", files("michigan/*.xlsx"), ids=named)
def test_long_workbooks_agree_with_an_independent_count(path):
    batch = compare(path, contract=1, bidder=7, rank=10, price=8, quantity=6)
    assert batch.layout == "long"
    assert str(batch.tables["contract"]["letting_date"].unique()[0]) == path.stem
    assert len(batch.tables["estimate_price"]) > 0
    assert not batch.tables["bid"]["bidder"].map(cell_words().is_estimate).any()


@pytest.mark.parametrize("path", files("indiana/*"), ids=named)
def test_dated_files_agree_with_an_independent_count(path):
    batch = compare(path, contract=7, bidder=6, rank=12, price=4, quantity=2)
    assert batch.layout == "long_dated"


@pytest.mark.parametrize("path", files("portland/*.xlsx"), ids=named)
def test_side_by_side_workbooks_agree_with_their_own_summary_or_are_refused_whole(path):
    """Each has a last sheet that lists bidders and the totals of the base bid; one has lost the items of its prices."""
    try:
        batch = read_file(path)
    except BadValue as error:
        refused = str(error)
    else:
        refused = ""
    if refused:
        assert "nothing was imported from this file" in refused
        return
    conform_all(batch)
    assert (batch.layout, batch.contracts) == ("wide", 1)
    assert batch.rows_read == batch.rows_kept + batch.rows_set_aside
    summary = list(pd.read_excel(path, sheet_name=None, header=None, dtype=str, engine="calamine").values())[-1]
    stated = {" ".join(str(row[0]).split()): row[1] for _, row in summary.iterrows()}
    bids = batch.tables["bid"].set_index("bidder")["total_corrected"]
    assert len(bids) > 1
    for bidder, total in bids.items():
        assert float(total) == pytest.approx(float(stated[bidder].strip("$*^ ").replace(",", "")), abs=0.01)

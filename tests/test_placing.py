"""What placing a pay item by hand would move is shown exactly before it is done, and can be taken back."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from bidlens import workflow
from bidlens.errors import BadValue, NotOnRecord

ITEM = ("C-521", "Superstructure concrete, deck", "CY")
BASES = ("beams", "superstructure", "bridge", "contract")


@pytest.fixture
def db(own_record: Path) -> workflow.Database:
    return workflow.open_database(own_record)


def prices(db: workflow.Database) -> dict[tuple[str, str, str], float]:
    found = {}
    for basis in BASES:
        for row in db.unit_cost_history(basis).itertuples():
            found[basis, row.contract_id, row.structure_id] = row.unit_cost_adjusted
    return found


def test_the_effect_shown_is_the_effect_it_has(db: workflow.Database) -> None:
    before = prices(db)
    told = db.placing_effect(*ITEM, "utilities", db.index())
    assert prices(db) == before  # looking changes nothing
    moved = db.place_item(*ITEM, "utilities", "as an example")
    after = prices(db)
    assert moved == len(told.lines)
    changed = {key for key in before | after if abs(before.get(key, 0) - after.get(key, 0)) >= 0.005}
    rows = told.prices.to_dict("records")
    assert {(row["basis"], row["contract_id"], row["structure_id"]) for row in rows} == changed
    for row in rows:
        key = (row["basis"], row["contract_id"], row["structure_id"])
        assert row["before"] == pytest.approx(before[key])
        assert row["after"] == pytest.approx(after[key])
    assert {row["basis"] for row in rows} == {"superstructure", "bridge"}  # utilities are in neither, deck is in both


def test_its_dollars_are_those_of_the_low_bids(db: workflow.Database) -> None:
    told = db.placing_effect(*ITEM, "utilities", db.index())
    items = db.pay_items()
    own = items[(items["item_code"] == ITEM[0]) & (items["description"] == ITEM[1]) & (items["pay_unit"] == ITEM[2])]
    assert told.usd == pytest.approx(own["low_bid_usd"].sum())


def test_taking_it_back_is_shown_and_leaves_everything_as_it_was(db: workflow.Database) -> None:
    before = prices(db)
    moved = db.place_item(*ITEM, "utilities", "as an example")
    told = db.placing_effect(*ITEM, None, db.index())
    assert len(told.lines) == moved
    assert set(told.lines["to_category"]) == {"deck"}
    assert db.withdraw_item(*ITEM) == moved
    assert prices(db) == before
    assert db.overrides().empty
    with pytest.raises(NotOnRecord):
        db.withdraw_item(*ITEM)


def test_where_it_stands_already_nothing_moves(db: workflow.Database) -> None:
    told = db.placing_effect(*ITEM, "deck", db.index())
    assert told.lines.empty
    assert told.prices.empty
    assert told.usd == 0


def test_a_structure_whose_price_goes_is_told_with_no_price_after(db: workflow.Database) -> None:
    """Placing every beam item elsewhere leaves those structures without a price on the beams basis."""
    items = db.pay_items()
    beams = items[items["work_category"] == "beams"].iloc[0]
    told = db.placing_effect(beams["item_code"], beams["description"], beams["pay_unit"], "other", db.index())
    gone = told.prices[told.prices["after"].isna()]
    assert isinstance(gone, pd.DataFrame)
    assert set(gone["basis"]) <= {"beams", "superstructure"}


def test_a_category_that_is_none_is_refused(db: workflow.Database) -> None:
    with pytest.raises(BadValue):
        db.place_item(*ITEM, "nonsense", "why")

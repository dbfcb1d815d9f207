"""Every question runs, gives the columns it declares, and answers rightly on bids small enough to check by hand."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pandas as pd
import pytest

from bidlens.errors import BadValue
from bidlens.store import Store, ask, question_names, save_batch
from bidlens.store.statements import question, statement
from tests.store.conftest import LETTING, NOON, bid_tab

PARAMETERS = {"contract_id": "C-1", "letting_date": LETTING}
ROW = {"batch_id": 1, "source_sheet": "", "source_row": 3}
ITEM = {"item_code": "0501", "description": "Beams", "pay_unit": "EA"}
BRIDGE = {"categories": ["beams", "deck"], "descriptions": ["Beams"]}
YEARS = {"year": LETTING.year, "first_year": LETTING.year - 3, "last_year": LETTING.year}


def parameters_of(name: str) -> dict[str, object]:
    known = {**PARAMETERS, **YEARS, **ROW, **ITEM, **BRIDGE}
    return {parameter: known[parameter] for parameter in question(name).parameters}


@pytest.mark.parametrize("name", question_names())
def test_every_question_gives_its_declared_columns_with_the_same_dtypes_empty_or_not(name: str, filled: Store) -> None:
    asked = question(name)
    assert asked.grain.startswith("One row")
    full = ask(filled, name, **parameters_of(name))
    assert tuple(full.columns) == asked.columns
    with filled.open(write=True) as cursor:
        for table in ("bid", "bid_price", "contract_item", "contract", "structure", "proposal", "index_series"):
            cursor.execute(statement("saving/remove_rows", table=table), {"batch_id": 1})
            for batch_id in (2, 3, 4, 5):
                cursor.execute(statement("saving/remove_rows", table=table), {"batch_id": batch_id})
    emptied = ask(filled, name, **parameters_of(name))
    assert emptied.dtypes.to_dict() == full.dtypes.to_dict()
    assert "object" not in {str(dtype) for dtype in full.dtypes}


def test_questions_and_their_parameters_are_checked_by_name(store: Store) -> None:
    with pytest.raises(BadValue, match="knows no question “letings”\nQuestions: acceptances, "):
        ask(store, "letings")
    with pytest.raises(BadValue, match="needs contract_id, letting_date; given: contract_id"):
        ask(store, "contract_rows", contract_id="C-1")
    with pytest.raises(BadValue, match="needs no parameters; given: year"):
        ask(store, "lettings", year=2024)
    with pytest.raises(BadValue, match="no names of tables"):
        statement("saving/remove_rows", table="bid; DROP TABLE bid")


@pytest.mark.parametrize("date", [LETTING, "2024-03-12", pd.Timestamp(LETTING), np.datetime64("2024-03-12")])
def test_a_date_may_come_as_pandas_numpy_or_text(filled: Store, date: object) -> None:
    assert len(ask(filled, "bidders_of_contract", contract_id="C-1", letting_date=date)) == 3


def test_a_letting_shows_its_competition(store: Store) -> None:
    # by hand: Harrier 10 x 100 + 200 x 20.50 = 5,100; Kestrel 900 + 5,000 = 5,900; Wren 950 + 4,200 = 5,150
    save_batch(store, bid_tab("C-1"), NOON)
    letting = ask(store, "lettings").iloc[0]
    assert (letting["bidders"], letting["single_bid"], letting["tied_low"]) == (3, False, 1)
    assert (letting["low_bidder"], letting["low_total"], letting["second_total"]) == ("Harrier Bridge", 5100.0, 5150.0)
    assert letting["letting_date"] == pd.Timestamp(LETTING)
    bids = ask(store, "bidders_of_contract", **PARAMETERS)
    assert bids["bidder"].tolist() == ["Harrier Bridge", "Wren Contracting", "Kestrel & Sons"]


def test_a_bid_that_is_not_responsive_is_neither_low_nor_counted(store: Store) -> None:
    save_batch(store, bid_tab("C-1", bid_status={"Harrier Bridge": "irregular"}), NOON)
    letting = ask(store, "lettings").iloc[0]
    assert (letting["bidders"], letting["low_bidder"], letting["low_total"]) == (2, "Wren Contracting", 5150.0)
    assert set(ask(store, "low_bid_items")["low_bidder"]) == {"Wren Contracting"}
    assert ask(store, "bidders_of_contract", **PARAMETERS)["status"].tolist()[-1] == "irregular"


def test_a_tie_goes_to_the_first_by_name_and_shows(store: Store) -> None:
    tied = {"Wren": ("100", "20"), "Harrier": ("300", "10"), "Siskin": ("200", "20")}
    save_batch(store, bid_tab("C-1", bids=tied), NOON)
    letting = ask(store, "lettings").iloc[0]
    assert (letting["low_bidder"], letting["tied_low"], letting["second_total"]) == ("Harrier", 2, 5000.0)
    assert ask(store, "low_bid_items")["unit_price"].tolist() == [300.0, 10.0]


def test_a_single_bid_has_no_second_and_a_letting_without_bids_has_no_low(store: Store) -> None:
    save_batch(store, bid_tab("C-1", bids={"Wren": ("100", "20")}), NOON)
    save_batch(store, bid_tab("C-2", sha256="e" * 64, bid_status=dict.fromkeys(("Harrier Bridge", "Kestrel & Sons", "Wren Contracting"), "rejected")), NOON)  # fmt: skip  # noqa: E501
    single, none = ask(store, "lettings").itertuples()
    assert (single.bidders, single.single_bid, np.isnan(single.second_total)) == (1, True, True)
    assert (none.bidders, none.single_bid, none.tied_low, np.isnan(none.low_total)) == (0, False, 0, True)
    rows = ask(store, "contract_rows", contract_id="C-2", letting_date=LETTING)
    assert rows["unit_price"].isna().all()
    assert rows["source_row"].tolist() == [2, 2]  # the line's own source, where there is no low price


def test_low_bid_items_carry_the_item_the_price_and_the_road_home(store: Store) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    first, second = ask(store, "low_bid_items").to_dict("records")
    assert first == {
        "contract_id": "C-1", "letting_date": pd.Timestamp(LETTING), "schedule": "", "line": "1", "item_code": "0501",
        "description": "Steel beam, furnished and set", "pay_unit": "EA", "quantity": 10.0, "unit_price": 100.0,
        "extension": 1000.0, "work_category": "beams", "category_rule": "words: beam", "alternate": False,
        "source_file": "tab.csv",
        "source_sheet": first["source_sheet"], "source_row": 2, "low_bidder": "Harrier Bridge",
        "by_hand": first["by_hand"],
    }  # fmt: skip
    assert (second["source_row"], second["extension"]) == (3, 4100.0)
    assert ask(store, "contract_rows", **PARAMETERS)["source_row"].tolist() == [2, 3]


def test_rejected_lettings_stay_on_record_and_out_of_every_price(store: Store) -> None:
    save_batch(store, bid_tab("C-1", status="rejected"), NOON)
    save_batch(store, bid_tab("C-1", sha256="e" * 64, letting_date=dt.date(2024, 6, 4), status="not stated"), NOON)
    assert ask(store, "lettings")["status"].tolist() == ["rejected", "not stated"]
    assert len(ask(store, "low_bid_items")) == 2
    summary = ask(store, "category_summary").set_index("work_category")
    assert summary["low_bid_usd"].to_dict() == {"deck": 4100.0, "beams": 1000.0}
    assert summary["share"].sum() == pytest.approx(1.0)
    assert summary["lines"].tolist() == [1, 1]
    items = ask(store, "pay_items").set_index("item_code")
    assert items["lines"].to_dict() == {"0502": 2, "0501": 2}  # lines of all lettings
    assert items["low_bid_usd"].to_dict() == {"0502": 4100.0, "0501": 1000.0}


def test_one_contract_with_two_lettings_that_stand_keeps_both(store: Store) -> None:
    save_batch(store, bid_tab("C-1"), NOON)
    save_batch(store, bid_tab("C-1", sha256="e" * 64, letting_date=dt.date(2024, 6, 4)), NOON)
    assert len(ask(store, "lettings")) == 2
    assert len(ask(store, "low_bid_items")) == 4
    counts = ask(store, "counts").iloc[0]
    assert (counts["contracts"], counts["lettings"]) == (1, 2)


def test_a_line_left_blank_by_the_low_bidder_has_no_price(store: Store) -> None:
    batch = bid_tab("C-1", bids={"Wren": ("100", "20")})
    prices = batch.tables["bid_price"]
    batch.tables["bid_price"] = prices.assign(
        unit_price=["100", None], extension=[1000, None], extension_as_read=[None, None]
    )
    save_batch(store, batch, NOON)
    items = ask(store, "low_bid_items")
    assert items["unit_price"].isna().tolist() == [False, True]
    assert items["extension"].dtype == "float64"


def test_counts_and_history_add_up(filled: Store) -> None:
    counts = ask(filled, "counts").iloc[0]
    assert (counts["files"], counts["contracts"], counts["structures"], counts["priced_structures"]) == (5, 2, 2, 1)
    assert counts["first_letting"] == counts["last_letting"] == pd.Timestamp(LETTING)
    history = ask(filled, "imports")
    assert history["batch_id"].tolist() == [5, 4, 3, 2, 1]
    for name in ("rows_read", "rows_kept", "rows_set_aside"):
        assert history[name].sum() == counts[name]
    assert ask(filled, "structures_with_contract")["structure_id"].tolist() == ["K-2"]
    assert ask(filled, "structures")["contract_id"].tolist() == ["", "", "C-1"]
    assert ask(filled, "index_series")["last_quarter"].tolist() == ["2024Q3"]
    assert ask(filled, "proposal_scope")["scope"].tolist() == ["deliver", "furnish", "set"]

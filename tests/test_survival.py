"""What the engineer decided outlives its files: taken back, imported again, replaced by a corrected one. Invented."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from bidlens import workflow
from bidlens.errors import BadValue, NotOnRecord
from bidlens.normalizer import categorize
from bidlens.workflow import Database, NewBridge

HEAD = "Contract,Line,Item Code,Description,Quantity,Unit,Bidder,Unit Price,Extension,Contract description\n"
KESTREL, ALDER = "Kestrel Bridge Co.", "Alder & Daughters"
LET = dt.date(2024, 3, 12)
BEAMS, DECK, OTHER_DECK = "Rolled steel beams furnished and set", "Superstructure concrete", "SUPERSTRUCTURE CONCRET"
STRUCTURES = """Structure,Contract,Superstructure,Length (ft),Width (out to out),Spans,Year built
K-1,,timber,25,20,1,1957
"""


def tab(folder: Path, name: str, price: str, contract: str = "T-1", deck: str = DECK, day: str = "2024-03-12") -> Path:
    """Two lines and two bidders; Alder's beams at `price`, which may be blank."""
    lines = [
        (10, "B-600", BEAMS, 100, "LF", KESTREL, "200", "20000"),
        (10, "B-600", BEAMS, 100, "LF", ALDER, price, f"{float(price) * 100:.0f}" if price else ""),
        (20, "B-610", deck, 40, "CY", KESTREL, "880", "35200"),
        (20, "B-610", deck, 40, "CY", ALDER, "700", "28000"),
    ]  # fmt: skip
    path = folder / f"{name} {day}.csv"
    rows = [",".join(map(str, (contract, *line, "Bridge replacement"))) for line in lines]
    path.write_text(HEAD + "\n".join(rows) + "\n", encoding="utf-8")
    return path


def bring(db: Database, path: Path, **choices: str) -> Any:
    [result] = db.import_files([path], **choices)
    assert result.error is None, result.error
    return result


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "list.csv").write_text(STRUCTURES, encoding="utf-8")
    return tmp_path


@pytest.fixture
def db(folder: Path):
    """T-1 with a blank price typed in, a finding accepted, a bridge linked, and its deck item counted as T-2's."""
    with workflow.open_database(folder / "record.duckdb") as record:
        first = bring(record, tab(folder, "first", "", deck=OTHER_DECK))
        bring(record, tab(folder, "second", "210", "T-2", day="2023-05-09"))
        bring(record, folder / "list.csv")
        one = record.findings().query("code != 'blank_unit_price' and contract_id == 'T-1'").head(1)
        record.correct_price("T-1", LET, "", "10", ALDER, "190", "bid as handed in")
        for row in one.to_dict("records"):
            record.accept(
                first.batch_id, row["source_file"], "", int(row["source_row"] or 0), row["code"], row["text"], "ok"
            )
        record.link_structure("T-1", "K-1", "plans", bridge=NewBridge("rolled steel beam", 60.0, 30.0))
        record.confirm_item(OTHER_DECK, DECK, "CY", "the same item")
        yield record


def state(db: Database) -> dict[str, Any]:
    """What the record says once its decisions are counted in."""
    history = db.unit_cost_history("superstructure", "2024Q1")
    items = db.pay_items().sort_values("description")
    return {
        "unit cost": history[["contract_id", "structure_id", "unit_cost", "typed_usd", "linked_by"]].values.tolist(),
        "corrections": db.corrections()[["value", "reason", "in_use"]].values.tolist(),
        "low": db.lettings().set_index("contract_id")[["low_bidder", "low_total"]].values.tolist(),
        "links": db.structure_links()[["structure_id", "geometry_from", "in_use"]].values.tolist(),
        "items": items[["description", "work_category", "category_rule"]].values.tolist(),
        "open": db.counts()["open_findings"],
        "same": db.item_aliases()[["description", "same_as", "lines"]].values.tolist(),
    }


def test_the_price_per_square_foot_rests_on_all_of_them_and_says_so(db: Database) -> None:
    now = state(db)
    # Alder: 100 LF at the typed $190 and 40 CY at $700, over 60 ft x 30 ft
    assert now["unit cost"] == [["T-1", "K-1", (19_000 + 28_000) / 1_800, 19_000.0, "hand"]]
    priced = db.price_history("superstructure", "2024Q1")
    codes = {finding.code for finding in priced.history.findings}
    assert {"typed_price", "linked_by_hand"} <= codes
    rows = db.papers("T-1", LET, "K-1").rows
    assert rows["dollars"].sum() == 19_000 + 28_000
    assert rows[["line", "by_hand"]].fillna("").values.tolist() == [["10", "bid as handed in"], ["20", ""]]
    assert now["same"] == [[OTHER_DECK, DECK, 1]]
    rule = next(rule for description, _, rule in now["items"] if description == OTHER_DECK)
    assert rule.startswith(f"as “{DECK}”: ")


def test_decisions_hold_after_the_same_files_are_taken_back_and_come_again(db: Database, folder: Path) -> None:
    before = state(db)
    for batch in sorted(db.imports()["batch_id"], reverse=True):
        db.undo(int(batch))
    assert db.corrections()["in_use"].tolist() == [False]
    assert db.structure_links()["in_use"].tolist() == [False]
    for name in ("first 2024-03-12.csv", "second 2023-05-09.csv", "list.csv"):
        bring(db, folder / name)
    assert state(db) == before


def test_a_corrected_file_takes_the_place_and_taking_it_back_brings_the_typed_price_back(
    db: Database, folder: Path
) -> None:
    before = state(db)
    corrected = bring(db, tab(folder, "corrected", "195", deck=OTHER_DECK), again="replace")
    now = state(db)
    assert now["unit cost"] == [["T-1", "K-1", (19_500 + 28_000) / 1_800, 0.0, "hand"]]
    assert now["corrections"] == [[190.0, "bid as handed in", False]]
    assert (now["links"], now["same"], now["items"]) == (before["links"], before["same"], before["items"])
    with pytest.raises(BadValue, match=f"gave way to import {corrected.batch_id}"):
        db.take_back_price("T-1", LET, "", "10", ALDER)
    imports = db.imports().set_index("source_file")
    first = imports.loc["first 2024-03-12.csv"]
    assert (first["rows_read"], first["rows_kept"] + first["rows_set_aside"]) == (5, 5)
    assert (first["rows_replaced"], first["rows_counting"], first["contracts_replaced"]) == (4, 1, 1)
    assert first["replaced_by"] == str(corrected.batch_id)
    assert imports["rows_replaced"].sum() == 4
    db.undo(corrected.batch_id)
    assert state(db) == before
    db.take_back_price("T-1", LET, "", "10", ALDER)
    assert db.lettings().set_index("contract_id").loc["T-1", "low_bidder"] == KESTREL


def test_same_items_are_one_in_prices_and_apart_again_when_taken_back(db: Database) -> None:
    def years() -> pd.DataFrame:
        found = workflow.store.ask(db.store, "review_item_years", last_year=2030)
        return found[found["item_code"] == "B-610"]

    assert set(years()["description"]) == {DECK}
    assert db.pay_item_suggestions().empty
    db.place_item("", DECK, "CY", "utilities", "to see")
    categories = db.pay_items().set_index("description")["work_category"]
    assert (categories[DECK], categories[OTHER_DECK]) == ("utilities", "utilities")
    assert db.forget_item(OTHER_DECK, "CY") == DECK
    assert set(years()["description"]) == {DECK, OTHER_DECK}
    by_rule = categorize(pd.DataFrame({"description": [OTHER_DECK], "pay_unit": ["CY"], "item_code": ["B-610"]}))
    assert db.pay_items().set_index("description")["work_category"][OTHER_DECK] == by_rule["work_category"].iloc[0]
    db.confirm_item(OTHER_DECK, DECK, "CY", "the same after all")
    assert db.pay_items().set_index("description")["work_category"][OTHER_DECK] == "utilities"
    db.withdraw_item("", DECK, "CY")
    assert set(db.pay_items().query("item_code == 'B-610'")["work_category"]) == {"deck"}


@pytest.mark.parametrize(
    ("item", "other", "unit", "reason", "message"),
    [
        ("Pipe 12 in", "Pipe 18 in", "LF", "alike", "differ in digits or class letters"),
        ("Concrete class A", "Concrete class B", "CY", "alike", "differ in digits or class letters"),
        (BEAMS, DECK, "CY", "alike", "no pay item by CY"),
        (DECK, OTHER_DECK, "CY", "other way", "is itself counted as"),
        (DECK, DECK, "CY", "same", "stands for itself already"),
        (OTHER_DECK, DECK, "CY", " ", "the reason is empty"),
    ],
)
def test_what_is_not_one_item_is_refused(
    db: Database, item: str, other: str, unit: str, reason: str, message: str
) -> None:
    before = state(db)
    with pytest.raises((BadValue, NotOnRecord), match=message):
        db.confirm_item(item, other, unit, reason)
    assert state(db) == before

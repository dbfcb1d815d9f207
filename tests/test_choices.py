"""Choices of an import: a contract that arrives again, the schedules an award rests on, the rule for unit prices."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from bidlens import cli, workflow
from bidlens.errors import BadValue
from bidlens.workflow import Database
from tests.ingest.conftest import HERON, LONG_HEAD, WREN, item

TABLES = ("contract", "contract_item", "bid", "bid_price", "estimate_price", "finding", "import_batch", "replaced_row")


@pytest.fixture
def db(tmp_path):
    with workflow.open_database(tmp_path / "record.duckdb") as database:
        yield database


def tab(folder: Path, name: str, *prices: float, contract: str = "91-001", day: str = "2031-04-08") -> Path:
    path = folder / f"{name} {day}.csv"
    with path.open("w", newline="", encoding="utf-8") as stream:
        rows = [
            item("1", "Beams", "LS", "1", who, price, price, "")
            for who, price in zip((HERON, WREN), prices, strict=False)
        ]
        csv.writer(stream).writerows([LONG_HEAD, *([contract, *row[1:]] for row in rows)])
    return path


def everything(db: Database) -> dict[str, list[tuple[object, ...]]]:
    with db.store.open() as cursor:
        return {name: sorted(cursor.execute(f"FROM {name}").fetchall(), key=str) for name in TABLES}


def bring(db: Database, path: Path, **choices: str):
    (result,) = db.import_files([path], **choices)
    assert result.error is None, result.error
    return result


def low(db: Database) -> dict[str, float]:
    return dict(zip(db.lettings()["contract_id"], db.lettings()["low_total"], strict=True))


def test_the_first_file_stands_when_nothing_is_chosen(db, tmp_path):
    bring(db, tab(tmp_path, "one", 100, 110))
    result = bring(db, tab(tmp_path, "two", 90, 95))
    assert (result.status, low(db)) == ("nothing new", {"91-001": 100})


def test_a_second_file_takes_the_place_of_the_first_and_taking_it_back_brings_the_first_back(db, tmp_path):
    bring(db, tab(tmp_path, "one", 100, 110))
    before = everything(db)
    result = bring(db, tab(tmp_path, "two", 90, 95), again="replace")
    assert (result.status, low(db)) == ("imported", {"91-001": 90})
    assert "contract_replaced" in {finding.code for finding in result.findings}
    assert set(db.findings().query("contract_id == '91-001'")["batch_id"]) <= {2}
    db.undo(2)
    assert everything(db) == before


def test_replaced_rows_come_back_in_any_order_of_taking_back(db, tmp_path):
    files = [tab(tmp_path, "one", 100), tab(tmp_path, "two", 90), tab(tmp_path, "three", 80)]
    bring(db, files[0])
    alone = everything(db)
    bring(db, files[1], again="replace")
    bring(db, files[2], again="replace")
    db.undo(2)  # the one in the middle: the third goes on standing in front of the first
    assert low(db) == {"91-001": 80}
    db.undo(3)
    assert everything(db) == alone
    bring(db, files[1], again="replace")
    db.undo(1)  # the first: nothing is left to come back
    db.undo(2)
    assert not any(everything(db).values())


def test_replacing_leaves_other_contracts_and_lettings_alone(db, tmp_path):
    bring(db, tab(tmp_path, "one", 100, contract="91-001"))
    bring(db, tab(tmp_path, "two", 200, contract="91-002"))
    bring(db, tab(tmp_path, "re-let", 105, contract="91-001", day="2031-06-10"))
    bring(db, tab(tmp_path, "new", 99, contract="91-001"), again="replace")
    assert sorted(db.lettings()["low_total"]) == [99, 105, 200]


def test_both_are_kept_under_two_names(db, tmp_path):
    bring(db, tab(tmp_path, "one", 100))
    result = bring(db, tab(tmp_path, "two", 90), again="keep-both")
    bring(db, tab(tmp_path, "three", 80), again="keep-both")
    assert low(db) == {"91-001": 100, "91-001 (2)": 90, "91-001 (3)": 80}
    assert [f.contract_id for f in result.findings if f.code == "contract_kept_twice"] == ["91-001 (2)"]
    db.undo(2)
    assert low(db) == {"91-001": 100, "91-001 (3)": 80}


def test_a_contract_let_again_is_no_second_copy(db, tmp_path):
    bring(db, tab(tmp_path, "one", 100))
    result = bring(db, tab(tmp_path, "two", 90, day="2031-06-10"))
    assert (result.contracts, len(db.lettings())) == (1, 2)
    assert "contract_on_record" not in {finding.code for finding in result.findings}


def test_a_failed_replacement_leaves_the_record_as_it_was(db, tmp_path):
    bring(db, tab(tmp_path, "one", 100))
    before = everything(db)
    (result,) = db.import_files([tab(tmp_path, "two", 90)], again="some day")
    assert isinstance(result.error, BadValue)
    assert everything(db) == before


def test_the_rule_for_unit_prices_is_kept_in_the_record_and_said(db, tmp_path):
    """43 TAC 9.16(b): 1.2345 is entered as 1.235."""
    first = bring(db, tab(tmp_path, "one", 1.2345), entry_rule="tenth-of-a-cent")
    second = bring(db, tab(tmp_path, "two", 1.2345, contract="91-002"))
    for result in (first, second):
        assert "entry_rule" in {finding.code for finding in result.findings}
    third = bring(db, tab(tmp_path, "three", 1.2345, contract="91-003"), entry_rule="as-bid")
    assert "entry_rule" not in {finding.code for finding in third.findings}
    with db.store.open() as cursor:
        prices = cursor.execute("SELECT unit_price::VARCHAR FROM bid_price ORDER BY contract_id").fetchall()
    assert prices == [("1.23500",), ("1.23500",), ("1.23450",)]


def test_a_dry_run_keeps_no_rule(db, tmp_path):
    db.import_files([tab(tmp_path, "one", 1.2345)], entry_rule="tenth-of-a-cent", dry_run=True)
    assert not db.path.exists()


def test_the_choices_on_the_command_line(tmp_path, capsys):
    record = ["--db", str(tmp_path / "record.duckdb"), "--format", "json"]
    assert cli.main(["import", str(tab(tmp_path, "one", 100)), *record]) == 0
    assert cli.main(["import", str(tab(tmp_path, "two", 90)), "--again", "replace", *record]) == 0
    assert cli.main(["import", str(tab(tmp_path, "three", 80)), "--award", "base + ALT 1", *record]) == 1
    told = [json.loads(text) for text in capsys.readouterr().out.replace("}\n{", "}\0{").split("\0")]
    assert [one["files"][0]["status"] for one in told] == ["imported", "imported", "not imported"]
    with pytest.raises(SystemExit):
        cli.main(["import", "x.csv", "--again", "never"])

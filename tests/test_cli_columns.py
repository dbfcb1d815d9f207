"""Which column is what, on the command line: told beside the file or with --columns, kept, listed, removed."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest

from bidlens import cli

TAB = """Larkmoor road department,,,,,,
Ctr,Nr,Wrd,Qn,Un,Wer,Prc
{c},1,Steel beams,1000,LB,Heron Co,2.5
{c},1,Steel beams,1000,LB,Wren Co,2.75
{c},2,Deck concrete,40,CY,Heron Co,900
{c},2,Deck concrete,40,CY,Wren Co,850
"""
COLUMNS = """name = "Larkmoor road department"
layout = "long"
letting_date = 2031-04-08
[columns]
contract_id = "Ctr"
line = "Nr"
description = "Wrd"
quantity = "Qn"
pay_unit = "E"
bidder = "Wer"
unit_price = "Prc"
"""


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("BIDLENS_DB", str(tmp_path / "record.duckdb"))
    Path("spring.csv").write_text(TAB.format(c="B-1"), encoding="utf-8")

    def call(*arguments: str, expect: int = 0) -> str:
        assert cli.main(list(arguments)) == expect
        return capsys.readouterr().out

    return call


def as_json(text: str) -> dict:
    return json.loads(text)


def test_a_dry_run_shows_what_was_recognised_and_stores_nothing(run) -> None:
    shown = run("import", "spring.csv", "--dry-run", expect=1)
    assert "NOT SURE" in shown
    assert "letting date not found" in shown
    Path("spring.columns.toml").write_text(COLUMNS, encoding="utf-8")
    shown = run("import", "spring.csv", "--dry-run")
    assert "would import" in shown
    assert "by the mapping “Larkmoor road department”" in shown
    assert "letting date 2031-04-08, as told" in shown
    file = as_json(run("import", "spring.csv", "--dry-run", "--format", "json"))["files"][0]
    sheet = file["recognised"]["sheets"][0]
    assert sheet["header_row"] == 2
    assert {column["heading"]: column["field"] for column in sheet["columns"]}["Prc"] == "unit_price"
    assert not Path("record.duckdb").exists()


def test_a_mapping_is_kept_used_for_the_next_file_with_the_same_headings_and_removed(run) -> None:
    Path("other.toml").write_text(COLUMNS, encoding="utf-8")
    run("import", "spring.csv", "--columns", "other.toml")
    Path("letting_2031-09-10.csv").write_text("a line more,,,,,,\n" + TAB.format(c="B-2"), encoding="utf-8")
    file = as_json(run("import", "letting_2031-09-10.csv", "--format", "json"))["files"][0]
    assert file["status"] == "imported"
    told = next(finding for finding in file["findings"] if finding["code"] == "columns_told")
    assert "“Larkmoor road department”, kept on record" in told["text"]
    kept = as_json(run("mappings", "--format", "json"))["mappings"]
    assert [mapping["name"] for mapping in kept] == ["Larkmoor road department"]
    assert "letting_date" not in kept[0]["toml"]
    assert "Prc" in run("mappings")
    run("mappings", "--forget", "Larkmoor", expect=1)
    run("mappings", "--forget", "Larkmoor road department")
    assert as_json(run("mappings", "--format", "json"))["mappings"] == []
    Path("letting_2031-10-01.csv").write_text(TAB.format(c="B-3"), encoding="utf-8")
    run("import", "letting_2031-10-01.csv", expect=1)


def test_the_mapping_beside_a_file_may_be_named_along_with_it(run) -> None:
    Path("spring.columns.toml").write_text(COLUMNS, encoding="utf-8")
    files = as_json(run("import", "spring.columns.toml", "spring.csv", "--format", "json"))["files"]
    assert [(file["name"], file["status"]) for file in files] == [("spring.csv", "imported")]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("unit_price", "unit_prise"),
        ('"Prc"', '"Prcc"'),
        ("quantity", "not_there"),
        ('layout = "long"', "header_row = 9"),
    ],
)
def test_a_wrong_mapping_leaves_the_record_as_it_was(old: str, new: str, run, capsys) -> None:
    Path("good.toml").write_text(COLUMNS, encoding="utf-8")
    run("import", "spring.csv", "--columns", "good.toml")
    before = hashlib.sha256(Path("record.duckdb").read_bytes()).hexdigest()
    Path("next.csv").write_text(TAB.format(c="B-4"), encoding="utf-8")
    Path("bad.toml").write_text(COLUMNS.replace(old, new), encoding="utf-8")
    assert cli.main(["import", "next.csv", "--columns", "bad.toml"]) == 1
    told = "".join(capsys.readouterr())
    assert "bad.toml" in told
    assert "Traceback" not in told
    assert hashlib.sha256(Path("record.duckdb").read_bytes()).hexdigest() == before


def test_asking_for_mappings_makes_no_record(run) -> None:
    run("mappings", expect=1)
    run("mappings", "--forget", "any", expect=1)
    assert not Path("record.duckdb").exists()

"""Names and corrections from the command line: listed, decided, taken back. Firms are invented."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from bidlens import cli, workflow
from tests.test_cli import LETTING

Run = Callable[..., tuple[str, str]]
LATER = LETTING.replace("T-1", "T-2").replace("Kestrel Bridge Co.", "KESTREL BRIDGE COMPANY")


@pytest.fixture
def run(capsys, tmp_path, monkeypatch):
    """Call a command in a folder of its own, with a record of its own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("BIDLENS_DB", str(tmp_path / "county.duckdb"))

    def call(*arguments: object, expect: int = 0) -> tuple[str, str]:
        status = cli.main([str(argument) for argument in arguments])
        out, err = capsys.readouterr()
        assert status == expect, err
        assert "Traceback" not in out + err
        return out, err

    for name, text in (("letting_2024-03-12.csv", LETTING), ("letting_2025-03-11.csv", LATER)):
        (tmp_path / name).write_text(text, encoding="utf-8")
        call("import", name)
    return call


def names(run: Run, *arguments: str) -> dict:
    return json.loads(run("names", *arguments, "--format", "json")[0])


def test_a_spelling_is_suggested_confirmed_with_a_reason_and_forgotten(run: Run) -> None:
    assert "Nothing is put together until you confirm it" in " ".join(run("names")[0].split())
    before = names(run)
    [suggested] = before["suggestions"]
    assert {suggested["spelling"], suggested["bidder"]} == {"KESTREL BRIDGE COMPANY", "Kestrel Bridge Co."}
    after = names(run, "--confirm", suggested["spelling"], suggested["bidder"], "--because", "same address")
    assert after["suggestions"] == []
    assert [one["reason"] for one in after["confirmed"]] == ["same address"]
    assert "same address" in run("names")[0]
    assert names(run, "--forget", suggested["spelling"]) == before


def test_a_name_that_is_not_on_record_is_told_with_those_near_it(run: Run) -> None:
    _, err = run("names", "--confirm", "Kestrel Bridge Co", "Alder & Daughters", expect=1)
    assert "no bid of “Kestrel Bridge Co”" in err
    assert "“Kestrel Bridge Co.”" in err


def test_two_bidders_of_one_letting_stay_apart_and_it_says_so(run: Run) -> None:
    _, err = run("names", "--confirm", "Alder & Daughters", "Kestrel Bridge Co.")
    assert "kept apart" in err
    assert [finding["code"] for finding in names(run)["findings"]] == ["bidders_kept_apart"]


def test_a_typed_price_and_an_accepted_finding_are_listed(run: Run, tmp_path) -> None:
    assert "No price was typed by hand." in run("corrections")[0]
    blank = LETTING.replace("T-1", "T-3").replace("2,910.00,36400.00", "2,,")
    (tmp_path / "letting_2025-06-10.csv").write_text(blank, encoding="utf-8")
    run("import", "letting_2025-06-10.csv")
    with workflow.open_database(tmp_path / "county.duckdb") as db:
        [row] = db.blank_prices().to_dict("records")
        assert (row["contract_id"], row["bidder"], row["bid_status"]) == ("T-3", "Alder & Daughters", "irregular")
        day = row["letting_date"].date()
        done = db.correct_price("T-3", day, row["schedule"], row["line"], row["bidder"], "700", "page 2")
        assert (done.status, done.rank) == ("responsive", 1)  # 22,000 + 28,000 = 50,000 under 55,200
        found = db.findings()
        one = found[found["code"] == "blank_unit_price"].iloc[0]
        assert one["accepted"] == "the prices were typed by hand"
        assert db.lettings().set_index("contract_id")["low_total"]["T-3"] == 50000.0
    document = json.loads(run("corrections", "--format", "json")[0])
    assert document["schema"] == "bidlens/corrections/1"
    assert [(one["value_as_read"], one["value"], one["reason"]) for one in document["corrections"]] == [
        ("", 700.0, "page 2")
    ]
    assert "page 2" in run("corrections")[0]


def test_two_descriptions_are_counted_as_one_item_and_taken_back(run: Run, tmp_path) -> None:
    other = LETTING.replace("T-1", "T-3").replace("Superstructure concrete", "SUPERSTRUCTURE CONC")
    (tmp_path / "letting_2023-03-14.csv").write_text(other, encoding="utf-8")
    run("import", "letting_2023-03-14.csv")
    pair = ("SUPERSTRUCTURE CONC", "Superstructure concrete")
    _, err = run("names", "--same-item", *pair, "--unit", "CY", expect=1)
    assert "reason" in err
    _, err = run("names", "--same-item", *pair, "--unit", "LS", "--because", "one item", expect=1)
    assert "SUPERSTRUCTURE CONC" in err
    _, talk = run("names", "--same-item", *pair, "--unit", "CY", "--because", "one item")
    assert f"“{pair[0]}” is counted as “{pair[1]}”" in " ".join(talk.split())
    [same] = names(run)["same_items"]
    assert (same["description"], same["same_as"], same["reason"]) == (*pair, "one item")
    _, talk = run("names", "--forget-item", pair[0], "--unit", "CY")
    assert f"“{pair[0]}” stands for itself again" in " ".join(talk.split())
    assert names(run)["same_items"] == []
    _, err = run("names", "--forget-item", pair[0], "--unit", "CY", expect=1)
    assert pair[0] in err


def test_under_the_imports_stands_what_gave_way_to_another_file(run: Run, tmp_path) -> None:
    assert "gave way" not in run("imports")[0]
    (tmp_path / "corrected_2024-03-12.csv").write_text(
        LETTING.replace("200.00,20000", "201.00,20100"), encoding="utf-8"
    )
    run("import", "corrected_2024-03-12.csv", "--again", "replace")
    shown = " ".join(run("imports")[0].split())
    # seven rows: the headings stay with their import, six rows of the one contract were replaced
    assert (
        "Import 1, letting_2024-03-12.csv: 1 contract gave way to import 3; 1 of 7 rows kept still count, 6 were "
        "replaced. Taking import 3 back brings them back."
    ) in shown
    run("undo", 3)
    assert "gave way" not in run("imports")[0]

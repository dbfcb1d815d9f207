"""Names and corrections from the command line: listed, decided, taken back. Firms are invented."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from bidlens import cli
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

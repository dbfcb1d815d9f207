"""Answers kept from one drawing of a page to the next: of this record as it is, and of this browser session alone."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

from bidlens import workflow
from tests.dashboard.pages import html_of, opened

HARRIER = "Harrier Steel Works / K-117 / 2026-02-10"


def left_out(app: AppTest, contract: str) -> AppTest:
    app.selectbox(key="leave_out").set_value(contract)
    app.text_input(key="leave_out_reason").set_value("flood repair")
    next(one for one in app.button if one.label == "Leave it out of this check").click()
    return app.run()


def test_what_one_session_leaves_out_is_left_out_for_nobody_else(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    mine, theirs = opened(sample_record, monkeypatch), opened(sample_record, monkeypatch)
    before = html_of(theirs)
    assert "Left out by you: B-1304" in html_of(left_out(mine, "B-1304"))
    assert html_of(theirs.run()) == before
    assert "Left out by you: B-1304" in html_of(mine.run())


def test_a_check_is_made_anew_once_the_record_has_changed(own_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(own_record, monkeypatch)
    before = html_of(app)
    assert html_of(app.run()) == before
    with workflow.open_database(own_record) as db:
        imports = db.imports()
        assert db.undo(int(imports.loc[imports["source_file"] == "letting_2024-11-13.csv", "batch_id"].iloc[0]))
    (structures,), (fewer,) = (re.findall(r"of this type, (\d+) in all", page) for page in (before, html_of(app.run())))
    assert int(fewer) < int(structures)


def _downloads(app: AppTest, monkeypatch: pytest.MonkeyPatch) -> dict[str, str | bytes]:
    """Every download of a page as it stands, made as a click makes it: label and content."""
    made: dict[str, Callable[[], str | bytes]] = {}
    monkeypatch.setattr(st, "download_button", lambda label, data, *_, **__: made.setdefault(label, data))
    app.run()
    return {label: make() for label, make in made.items()}


def test_the_numbers_to_download_are_those_the_page_shows(sample_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    check = opened(sample_record, monkeypatch, proposal=HARRIER, basis="bridge")
    before = html_of(check)
    files = _downloads(check, monkeypatch)
    (said,) = json.loads(files["All numbers (JSON)"])["proposals"]
    assert said["basis"] == "bridge"
    assert said["verdict"]["support"] in html_of(check)
    assert str(said["comparables"][0]["contract_id"]) in str(files["Closest contracts (CSV)"])
    assert html_of(check.run()) == before  # what is kept was not changed by those who used it


def test_the_forecast_to_download_is_the_one_on_the_page(sample_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    page = opened(sample_record, monkeypatch, "program_forecast", budget="6500000")
    files = _downloads(page, monkeypatch)
    said = json.loads(files["All numbers (JSON)"])
    assert said["budget"]["usd"] == 6_500_000
    assert "$6.5 million" in str(files["Board report to print (HTML)"])
    assert all(one["structure_id"] in html_of(page) for one in said["structures"])
    assert bytes(files["Working (XLSX)"]).startswith(b"PK")  # a workbook is a ZIP archive: ECMA-376, part 2

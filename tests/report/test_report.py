"""Reports: text a terminal may show, workbooks and CSV in which text stays text, a memo that fetches nothing."""

import datetime as dt
import io
from dataclasses import replace
from decimal import Decimal

import openpyxl
import pandas as pd
import pytest

from bidlens import workflow
from bidlens.errors import BadValue, Place
from bidlens.findings import Finding
from bidlens.report import as_json, memo, terminal, workbook

HOSTILE = "=HYPERLINK(\"http://example.invalid\") <script>alert('x')</script> \x1b[31mred\u202e"


@pytest.fixture(scope="module")
def check(sample_record):
    with workflow.open_database(sample_record) as db:
        return workflow.check_files(db, workflow.lead_sample_proposal())[0]


def test_text_from_a_file_cannot_steer_the_terminal():
    shown = terminal.table(("bidder",), [(HOSTILE,)], widest=200)
    assert "\x1b" not in shown
    assert "\u202e" not in shown


def test_long_cells_are_cut_and_numbers_stand_right():
    shown = terminal.table(("name", "usd"), [("a" * 60, "5"), ("b", "1,234")], "lr", widest=10).splitlines()
    assert shown[2].startswith("aaaaaaaaa…")
    assert [line[-5:] for line in shown[2:]] == ["    5", "1,234"]


def test_findings_of_one_kind_are_said_once_worst_first():
    same = [Finding("tie", "note", f"tie {n}", place=Place("a.csv", row=n)) for n in (1, 2, 3)]
    said = terminal.findings_by_kind([*same, Finding("blank_unit_price", "stop", "no price")])
    assert said.splitlines()[0] == "■ Stop. no price"
    assert "tie 1 (a.csv, row 1)" in said
    assert "tie 2" not in said
    assert "2 more of this kind" in said


def test_json_has_only_json_types_and_null_for_what_is_not_known():
    content = {
        "money": Decimal("1.50"), "day": dt.date(2024, 2, 29), "none": float("nan"), "missing": pd.NA,
        "frame": pd.DataFrame({"n": [1], "when": [pd.Timestamp("2024-01-02")]}),
    }  # fmt: skip
    assert as_json.clean(content) == {
        "money": 1.5, "day": "2024-02-29", "none": None, "missing": None, "frame": [{"n": 1, "when": "2024-01-02"}],
    }  # fmt: skip


def test_text_in_a_workbook_is_never_a_formula_or_a_link():
    stream = io.BytesIO()
    workbook.write_workbook(stream, {"bids": pd.DataFrame({"bidder": [HOSTILE], "usd": [1.5]})}, ["about"])
    sheet = openpyxl.load_workbook(stream)["bids"]
    assert sheet["A2"].data_type == "s"
    assert sheet["A2"].hyperlink is None
    assert sheet["B2"].value == 1.5


def test_text_in_csv_that_begins_like_a_formula_is_guarded():
    written = workbook.safe_csv(pd.DataFrame({"bidder": [HOSTILE, "Alder & Co.", None], "usd": [-1.0, 2.0, 3.0]}))
    rows = written.splitlines()
    assert rows[1].startswith("\"'=HYPERLINK")
    assert rows[1].endswith(",-1.0")  # a number stays a number


def test_the_memo_answers_first_and_shows_hostile_text_as_text(check):
    page = memo.memo_html([replace(check, proposal=replace(check.proposal, supplier=HOSTILE))], HOSTILE)
    assert page.index("Is this price usual?") < page.index("Like for like") < page.index("Closest past contracts")
    assert "<script" not in page
    assert "&lt;script&gt;" in page


def test_the_workings_steps_add_up_to_the_comparable_price(check):
    sheets = memo.working_sheets([check])
    total = sheets["answers"]["quoted_per_sf"].iloc[0] + sheets["steps"]["per_sf"].sum()
    assert total == pytest.approx(sheets["answers"]["like_for_like_per_sf"].iloc[0])


@pytest.mark.parametrize("name", ["memo.pdf", "memo"])
def test_another_ending_is_refused_with_the_endings_there_are(check, tmp_path, name):
    with pytest.raises(BadValue, match="cannot write") as caught:
        memo.write_report([check], tmp_path / name, "")
    assert ".html or .xlsx" in str(caught.value)


def test_a_place_that_cannot_be_written_is_told(check, tmp_path):
    with pytest.raises(BadValue, match="cannot write"):
        memo.write_report([check], tmp_path / "nowhere" / "memo.html", "")

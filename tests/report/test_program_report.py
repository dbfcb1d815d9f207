"""The forecast as text, board report and workbook."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET

import openpyxl
import pytest

from bidlens import workflow
from bidlens.errors import BadValue
from bidlens.report import program_report, program_text
from bidlens.report.dots_svg import dots_svg

PROGRAM = workflow.sample_folder() / "program_2027.csv"


@pytest.fixture(scope="module")
def found(sample_record):
    with workflow.open_database(sample_record) as db:
        return workflow.forecast_program(db, PROGRAM, year=2027, budget_usd=6.4e6, runs=2000)


def test_the_text_answers_first_and_marks_the_cut(found):
    text = program_text.forecast_answer(found)
    assert text.startswith("The eleven bridges will most likely cost about $")
    fitting = [line.split()[-1] for line in text.splitlines() if " K-" in line and line.split()[-1] in ("fits", "over")]
    assert fitting.count("fits") == found.budget.covered[80]
    assert fitting == sorted(fitting)
    assert "Do not add the P80 column" in text
    assert "in a steady state, as if ages were spread evenly" in " ".join(text.split())


def test_the_board_report_stands_alone_and_escapes_what_files_say(found):
    found.structures.loc[0, "superstructure"] = "<script>alert(1)</script>"
    page = program_report.report_html(found, "record & co")
    assert "<script" not in page
    assert "record &amp; co" in page
    assert "http" not in page.replace("http-equiv", "")
    assert page.count('<tr class="cut">') == 1
    picture = ET.fromstring(dots_svg(found))
    assert len(picture.findall("circle")) == 50
    filled = [dot for dot in picture.findall("circle") if dot.get("fill") == "#17262B"]
    assert len(filled) == pytest.approx(found.budget.chance_covers * 50, abs=1)


def test_the_working_holds_both_numbers_of_the_p80(found):
    book = openpyxl.load_workbook(io.BytesIO(program_report.working(found, "record")))
    rows = list(book["total"].iter_rows(values_only=True))
    assert rows[1][rows[0].index("p80")] == pytest.approx(found.total.p80)
    assert rows[2][rows[0].index("p80")] == pytest.approx(found.sum_of_p80)
    assert {"bridges", "total", "doubt", "age profile", "findings"} <= set(book.sheetnames)


def test_a_report_of_another_ending_is_refused(found, tmp_path):
    with pytest.raises(BadValue, match=r"in \.html or \.xlsx"):
        program_report.write_report(found, tmp_path / "report.docx", "record")

"""Offers side by side on paper: the sentence first, every step, every pair; a contract left out is always printed."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest

from bidlens import cli, comparing, workflow
from bidlens.comparing import Comparison
from bidlens.findings import Finding
from bidlens.report import comparison_memo, memo
from bidlens.report.comparison import steps_beside
from bidlens.report.memo_fit import LEAST, PAGE_MM, zoom

LETTERS = sorted(workflow.lead_sample_proposal().parent.glob("*_k117.toml"))


@pytest.fixture(scope="module")
def compared(sample_record: Path) -> Comparison:
    with workflow.open_database(sample_record) as db:
        return comparing.compare(db, db.proposals(), rate=0.03)


def test_the_comparison_answers_first_then_draws_then_counts_chances(compared: Comparison) -> None:
    page = comparison_memo.comparison_html(compared.checks, compared.side, compared.life, "record")
    order = ("Which offer costs less", " below ", "Offers in the ranges", "Like for like", "What stands between",
             "From each letter", "Cost a year", "Reviewed by")  # fmt: skip
    places = [page.index(words) for words in order]
    assert places == sorted(places)
    assert page.count("<figcaption>") == 4
    assert page.count(" against ") == 6  # pairs of four offers: 4 x 3 / 2
    assert re.search(r"chance it is cheaper.*in 100", page)
    assert "<script" not in page


def test_one_offer_has_no_comparison() -> None:
    assert comparison_memo.comparison_html([], None, None, "") == ""
    assert comparison_memo.comparison_sheets(None) == {}


def test_each_column_of_steps_adds_up_as_printed(compared: Comparison) -> None:
    rows = steps_beside(compared.checks)
    assert (rows[0][0], rows[-1][0]) == ("Quoted", "Like for like")
    for column in range(1, len(compared.checks) + 1):
        cells = [row[column].replace("$", "").replace("−", "-").replace(",", "") for row in rows if row[column]]
        *parts, total = (float(cell) for cell in cells)
        assert sum(parts) == pytest.approx(total, abs=1e-9)


def test_suppliers_text_stays_text(compared: Comparison) -> None:
    assert compared.side is not None
    odd = "<img src=x onerror=alert(1)>"
    side = replace(compared.side, offers=tuple(replace(one, supplier=odd) for one in compared.side.offers))
    assert "<img" not in comparison_memo.comparison_html(compared.checks, side, compared.life, odd)


def test_a_contract_left_out_is_printed_however_many_findings_there_are(compared: Comparison) -> None:
    check = compared.checks[0]
    others = [Finding(f"f{n}", "stop", f"doubt {n}") for n in range(7)]
    own = Finding("left_out_by_you", "note", "Left out by you: B-1304 (flood repair).")
    page = memo.memo_html([replace(check, findings=(*others, own))], "record")
    assert "Left out by you: B-1304 (flood repair)." in page
    assert "5 more findings in the working." in page


def test_the_report_of_several_offers_holds_the_comparison(sample_record: Path, tmp_path: Path) -> None:
    html, book = tmp_path / "offers.html", tmp_path / "offers.xlsx"
    files = [str(letter) for letter in LETTERS[:2]]
    for target in (html, book):
        assert cli.main(["check", *files, "--db", str(sample_record), "--report", str(target), "--rate", "3"]) == 0
    written = html.read_text(encoding="utf-8")
    assert written.index("Which offer costs less") < written.index("Is this price usual?")
    sheets = openpyxl.load_workbook(book)
    assert {"side by side", "between offers"} <= set(sheets.sheetnames)


@pytest.mark.parametrize(("height_mm", "factor"), [(PAGE_MM, 1.0), (PAGE_MM * 1.25, 0.8), (PAGE_MM * 9, LEAST)])
def test_a_tall_memo_is_printed_smaller_but_never_too_small_to_read(height_mm: float, factor: float) -> None:
    assert zoom(height_mm) == pytest.approx(factor, abs=0.011)

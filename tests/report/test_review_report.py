"""The letting review as text, JSON, page to print and workbook: complete, self-contained, and in the right words."""

from __future__ import annotations

import io
import json
import re
import zipfile
from pathlib import Path

import pandas as pd
import pytest

from bidlens import cli, workflow
from bidlens.errors import BadValue
from bidlens.letting import LettingReview
from bidlens.report import review_report, review_text, workbook

YEAR = 2025
#: Words a review of bids does not use of a bid; DOJ-style terms and judgements of price.
BANNED = re.compile(
    r"\b(collusion|suspicious|fair|reasonable|overpriced|recommend\w*|savings|significant\w*|anomal\w*)\b", re.I
)


@pytest.fixture(scope="module")
def review(sample_record: Path) -> LettingReview:
    with workflow.open_database(sample_record) as db:
        return workflow.review_lettings(db, YEAR)


def test_the_command_gives_every_public_number(sample_record: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["review", str(YEAR), "--db", str(sample_record), "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["schema"] == "bidlens/review/1"
    with workflow.open_database(sample_record) as db:
        lettings = db.lettings()
    mine = lettings[(lettings["letting_date"].dt.year == YEAR) & (lettings["status"] != "rejected")]
    assert found["contracts"] == len(mine)
    assert found["bids_per_contract"] == pytest.approx(mine["bidders"].mean())
    assert found["single_bid_contracts"] == int(mine["single_bid"].sum())
    left = (mine["second_total"] - mine["low_total"]).dropna()
    assert found["money_left_on_table"] == pytest.approx(left.sum(), abs=0.005)
    keys = {"estimate_within_10pct_share", "unit_cost_by_type", "price_index", "contract_list", "flags", "findings"}
    assert keys <= set(found)
    assert len(found["contract_list"]) == int((lettings["letting_date"].dt.year == YEAR).sum())


def test_a_year_without_lettings_says_so_and_gives_no_number(sample_record: Path) -> None:
    with workflow.open_database(sample_record) as db:
        nothing = workflow.review_lettings(db, 2011)
    found = nothing.as_dict()
    assert (found["contracts"], found["bids_per_contract"], found["money_left_on_table"]) == (0, None, None)
    assert "Nothing on record was let in 2011." in review_text.review_answer(nothing)
    assert "<h1" in review_report.review_html(nothing, "")


def test_the_page_to_print_is_self_contained_and_has_every_part(review: LettingReview) -> None:
    page = review_report.review_html(review, "a record")
    assert not re.search(r"(src|href)=|<script|@import|url\(", page)
    assert page.count("<svg") == 2
    for title, _, _ in review_text.sections(review):
        assert f"<h2>{title}</h2>" in page
    assert "Fourteen questions" in page
    assert not BANNED.search(re.sub(r"<style>.*?</style>", "", page))


def test_every_contract_of_the_year_is_drawn_and_listed(review: LettingReview) -> None:
    page = review_report.review_html(review, "")
    for contract in review.contracts["contract_id"]:
        assert page.count(contract) >= 2


def test_the_workbook_has_a_sheet_a_table_with_real_numbers(review: LettingReview) -> None:
    target = io.BytesIO()
    review_report.write_review_workbook(review, target, "a record")
    sheets = pd.read_excel(target, sheet_name=None, engine="openpyxl")
    assert set(review_report.review_sheets(review)) < set(sheets)
    assert sheets["contracts"]["low_usd"].sum() == pytest.approx(review.competition.low_usd)


def test_the_steps_of_the_change_add_up_on_paper(review: LettingReview) -> None:
    amounts = [
        amount.replace("$", "").replace("−", "-").replace(",", "") for _, amount, _ in review_text.change_rows(review)
    ]
    first, *steps, last = (round(float(amount) * 100) for amount in amounts)
    assert first + sum(steps) == last


def test_another_ending_is_refused(review: LettingReview, tmp_path: Path) -> None:
    with pytest.raises(BadValue, match="End the file name"):
        review_report.write_review(review, tmp_path / "review.pdf", "")


def test_the_workbook_s_numbers_carry_the_format_of_what_they_are(tmp_path: Path) -> None:
    frame = pd.DataFrame({"low_usd": [1234.5], "low_over_estimate": [0.125], "year": [2025], "rank_as_read": [2]})
    target = tmp_path / "formats.xlsx"
    workbook.write_workbook(target, {"one": frame})
    with zipfile.ZipFile(target) as parts:
        styles, sheet = (parts.read(f"xl/{name}.xml").decode() for name in ("styles", "worksheets/sheet1"))
    # Number formats stand in the style part: Office Open XML, ECMA-376.
    assert 'formatCode="0.0%"' in styles
    assert "#,##0.00" in styles
    kinds = dict(re.findall(r'<c r="([A-D]2)"(?: s="([0-9]+)")?', sheet))
    assert len({kinds["A2"], kinds["B2"], ""}) == 3
    assert (kinds["C2"], kinds["D2"]) == ("", "")

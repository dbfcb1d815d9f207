"""Bid comparison and pay item prices as text, JSON, print and workbook; and the award basis the owner states."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path

import pandas as pd
import pytest
from python_calamine import CalamineWorkbook

from bidlens import cli, workflow
from bidlens.errors import NotOnRecord
from bidlens.findings import Unavailable
from bidlens.letting import BidComparison
from bidlens.letting.difference import Difference
from bidlens.report import bid_comparison, item_report


@pytest.fixture(scope="module")
def found(sample_record: Path) -> BidComparison:
    """A contract of the sample whose extensions were read otherwise, so that the low bidder changes."""
    with workflow.open_database(sample_record) as db:
        return workflow.compare_bids(db, "B-1702")


def test_the_command_answers_in_words_and_in_json(sample_record: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["compare", "B-1702", "--db", str(sample_record)]) == 0
    said = capsys.readouterr().out
    assert "was low of 7 bids" in said
    assert "Extensions corrected" in said
    assert cli.main(["compare", "B-1702", "--db", str(sample_record), "--format", "json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["schema"] == "bidlens/compare/1"
    parts = sum(row["difference_usd"] for row in answer["low_to_second"]["by_category"])
    assert parts == pytest.approx(answer["second_usd"] - answer["low_usd"], abs=0.005)
    assert {"source_file", "source_sheet", "source_row"} <= set(answer["lines"][0])
    assert cli.main(["compare", "no such", "--db", str(sample_record)]) == 1
    assert "is on record" in capsys.readouterr().err


def test_differences_add_up_to_the_cent_and_lines_to_totals(sample_record: Path) -> None:
    with workflow.open_database(sample_record) as db:
        lettings = db.lettings().iloc[::3]  # every third: all layouts and years are among them
        for contract, day in zip(lettings["contract_id"], lettings["letting_date"], strict=True):
            one = workflow.compare_bids(db, contract, day.date())
            for whole in (one.to_second, one.to_estimate):
                if isinstance(whole, Difference):
                    assert round(whole.by_category["difference_usd"].sum(), 2) == whole.usd
                    assert whole.outside_usd == 0


def test_the_printed_page_is_self_contained_and_names_every_bidder_and_row(found: BidComparison) -> None:
    page = bid_comparison.comparison_html(found, "a record")
    assert not re.search(r"(src|href)=|<script|@import|url\(", page)
    for bidder in found.bidders["bidder"]:
        assert page.count(bidder.replace("&", "&amp;")) >= 2
    assert "letting_2017-02-08.xlsx" in page
    assert "n = 7 bids, 28 lines" in page
    assert "<br>" in page


def test_the_workbook_holds_real_numbers_that_sum_to_the_totals(found: BidComparison, tmp_path: Path) -> None:
    target = tmp_path / "bids.xlsx"
    bid_comparison.write_comparison(found, target, "a record")
    book = CalamineWorkbook.from_path(str(target))
    head, *rows = book.get_sheet_by_name("items by bidders").to_python()
    column = head.index(f"{found.low} extension")
    assert sum(row[column] for row in rows) == pytest.approx(found.low_usd, abs=0.005)
    assert "low to second, categories" in book.sheet_names


def test_items_answer_in_words_json_and_a_workbook(sample_record: Path, capsys: pytest.CaptureFixture[str]) -> None:
    asked = ["items", "riprap", "18", "--quantity", "250", "--db", str(sample_record)]
    assert cli.main(asked) == 0
    assert "at 250 TON" in capsys.readouterr().out
    assert cli.main([*asked, "--format", "json"]) == 0
    [item] = json.loads(capsys.readouterr().out)["items"]
    assert item["pay_unit"] == "TON"
    assert item["suggested"]["low"] < item["suggested"]["price"] < item["suggested"]["high"]
    with workflow.open_database(sample_record) as db:
        prices = pd.DataFrame(item["lettings"])
        known = db.pay_items()
        items = workflow.pay_item_prices(db, "riprap")
        with pytest.raises(NotOnRecord, match="cannot be turned into CY"):
            workflow.pay_item_prices(db, "riprap 18", unit="CY")
    # every low-bid dollar of the item stands in its history: the record's own sum of extensions is the check
    mine = known[known["description"].isin(item["spellings"]) & (known["pay_unit"] == "TON")]
    assert (prices["low_price"] * prices["quantity"]).sum() == pytest.approx(mine["low_bid_usd"].sum(), rel=1e-4)
    book = CalamineWorkbook.from_filelike(io.BytesIO(item_report.items_workbook(items, "riprap", "a record")))
    assert book.sheet_names == ["About", "items", "by year", "lettings"]


ALTERNATES = """Letting Date,Contract,Schedule,Line,Item,Description,Unit,Quantity,Bidder,Unit Price,Extension
{rows}"""


def bid_tab(path: Path) -> Path:
    """Two bidders and the estimate over a base bid and an alternate that turns the order."""
    prices = {
        "Engineer's Estimate": (100, 50), "Avocet Bridge": (90, 80), "Bittern Works": (95, 40),
    }  # fmt: skip
    rows = [
        f"2025-05-14,C-9,{schedule},{line},{line},{words},CY,100,{bidder},{price},{price * 100}"
        for bidder, both in prices.items()
        for schedule, line, words, price in (
            ("Base Bid", "1", "Concrete deck", both[0]), ("Alternate 1", "2", "Concrete approach slab", both[1]),
        )
    ]  # fmt: skip
    path.write_text(ALTERNATES.format(rows="\n".join(rows)), encoding="utf-8")
    return path


# OAR 731-005-0650(2): bids are compared with the additive or deductive alternates the owner selects, stated beforehand.
@pytest.mark.parametrize(
    ("award", "low", "low_usd", "estimate", "apart"),
    [
        (None, "Avocet Bridge", 9_000.0, 10_000.0, 1),
        ("base + Alternate 1", "Bittern Works", 13_500.0, 15_000.0, 0),
    ],
)
def test_review_comparison_and_history_use_the_award_basis_the_owner_states(
    award: str | None, low: str, low_usd: float, estimate: float, apart: int, tmp_path: Path
) -> None:
    with workflow.open_database(tmp_path / "county.duckdb") as db:
        [result] = db.import_files([bid_tab(tmp_path / "letting.csv")], "bid-tab", award=award)
        assert result.error is None
        [row] = workflow.review_lettings(db, 2025).contracts.to_dict("records")
        compared = workflow.compare_bids(db, "C-9")
        [letting] = db.lettings().to_dict("records")
    assert (row["low_bidder"], row["low_usd"], row["estimate_usd"]) == (low, low_usd, estimate)
    assert (compared.low, compared.low_usd, compared.estimate_usd) == (low, low_usd, estimate)
    assert (letting["low_bidder"], letting["low_total"]) == (low, low_usd)
    assert int(compared.lines["alternate"].sum()) == apart
    assert not isinstance(compared.to_second, Unavailable)
    assert bool(compared.rests_on) == (award is not None)

"""The memo for the bridge file in a real browser: one Letter page an offer, two at most for offers side by side."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Page

from bidlens import comparing, workflow
from bidlens.comparing import Comparison
from bidlens.findings import Finding
from bidlens.proposal import Adjustment, ProposalCheck
from bidlens.report import comparison_memo, memo

pytestmark = pytest.mark.browser

LONG = "Grebe, Merganser, Goosander and Partners, Fabricators and Erectors of Bridges, a Limited Liability Company"
LETTER_PT = "[0 0 612 792]"  # 8.5 x 11 in of 72 points


@pytest.fixture(scope="module")
def compared(sample_record: Path) -> Comparison:
    with workflow.open_database(sample_record) as db:
        offers = db.proposals()
        six = [*offers, *(replace(one, proposal_id=f"{one.proposal_id} again", supplier=LONG) for one in offers[:2])]
        return comparing.compare(db, six, rate=0.03)


def pages(page: Page, html: str) -> int:
    """Pages of the document as Chromium prints it; every one is Letter."""
    page.set_content(html)
    printed = page.pdf(prefer_css_page_size=True, print_background=True).decode("latin-1")
    count = printed.count("/Type /Page\n")
    assert printed.count(f"/MediaBox {LETTER_PT}") == count
    return count


def long_names(check: ProposalCheck) -> ProposalCheck:
    named = replace(check.proposal, supplier=LONG, superstructure=LONG, structure=LONG, proposal_id=LONG)
    said = replace(check.verdict, text=check.verdict.text.replace(check.proposal.supplier, LONG))
    return replace(check, proposal=named, verdict=said)


def many_steps(check: ProposalCheck) -> ProposalCheck:
    source = "our 19 rolled steel beam bridges, median; middle half 32 to 37"
    steps = tuple(Adjustment(f"Deck slab, reinforcement, part {n}", 3.0, source, 19) for n in range(10))
    closest = check.comparables.assign(contract_id="2024-CONTRACT-00123", superstructure=LONG)
    return replace(check, adjustments=steps, comparables=closest)


def many_findings(check: ProposalCheck) -> ProposalCheck:
    text = "The letter gives no price for setting, and nothing on record is close enough to fill it. " * 3
    found = (Finding("left_out_by_you", "note", text), *(Finding(f"f{n}", "check", text, text) for n in range(8)))
    return replace(check, findings=found)


def test_every_sample_offer_prints_on_one_letter_page(page: Page, compared: Comparison) -> None:
    assert [pages(page, memo.memo_html([one], "record, 68 contracts")) for one in compared.checks] == [1] * 6


def test_long_names_many_steps_and_many_findings_still_print_on_one_page(page: Page, compared: Comparison) -> None:
    first = compared.checks[0]
    worst = many_findings(many_steps(long_names(first)))
    for one in (long_names(first), many_steps(first), many_findings(first), worst):
        assert pages(page, memo.memo_html([one], LONG)) == 1


def test_six_offers_side_by_side_print_on_two_pages_and_each_offer_on_its_own(page: Page, compared: Comparison) -> None:
    front = comparison_memo.comparison_html(compared.checks, compared.side, compared.life, "record")
    assert pages(page, memo.memo_html([], "record", front)) == 2
    assert pages(page, memo.memo_html(compared.checks, "record", front)) == 2 + 6

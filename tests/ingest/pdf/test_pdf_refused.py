"""PDFs that are no readable bid tab are refused whole, each in plain words; no traceback, no half of a file."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from reportlab.lib.pdfencrypt import StandardEncryption

from bidlens.errors import BadValue, BidlensError, UnreadableFile
from bidlens.ingest import read_file
from tests.ingest.pdf.conftest import ITEMS, OFFERS
from tests.ingest.pdf.damage import damaged
from tests.ingest.pdf.drawing import draw_blocks, draw_low_bid_by_item, draw_ranking, draw_summary


def refused(path, match):
    with pytest.raises(UnreadableFile, match=match) as caught:
        read_file(path)
    assert "nothing was imported" in caught.value.do or "Import the bid tabulation" in caught.value.do


@pytest.fixture
def tab(paper) -> Path:
    paper = paper()
    draw_blocks(paper, ITEMS, OFFERS)
    return paper.save()


def test_an_image_is_called_an_image(paper):
    paper = paper()
    paper.canvas.drawInlineImage(_picture(), 72, 72, 400, 400)
    paper.canvas.showPage()
    refused(paper.save(), "this PDF is an image")


def _picture():
    pillow = pytest.importorskip("PIL.Image")
    return pillow.new("RGB", (40, 40), "white")


def test_a_scrambled_text_layer_is_called_scrambled(paper):
    """Letters and digits exchanged one for another, as where a font does not say which letters it shows."""
    paper, dice = paper(), random.Random(7)
    printable = [chr(code) for code in range(33, 127)]
    exchanged = dict(zip(printable, dice.sample(printable, len(printable)), strict=True))
    plain_left, plain_right = paper.left, paper.right
    paper.left = lambda x, text: plain_left(x, "".join(exchanged.get(letter, letter) for letter in text))
    paper.right = lambda x, text: plain_right(x, "".join(exchanged.get(letter, letter) for letter in text))
    paper.middle = paper.left
    draw_blocks(paper, ITEMS, OFFERS)
    refused(paper.save(), "text of this PDF is scrambled")


def test_letters_exchanged_for_letters_are_scrambled_too(paper):
    paper = paper()
    for _ in range(30):
        paper.left(40, "Wkh txlfn eurzq ira mxpsv ryhu wkh odcb grj zkloh kh vohhsv")
        paper.down()
    refused(paper.save(), "scrambled")


def test_a_price_agreement_is_named_as_what_it_is(paper):
    paper = paper()
    paper.left(40, "AGREEMENT 2031-9")
    paper.left(400, "Rowan Paving")
    paper.down()
    for x, text in ((40, "BID ITEM DESCRIPTION"), (300, "UNIT"), (400, "UNIT COST")):
        paper.left(x, text)
    paper.down()
    for text, unit, price in (("210-Sawcut Deck Edge", "LF", "$6.10"), ("403-Patch, hand placed", "Ton", "$412.00")):
        for x, shown in ((40, text), (300, unit), (400, price)):
            paper.left(x, shown)
        paper.down()
    refused(paper.save(), "list of unit prices without quantities")


@pytest.mark.parametrize(
    ("draw", "match"),
    [(draw_summary, "totals only"), (draw_ranking, "totals only"), (draw_low_bid_by_item, "only the low bid by item")],
)
def test_reports_without_the_tabulation_hold_no_items(paper, draw, match):
    paper = paper()
    draw(paper, ITEMS, OFFERS)
    refused(paper.save(), match)


def test_another_document_and_an_empty_page(paper):
    sheet = paper("minutes.pdf")
    for _ in range(20):
        sheet.left(
            40, "Minutes of the county board: the meeting was opened with a word of welcome to everyone present."
        )
        sheet.down()
    refused(sheet.save(), "no page of this PDF has the headings of a bid tab")
    sheet = paper("empty.pdf")
    sheet.next_page()
    refused(sheet.save(), "holds no text")


def test_a_password_is_named(paper):
    paper = paper(encrypt=StandardEncryption("secret", ownerPassword="owner"))
    draw_blocks(paper, ITEMS, OFFERS)
    refused(paper.save(), "protected by a password")


def test_a_pdf_cut_off_and_one_of_rubbish(tab):
    whole = tab.read_bytes()
    tab.write_bytes(whole[: len(whole) // 2])
    refused(tab, "cut off")
    tab.write_bytes(b"%PDF-1.4\n" + b"rubbish " * 500 + b"\n%%EOF\n")
    refused(tab, "damaged")


def test_a_pdf_is_a_bid_tab_only(tab):
    with pytest.raises(BadValue, match="read as a bid tab only"):
        read_file(tab, "structures")
    assert read_file(tab, "bid-tab").contracts == 1


@pytest.mark.parametrize("block", range(6))
def test_damaged_files_are_read_right_or_refused(tab, block):
    """Bytes changed, cut out or doubled: either a plain refusal, or every total as it was."""
    whole = tab.read_bytes()
    bids = read_file(tab).tables["bid"].set_index("bidder")["total_corrected"].to_dict()
    for seed in range(block * 10, block * 10 + 10):
        tab.write_bytes(damaged(whole, seed))
        try:
            batch = read_file(tab)
        except BidlensError:
            continue
        assert sorted(batch.tables["bid"]["total_corrected"]) == sorted(bids.values()), seed

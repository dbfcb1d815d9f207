"""Public bid tabs in PDF, held against a few independent lines: what the text of their rankings and totals says.

The files are public records and no part of the project; their folder is named by BIDLENS_REAL_FILES.
"""

from __future__ import annotations

import os
import re
from decimal import Decimal
from pathlib import Path

import pypdfium2
import pytest

from bidlens.errors import UnreadableFile
from bidlens.ingest import read_file
from tests.ingest.conftest import conform_all

REAL = Path(os.environ.get("BIDLENS_REAL_FILES", "nowhere"))
pytestmark = [
    pytest.mark.real_files,
    pytest.mark.skipif(not REAL.is_dir(), reason="BIDLENS_REAL_FILES is not set: no public bid tabs to read"),
]
PLAIN_REFUSALS = r"this PDF is an image|text of this PDF is scrambled|list of unit prices without quantities"


def text_of(path):
    with pypdfium2.PdfDocument(path) as document:
        return [page.get_textpage().get_text_range() for page in document]


def money(text):
    return Decimal(text.replace(",", "").replace("$", ""))


def ranked(pages):
    """Order -> total, from lines of one dollar amount and then percentages; order 0 is the estimate."""
    lines = (
        re.fullmatch(r"\s*(\d{1,2})\s.*?(\$[\d,]+\.\d\d)\s+[\d.]+%.*", line) for line in "\n".join(pages).splitlines()
    )
    return {int(found[1]): money(found[2]) for found in lines if found}


def files():
    return sorted(REAL.glob("*/*.pdf")) or [REAL]


@pytest.mark.parametrize("path", files(), ids=lambda path: path.name)
def test_a_public_pdf_agrees_with_its_own_ranking_or_is_refused_in_plain_words(path):
    pages = text_of(path)
    if refusal := refusal_of(path):
        assert re.search(PLAIN_REFUSALS, refusal)
        assert not any(re.search(r"\bquantity\b", page, re.IGNORECASE) for page in pages)
        return
    batch = read_file(path)
    conform_all(batch)
    assert batch.rows_read == batch.rows_kept + batch.rows_set_aside
    totals = batch.tables["bid"]["total_corrected"].tolist()
    stated = ranked(pages)
    if stated:
        assert sorted(total for order, total in stated.items() if order) == pytest.approx(
            sorted(totals), abs=Decimal("0.05")
        )
        if 0 in stated:
            assert sum(batch.tables["estimate_price"]["extension"]) == pytest.approx(stated[0], abs=Decimal("0.05"))
    else:
        printed = {money(text) for page in pages for text in re.findall(r"\$[\d,]+\.\d\d", page)}
        assert set(totals) <= printed
    named = set(re.findall(r"Contract ID:\s*(\S+)", "\n".join(pages)))
    if named:
        assert set(batch.tables["contract"]["contract_id"]) == named


def test_most_public_pdfs_are_read():
    refused = [path.name for path in files() if refusal_of(path)]
    assert len(refused) <= 2


def refusal_of(path):
    try:
        read_file(path)
    except UnreadableFile as error:
        return str(error)
    return ""

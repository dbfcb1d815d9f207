"""A price that rests on what was said by hand has a star on paper, and the line below says what of it."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from bidlens import workflow
from bidlens.report import memo


def test_the_memo_stars_a_price_typed_by_hand_and_says_so_below(sample_record: Path) -> None:
    with workflow.open_database(sample_record) as db:
        [check] = workflow.check_files(db, workflow.lead_sample_proposal())
    untouched = memo.memo_html([check], "record")
    assert " *<" not in untouched
    assert "said by hand" not in untouched
    closest = check.comparables.reset_index(drop=True)
    first = str(closest["contract_id"].iloc[0])
    by_hand = closest["by_hand"].astype("object").where(closest.index > 0, "1 typed price <b>")
    printed = memo.memo_html([replace(check, comparables=closest.assign(by_hand=by_hand))], "record")
    assert len(re.findall(r"\$\d+ \*<", printed)) == 1
    assert f"* rests in part on what was said by hand: {first} 1 typed price &lt;b&gt;" in printed

"""Letters as suppliers write them, read from files and checked on the sample county: each gets the right words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from bidlens import workflow
from bidlens.database import Database, PricedHistory
from bidlens.errors import BadValue
from bidlens.proposal import ProposalCheck, questions

#: 62 x 28 ft are 1,736 sf; the price is written by each case.
LETTER = """
supplier = "Ouzel Bridge Works"
date = 2026-03-02
superstructure = "rolled steel beam"
length = "62 ft"
width = "28'-0\\""
spans = 1
delivery = 2026-06-01
"""
SCOPE = 'scope = ["furnish", "deliver", "set", "bearings"]\n'


@pytest.fixture(scope="module")
def asked(sample_record: Path) -> Iterator[tuple[Database, PricedHistory]]:
    with workflow.open_database(sample_record) as db:
        yield db, db.price_history()


@pytest.fixture
def check(asked: tuple[Database, PricedHistory], tmp_path: Path) -> object:
    def run(text: str) -> ProposalCheck:
        db, priced = asked
        file = tmp_path / "letter.toml"
        file.write_text(text, encoding="utf-8")
        (offer,) = workflow.read_proposals(file)
        return workflow.check_proposal(db, offer, priced=priced)

    return run


def said(found: ProposalCheck) -> str:
    return " ".join([found.verdict.text, *(finding.text for finding in found.findings)])


@pytest.mark.parametrize(
    "price",
    [
        "price_usd = 173_600",
        "price_per_sf = 100",
        "price_per_beam = 34_720\nbeams = 5",
        "price_per_lb = 2.17\nweight_lb = 80_000",
    ],
)
def test_one_offer_in_four_units_is_one_price(check, price: str) -> None:
    found = check(LETTER + SCOPE + price)
    assert found.quoted_usd == pytest.approx(173_600)
    assert found.quoted_per_sf == pytest.approx(100.0)


def test_beams_at_the_plant_lack_freight_and_setting_and_the_letter_is_asked_for_both(check) -> None:
    found = check(LETTER + 'scope = "beams F.O.B. plant"\nprice_usd = 120_000')
    assert "delivery" in found.verdict.text
    assert "setting" in found.verdict.text
    assert any("deliver" in question for question in questions(found))


def test_an_expired_price_is_said_with_its_day(check, asked: tuple[Database, PricedHistory]) -> None:
    db, priced = asked
    found = check(LETTER + SCOPE + "price_usd = 173_600\nvalid_until = 2026-04-30")
    late = workflow.check_proposal(db, found.proposal, priced=priced, today=dt.date(2026, 5, 1))
    in_time = workflow.check_proposal(db, found.proposal, priced=priced, today=dt.date(2026, 4, 30))
    assert "30 Apr 2026" in said(late)
    assert "30 Apr 2026" not in said(in_time)


def test_a_type_never_let_is_not_judged_and_a_span_far_outside_is_neither(check) -> None:
    never = check(LETTER.replace("rolled steel beam", "steel tub girder") + SCOPE + "price_usd = 173_600")
    assert never.verdict.text.startswith("Not enough history to say. We have let no steel tub girder")
    assert never.percentile is None
    far = check(LETTER.replace('"62 ft"', '"310 ft"') + SCOPE + "price_usd = 900_000")
    assert far.verdict.text.startswith("Not enough history to say.")
    assert "too far from what we have let" in far.verdict.text
    assert far.expected is not None  # the range still stands beside it


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (LETTER + SCOPE + "price_usd = 0", "above zero"),
        (LETTER + SCOPE + "price_usd = -158_000", "above zero"),
        (LETTER + SCOPE + "price_per_beam = -1\nbeams = 5", "above zero"),
        (LETTER + SCOPE, "states no price"),
    ],
)
def test_a_price_that_is_none_is_refused_with_what_to_do(check, text: str, told: str) -> None:
    with pytest.raises(BadValue) as stopped:
        check(text)
    assert told in str(stopped.value)
    assert "letter.toml" in str(stopped.value)


def test_without_a_width_the_letter_is_refused_and_with_a_clear_width_it_is_converted(check) -> None:
    bare = LETTER.replace('width = "28\'-0\\""\n', "")
    with pytest.raises(BadValue, match="width"):
        check(bare + SCOPE + "price_usd = 173_600")
    clear = check(bare + SCOPE + 'price_usd = 173_600\nclear_width = "24 ft"\nclear_width_adds = "2\'-8\\""')
    # 24 ft clear is 26 ft 8 in out to out; over the roadway alone the price would read 11.1 % higher (23 CFR 490.411).
    assert clear.deck_area_sf == pytest.approx(62 * (26 + 8 / 12))
    assert 24 * 62 * clear.quoted_per_sf * 1.1111 == pytest.approx(173_600, rel=1e-4)
    assert "clear" in said(clear)

"""`bidlens offers` on the sample county: outcomes recorded and taken back, offers in their own time, what was paid."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from bidlens import cli, offering, workflow

HARRIER = "Harrier Steel Works / K-117 / 2026-02-10"
#: A letter of an earlier year, for a bridge the sample county let later; firm and price are invented.
EARLIER = """supplier,proposal,date,length,width,spans,superstructure,price_usd,scope
HARRIER  STEEL WORKS,H-19,2019-05-01,60 ft,28 ft,1,rolled steel beam,150000,furnish; deliver; set; bearings
Harrier Steel Works,H-11,2011-05-01,60 ft,28 ft,1,rolled steel beam,90000,furnish; deliver; set; bearings
"""


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], own_record: str) -> Any:
    def call(*arguments: str, expect: int = 0) -> tuple[str, str]:
        status = cli.main(["offers", *arguments, "--db", str(own_record)])
        out, err = capsys.readouterr()
        assert status == expect, err
        return out, err

    return call


def test_an_outcome_is_recorded_listed_and_taken_back(run: Any) -> None:
    _, talk = run(
        "--outcome", HARRIER, "let_instead", "--because", "board", "--on", "2026-04-02", "--contract", "B-2405"
    )
    assert "was let instead on 2 Apr 2026, contract B-2405" in talk
    out, _ = run("--format", "json")
    offer = next(one for one in json.loads(out)["offers"] if one["proposal_id"] == HARRIER)
    assert offer["outcome"]["reason"] == "board"
    paid = offer["paid"]
    assert paid["ratio"] == pytest.approx(paid["offered_per_sf"] / paid["paid_per_sf"] - 1)
    assert (paid["basis"], paid["offered_from"]) == ("superstructure", "harrier_k117.toml")
    assert paid["paid_from"].startswith("letting_2024")
    text, _ = run()
    assert "Offered and paid" in text
    assert "let instead, contract B-2405" in text
    _, talk = run("--forget", HARRIER)
    assert "is open again" in " ".join(talk.split())


def test_an_offer_is_held_against_what_was_let_before_it(run: Any, own_record: str, tmp_path: Path) -> None:
    letters = tmp_path / "earlier.csv"
    letters.write_text(EARLIER, encoding="utf-8")
    with workflow.open_database(own_record) as db:
        assert not db.import_files([letters], "proposals")[0].error
        lettings = db.price_history().frame["letting_date"]
        found = {one.offer.proposal_id: one for one in offering.letters(db)}
    before = int((lettings < "2019-05-01").sum())
    assert (found["H-19"].then.n, found["H-19"].now.n) == (before, len(lettings))
    assert found["H-19"].then.ratio != found["H-19"].now.ratio
    assert found["H-11"].then.n == 0
    assert found["H-11"].then.ratio is None
    # Spellings that differ in case and blanks alone are one supplier; three letters carry no conclusion.
    [said] = json.loads(run("--supplier", "harrier steel works", "--format", "json")[0])["suppliers"]
    assert "too few to say anything" in said


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--because", "so"), "no outcome is named"),
        (("--outcome", HARRIER, "declined"), "reason is empty"),
        (("--outcome", HARRIER, "declined", "--because", "so", "--on", "2 April"), "cannot read “2 April” as a date"),
        (("--forget", "nobody"), "no outcome of the proposal"),
    ],
)
def test_what_cannot_be_asked_is_told(run: Any, arguments: tuple[str, ...], told: str) -> None:
    assert told in run(*arguments, expect=1)[1]

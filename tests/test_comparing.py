"""Several offers asked about at once on the sample county, contracts left out with a reason, and what is printed."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from bidlens import cli, comparing, workflow
from bidlens.errors import BadValue, NotOnRecord

LETTERS = sorted(workflow.lead_sample_proposal().parent.glob("*_k117.toml"))
GADWALL, HARRIER = LETTERS[0], workflow.lead_sample_proposal()


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], sample_record: Path) -> Any:
    def call(*arguments: str, expect: int = 0) -> str:
        status = cli.main([*arguments, "--db", str(sample_record)])
        out, err = capsys.readouterr()
        assert status == expect, err
        return out if not expect else err

    return call


def test_two_offers_are_printed_side_by_side_and_in_the_json(run: Any) -> None:
    text = run("check", str(HARRIER), str(GADWALL))
    assert "Side by side" in text
    assert "would read usual" in text
    document = json.loads(run("check", str(HARRIER), str(GADWALL), "--format", "json"))
    comparison = document["comparison"]
    assert [one["supplier"] for one in comparison["offers"]] == ["Harrier Steel Works", "Gadwall Precast Co."]
    (pair,) = comparison["pairs"]
    assert 0 <= pair["chance_first_cheaper"] <= 1
    assert comparison["type_effects"][0]["low"] < comparison["type_effects"][0]["high"]
    assert comparison["service_life"] is None
    assert document["proposals"][0]["usual_price_usd"][0] < document["proposals"][0]["quoted_usd"]


def test_one_offer_has_no_comparison(run: Any) -> None:
    assert json.loads(run("check", str(HARRIER), "--format", "json"))["comparison"] is None


def test_cost_a_year_takes_the_rate_and_the_lives_told(run: Any) -> None:
    asked = ("check", str(HARRIER), str(GADWALL), "--rate", "3", "--life", "75", "--life", "Gadwall Precast Co.=100")
    life = json.loads(run(*asked, "--format", "json"))["comparison"]["service_life"]
    harrier, gadwall = life["offers"]
    # 0.033668 and 0.031647 worked from the capital recovery formula at 3 %, 75 and 100 years
    assert harrier["annual_per_sf"] == pytest.approx(harrier["first_cost_per_sf"] * 0.033668, rel=2e-5)
    assert gadwall["annual_per_sf"] == pytest.approx(gadwall["first_cost_per_sf"] * 0.031647, rel=2e-5)
    assert "your assumptions" in run(*asked)


def test_a_contract_left_out_is_named_with_its_effect(run: Any) -> None:
    document = json.loads(
        run("check", str(HARRIER), "--exclude", "B-2405", "--because", "flood repair", "--format", "json")
    )
    (check,) = document["proposals"]
    said = next(finding["text"] for finding in check["findings"] if finding["code"] == "left_out_by_you")
    assert said.startswith("Left out by you: B-2405 (flood repair). The middle goes from $")
    assert "B-2405" not in [row["contract_id"] for row in check["comparables"]]


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--exclude", "B-2405"), "Say why with --because"),
        (("--exclude", "X-1", "--because", "odd"), "no price of contract X-1"),
        (("--life", "long"), "cannot read the life"),
        (("--life", "Nobody=80"), "named “Nobody”"),
        (("--rate", "300"), "the rate is 3.0"),
    ],
)
def test_what_cannot_be_asked_is_told(run: Any, arguments: tuple[str, ...], told: str) -> None:
    assert told in run("check", str(HARRIER), *arguments, expect=1)


def test_leaving_out_needs_a_contract_on_record_and_a_reason(sample_record: Path) -> None:
    with workflow.open_database(sample_record) as db:
        priced = db.price_history()
        with pytest.raises(NotOnRecord):
            comparing.without_contracts(priced, {"X-1": "odd"})
        with pytest.raises(BadValue, match="no reason"):
            comparing.without_contracts(priced, {"B-2405": " "})

"""A check shows why its expected price is what it is: from a stated reference bridge, ratios that multiply exactly."""

import json

import numpy as np
import pytest

from bidlens import cli, workflow

#: Eight factors in double precision.
EXACT = 1e-12
PARTS = ["reference", "type", "span", "deck_area", "bidders", "skew", "market", "index"]


@pytest.fixture(scope="module")
def check(sample_record):
    with workflow.open_database(sample_record) as db:
        return workflow.check_proposal(db, workflow.lead_sample_proposal())


def test_the_parts_lead_from_the_reference_to_the_expected_middle(check):
    assert [one.part for one in check.contributions] == PARTS
    start = check.contributions[0].per_sf
    product = start * np.prod([one.ratio for one in check.contributions])
    assert product == pytest.approx(check.expected["p50"], rel=EXACT)
    assert check.contributions[-1].per_sf == pytest.approx(check.expected["p50"], rel=EXACT)
    for before, after in zip(check.contributions, check.contributions[1:], strict=False):
        assert after.per_sf == pytest.approx(before.per_sf * after.ratio, rel=EXACT)


def test_each_part_names_the_offered_bridge_s_own_value(check):
    said = {one.part: one.what for one in check.contributions}
    assert said["type"] == "rolled steel beam"
    assert said["span"] == "span 62 ft"
    assert said["deck_area"] == "deck 1,736 sf"
    assert "60 ft span" in said["reference"]
    assert said["index"] == "index to 2026 Q1"


def test_the_parts_stand_in_the_answer_and_in_the_public_form(check, sample_record, capsys):
    offer = str(workflow.lead_sample_proposal())
    assert cli.main(["check", offer, "--db", str(sample_record)]) == 0
    text = capsys.readouterr().out
    assert "Why the middle is where it is: $" in text
    assert "index: NHCCI to 2026 Q1, not seasonally adjusted" in text
    assert cli.main(["check", offer, "--db", str(sample_record), "--format", "json"]) == 0
    told = json.loads(capsys.readouterr().out)["proposals"][0]["contributions"]
    assert [one["part"] for one in told] == PARTS
    assert set(told[0]) == {"part", "what", "ratio", "per_sf"}


def test_dollars_of_another_quarter_move_the_index_part_alone(check, sample_record):
    with workflow.open_database(sample_record) as db:
        other = workflow.check_proposal(db, workflow.lead_sample_proposal(), dollars_of="2020Q1")
    for one, same in zip(check.contributions[:-1], other.contributions[:-1], strict=True):
        assert same.ratio == pytest.approx(one.ratio)
    assert other.contributions[-1].ratio < check.contributions[-1].ratio


def test_nothing_is_explained_where_nothing_is_expected(tmp_path):
    with workflow.open_database(tmp_path / "few.duckdb") as db:
        db.import_files([workflow.sample_folder() / "structures.csv"])
        check = workflow.check_proposal(db, workflow.lead_sample_proposal())
    assert check.expected is None
    assert check.contributions == ()
    assert check.as_dict()["contributions"] == []

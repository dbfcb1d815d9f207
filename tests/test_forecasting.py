"""A program list held against the sample county's record. All bridges are invented."""

from __future__ import annotations

import pandas as pd
import pytest

import bidlens
from bidlens import workflow
from bidlens.errors import BadValue, NotEnoughHistory, NotOnRecord

PROGRAM = workflow.sample_folder() / "program_2027.csv"


@pytest.fixture(scope="module")
def county(sample_record):
    with workflow.open_database(sample_record) as db:
        yield db


def test_the_sample_program_is_forecast_from_its_file_and_from_the_record_alike(county):
    from_file = bidlens.forecast_program(county, PROGRAM, year=2027, budget_usd=6.4e6, runs=2000)
    from_record = workflow.forecast_program(county, county.program_bridges(), year=2027, budget_usd=6.4e6, runs=2000)
    assert from_file.total == from_record.total
    assert len(from_file.structures) == 11
    assert list(from_file.structures["grade"]).count("D") == 1
    assert from_file.rotation.inventory == 400
    assert from_file.rotation.needed_per_year == pytest.approx((4.0, 5.33), abs=0.005)
    assert from_file.contracts == county.price_history("contract").frame["contract_id"].nunique()
    assert (from_file.first_year, from_file.last_year) == (2012, 2025)


def test_rows_set_aside_are_said_beside_the_total(county, tmp_path):
    file = tmp_path / "list.csv"
    file.write_text(
        "priority,structure,type,length,width,letting\n1,K-117,timber,40,28,2027\n2,K-204,timber,-4,28,2027\n"
    )
    found = workflow.forecast_program(county, file, year=2027, runs=500)
    assert len(found.structures) == 1
    assert "rows_set_aside" in [finding.code for finding in found.findings]


def test_what_cannot_be_forecast_is_refused_in_clear_words(county, tmp_path):
    with pytest.raises(BadValue, match="on the beams basis"):
        workflow.forecast_program(county, PROGRAM, year=2027, basis="beams")
    with pytest.raises(BadValue, match="a budget of 0 dollars"):
        workflow.forecast_program(county, PROGRAM, year=2027, budget_usd=0)
    with pytest.raises(BadValue, match="holds no bridge"):
        workflow.forecast_program(county, pd.DataFrame({"structure_id": [], "superstructure": []}), year=2027)
    with pytest.raises((NotEnoughHistory, NotOnRecord)), workflow.open_database(tmp_path / "none.duckdb") as nothing:
        workflow.forecast_program(nothing, PROGRAM, year=2027)


def test_a_record_without_a_program_has_an_empty_list(tmp_path):
    with workflow.open_database(tmp_path / "new.duckdb") as db:
        db.import_files([workflow.sample_folder() / "structures.csv"])
        assert db.program_bridges().empty
        with pytest.raises(NotEnoughHistory):
            workflow.forecast_program(db, PROGRAM, year=2027)


def test_costs_of_the_file_are_added_as_given_and_kept_in_the_record(county, own_record, tmp_path):
    file = tmp_path / "costs.csv"
    file.write_text(
        "priority,structure,type,letting,engineering,railroad\n1,K-117,timber,2027,50000,\n2,K-204,timber,2027,,8000\n"
    )
    found = workflow.forecast_program(county, file, year=2027, runs=500)
    assert list(found.plan.fixed_usd) == [50_000, 8_000]
    with workflow.open_database(own_record) as db:
        assert db.import_files([file])[0].error is None
        again = workflow.forecast_program(db, db.program_bridges(), year=2027, runs=500)
    assert again.total == found.total

"""What became of a letter: kept beside it, outliving its import, and taken back at will. Firms are invented."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from bidlens import workflow
from bidlens.database import Database
from bidlens.errors import BadValue, NotOnRecord

HARRIER = "Harrier Steel Works / K-117 / 2026-02-10"
DAY = dt.date(2026, 4, 2)


@pytest.fixture
def db(own_record: str) -> Database:
    return workflow.open_database(Path(own_record))


def outcomes(db: Database) -> list[list[object]]:
    return (
        db.proposal_outcomes()[["proposal_id", "outcome", "contract_id", "reason", "on_record"]]
        .fillna("")
        .to_numpy()
        .tolist()
    )


def test_an_outcome_is_kept_replaced_and_taken_back(db: Database) -> None:
    db.record_outcome(HARRIER, "declined", "above the estimate", DAY)
    db.record_outcome(HARRIER, "let_instead", "the board asked for bids", DAY, "B-2405")
    assert outcomes(db) == [[HARRIER, "let_instead", "B-2405", "the board asked for bids", True]]
    row = db.proposal_outcomes().iloc[0]
    assert row["outcome_date"].date() == DAY
    assert row["letting_date"] == db.lettings().set_index("contract_id").loc["B-2405", "letting_date"]
    assert db.forget_outcome(HARRIER) == "let_instead"
    assert outcomes(db) == []


def test_an_outcome_outlives_its_letters_import(db: Database) -> None:
    db.record_outcome(HARRIER, "accepted", "board of 2 April", DAY)
    batch = db.imports().set_index("source_file").loc["harrier_k117.toml", "batch_id"]
    db.undo(int(batch))
    assert outcomes(db)[0][-1] is False
    db.import_files([workflow.lead_sample_proposal()])
    assert outcomes(db) == [[HARRIER, "accepted", "", "board of 2 April", True]]


@pytest.mark.parametrize(
    ("asked", "error", "told"),
    [
        ((HARRIER, "bought", "why", DAY), BadValue, "Use one of: accepted, declined, let_instead, expired"),
        ((HARRIER, "declined", "  ", DAY), BadValue, "reason is empty"),
        ((HARRIER, "declined", "why", DAY, "B-2405"), BadValue, "became no contract"),
        (("Harrier Steel / K-117", "declined", "why", DAY), NotOnRecord, "Near it: “Harrier Steel Works"),
        ((HARRIER, "accepted", "why", DAY, "B-9999"), NotOnRecord, "no contract “B-9999”"),
        ((HARRIER, "accepted", "why", DAY, "B-2405", dt.date(2001, 1, 1)), NotOnRecord, "was not let on 01 Jan 2001"),
    ],
)
def test_what_cannot_be_recorded_is_told(db: Database, asked: tuple, error: type[Exception], told: str) -> None:
    with pytest.raises(error, match=told):
        db.record_outcome(*asked)
    assert outcomes(db) == []


def test_there_is_nothing_to_take_back_before(db: Database) -> None:
    with pytest.raises(NotOnRecord, match="no outcome of the proposal"):
        db.forget_outcome(HARRIER)

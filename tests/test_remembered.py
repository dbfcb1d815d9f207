"""What the record remembers of its own answers: never longer than they hold, and nothing that fills the memory."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from bidlens import remembering, workflow


def counted(db: workflow.Database, monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """How often each question is asked of the file."""
    asked: Counter[str] = Counter()
    ask = db._ask

    def counting(question: str, **parameters: Any) -> pd.DataFrame:
        asked[question] += 1
        return ask(question, **parameters)

    monkeypatch.setattr(db, "_ask", counting)
    return asked


def test_a_history_in_other_dollars_reads_the_file_no_second_time(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with workflow.open_database(sample_record) as db:
        asked = counted(db, monkeypatch)
        first, second = db.price_history(dollars_of="2024Q1"), db.price_history("bridge", dollars_of="2023Q1")
    assert set(asked.values()) == {1}
    assert (first.history.dollars_of, second.history.dollars_of) == ("2024Q1", "2023Q1")


def test_what_is_remembered_is_dropped_when_another_program_writes_the_record(own_record: Path) -> None:
    with workflow.open_database(own_record) as db, workflow.open_database(own_record) as other:
        before = len(db.price_history().frame)
        imports = other.imports()
        other.undo(int(imports.loc[imports["source_file"] == "letting_2024-11-13.csv", "batch_id"].iloc[0]))
        assert len(db.price_history().frame) < before
        assert len(db.lettings()) == len(other.lettings())


def test_what_is_remembered_is_not_changed_by_who_got_it(sample_record: Path) -> None:
    with workflow.open_database(sample_record) as db:
        mine = db.lettings()
        mine.loc[:, "agency"] = "somebody else"
        mine["added"] = 1
        assert "added" not in db.lettings()
        assert (db.lettings()["agency"] != "somebody else").all()


def test_a_long_answer_is_not_remembered(sample_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(remembering, "MOST_ROWS_KEPT", 100)
    with workflow.open_database(sample_record) as db:
        asked = counted(db, monkeypatch)
        one, two = db.price_history(), db.price_history()
    assert asked["low_bid_items_of_structures"] == 2
    assert asked["lettings"] == 1
    pd.testing.assert_frame_equal(one.frame, two.frame)

"""Structure numbers in contracts' own words: found whole, suggested only. Contracts and bridges are invented."""

from __future__ import annotations

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bidlens.normalizer import suggest_links
from bidlens.normalizer.structure_numbers import numbers_in, structure_key

LET = pd.Timestamp("2024-03-12")


def texts(*rows: tuple[str, str, str]) -> pd.DataFrame:
    """Rows of schedule, place and text, all of contract C-1."""
    frame = pd.DataFrame(rows, columns=["schedule", "found_in", "text"])
    return frame.assign(contract_id="C-1", letting_date=LET)


def known(*structure_ids: str, date: pd.Timestamp | None = LET) -> pd.DataFrame:
    columns = {"contract_id": "C-1", "letting_date": pd.to_datetime(date), "structure_id": list(structure_ids)}
    return pd.DataFrame(columns).astype({"letting_date": "datetime64[us]"})


def suggested(rows: pd.DataFrame, *on_record: str) -> list[tuple[str, list[str]]]:
    found = suggest_links(rows, on_record, known())
    return list(zip(found["structure_id"], found["schedules"], strict=True))


@pytest.mark.parametrize(
    ("text", "structure_id"),
    [
        ("SUPERSTRUCTURE, K-117", "K-117"),
        ("Superstructure concrete (k117)", "K-117"),
        ("BRIDGE NO. K-0117, REMOVAL", "K-117"),
        ("Bridge K 117", "K-117"),
        ("Remove existing structure 417", "417"),
        ("Bridges 416 and 417", "417"),
        ("SN 0417", "417"),
        ("Replacement of 062-0417 over Pellan Fork", "62-417"),
        ("000000000012345", "12345"),
        ("C-6", "C-6"),
    ],
)
def test_a_number_is_found_whole_whatever_its_zeros_and_marks(text: str, structure_id: str) -> None:
    assert structure_key(structure_id) in numbers_in(text)


@pytest.mark.parametrize(
    ("text", "structure_id"),
    [
        ("SUPERSTRUCTURE, K-117A", "K-117"),
        ("SUPERSTRUCTURE, K-1170", "K-117"),
        ("SUPERSTRUCTURE, K-17", "K-117"),
        ("SUPERSTRUCTURE, J-117", "K-117"),
        ("18 IN PIPE CULVERT, 417 LF", "417"),
        ("CONCRETE, CLASS C-6, FOOTING", "C-6"),
        ("GUARDRAIL, TYPE B 12, END TREATMENT", "B-12"),
        ("REINFORCING STEEL, BRIDGE DECK, GRADE 60", "60"),
    ],
)
def test_part_of_a_number_a_size_or_a_class_is_not_one(text: str, structure_id: str) -> None:
    assert structure_key(structure_id) not in numbers_in(text)


@given(
    letters=st.sampled_from(["K", "BR", "NX"]),
    number=st.integers(100, 99999),
    other=st.integers(100, 99999),
    zeros=st.integers(0, 4),
    mark=st.sampled_from(["", "-", ".", "_"]),
)
def test_digits_and_letters_must_agree(letters: str, number: int, other: int, zeros: int, mark: str) -> None:
    found = numbers_in(f"Superstructure in place, {letters.lower()}{mark}{'0' * zeros}{number}")
    assert structure_key(f"{letters}-{number}") in found
    assert (structure_key(f"{letters}-{other}") in found) == (other == number)


def test_a_schedule_alone_is_named_and_the_whole_contract_where_all_do() -> None:
    rows = texts(
        ("A", "item text", "Beams, K-117"), ("B", "item text", "Beams, K-118"), ("B", "schedule name", "B"),
        ("A", "item text", "Traffic for K-119"), ("B", "item text", "Traffic for K-119"),
    )  # fmt: skip
    assert suggested(rows, "K-117", "K-118", "K-119") == [("K-117", ["A"]), ("K-118", ["B"]), ("K-119", [])]


def test_two_structures_of_one_reading_are_both_shown_after_the_clear_ones() -> None:
    rows = texts(("", "contract description", "Replace bridge K-0117"), ("", "item text", "Beams for K-120"))
    found = suggest_links(rows, ["K-117", "K-0117", "K-120"], known())
    assert found["structure_id"].tolist() == ["K-120", "K-0117", "K-117"]
    assert found["also_fits"].tolist() == ["", "K-117", "K-0117"]


def test_what_is_decided_is_not_suggested_again() -> None:
    rows = texts(("", "contract description", "Bridges K-117 and K-118"))
    assert suggest_links(rows, ["K-117", "K-118"], known("K-117"))["structure_id"].tolist() == ["K-118"]
    assert suggest_links(rows, ["K-117", "K-118"], known("K-117", date=None))["structure_id"].tolist() == ["K-118"]
    assert suggest_links(rows.iloc[:0], ["K-117"], known()).empty


def test_the_plainest_place_is_shown() -> None:
    rows = texts(("", "item text", "Beams, K-117"), ("", "contract table", "K-117"))
    [row] = suggest_links(rows, ["K-117", "Mill Creek"], known()).to_dict("records")
    assert (row["found_in"], row["text"], row["texts"]) == ("contract table", "K-117", 2)

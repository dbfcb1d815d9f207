"""Program lists. All bridges are invented; the layout is the project's own: common practice, no source."""

import datetime as dt
from pathlib import Path

import pandas as pd
import pytest

from bidlens.batch import Batch
from bidlens.errors import BadValue
from bidlens.ingest import program, structures
from bidlens.ingest.grid import read_grids
from bidlens.tables import BY_NAME


def read(folder: Path, text: str) -> Batch:
    file = folder / "program.csv"
    file.write_text(text, encoding="utf-8")
    grids = read_grids(file)
    assert program.looks_like(grids)
    assert not structures.looks_like(grids)
    return program.read(grids, "0" * 64)


def test_a_program_list_is_read(tmp_path: Path) -> None:
    batch = read(
        tmp_path,
        "Priority,Structure,Planned superstructure,Length (ft),Width (out to out),Spans,Skew (deg),Planned letting\n"
        '1,K-117,rolled beams,62,"28\'-0""",1,0,2027Q1\n2,K-204,adjacent box beam,14.6 m,28 ft,1,15°,2027-04-08\n',
    )
    frame = batch.tables["program_bridge"]
    assert list(frame["structure_id"]) == ["K-117", "K-204"]
    assert list(frame["superstructure"]) == ["rolled steel beam", "adjacent box beam"]
    assert list(frame["length_ft"]) == pytest.approx([62, 14.6 / 0.3048])
    assert list(frame["width_ft"]) == [28, 28]
    assert list(frame["letting_date"]) == [dt.date(2027, 1, 1), dt.date(2027, 4, 8)]
    assert (batch.kind, batch.contracts, batch.rows_read) == ("program", 2, 3)
    assert [finding.code for finding in batch.findings] == ["letting_day_assumed"]
    assert "For 1 bridge " in batch.findings[0].text
    assert BY_NAME["program_bridge"].conform(frame.assign(batch_id=1)).num_rows == 2


@pytest.mark.parametrize(
    ("written", "day"),
    [
        ("2027Q3", dt.date(2027, 7, 1)),
        ("2027 Q4", dt.date(2027, 10, 1)),
        ("2027", dt.date(2027, 7, 1)),
        ("4/8/2027", dt.date(2027, 4, 8)),
        ("", None),
    ],
)
def test_a_planned_letting_may_be_a_day_a_quarter_or_a_year(tmp_path: Path, written: str, day: dt.date | None) -> None:
    batch = read(tmp_path, f"bridge no.,type,planned letting\n7,timber,{written}\n")
    assert list(batch.tables["program_bridge"]["letting_date"]) == [day]


def test_geometry_may_stand_in_the_structure_list_instead(tmp_path: Path) -> None:
    frame = read(tmp_path, "priority,structure,type\n1,7,timber\n").tables["program_bridge"]
    assert pd.isna(frame.loc[0, ["length_ft", "width_ft", "spans", "skew_deg", "letting_date"]]).all()


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("1,7,timber,-40,soon", "column “length”"),
        ("1,7,timber,40,soon", "cannot read “soon” as a date"),
        ("0,7,timber,40,", "the priority is “0”"),
        ("1,,timber,40,", "names no structure"),
    ],
)
def test_a_row_that_cannot_be_used_is_set_aside_with_its_reason(tmp_path: Path, row: str, told: str) -> None:
    text = f"priority,structure,type,length,planned letting\n{row}\n"
    with pytest.raises(BadValue, match=told):
        read(tmp_path, text)
    batch = read(tmp_path, text + "2,8,timber,40,2027\n")
    assert list(batch.tables["program_bridge"]["structure_id"]) == ["8"]
    assert told in batch.set_aside["reason"][0]


def test_costs_beside_the_contract_are_read_under_their_own_names(tmp_path: Path) -> None:
    frame = read(
        tmp_path,
        'priority,structure,type,Engineering ($),Right of way,Utilities,Railroad\n1,7,timber,"$50,000",1200.50,,0\n',
    ).tables["program_bridge"]
    costs = frame[["engineering_usd", "right_of_way_usd", "utilities_usd", "railroad_usd"]]
    assert [None if pd.isna(cost) else str(cost) for cost in costs.iloc[0]] == ["50000.00", "1200.50", None, "0.00"]
    assert BY_NAME["program_bridge"].conform(frame.assign(batch_id=1)).num_rows == 1


@pytest.mark.parametrize(("cost", "told"), [("-5", "below zero"), ("plenty", "cannot read “plenty” as dollars")])
def test_a_cost_that_is_none_is_refused(tmp_path: Path, cost: str, told: str) -> None:
    with pytest.raises(BadValue, match=told):
        read(tmp_path, f"priority,structure,type,engineering\n1,7,timber,{cost}\n")


def test_a_bridge_listed_twice_is_an_error_naming_both_rows(tmp_path: Path) -> None:
    with pytest.raises(BadValue, match="row 2 and again in row 3"):
        read(tmp_path, "priority,structure,type\n1,7,timber\n2,7,timber\n")


def test_unknown_and_missing_types_are_said(tmp_path: Path) -> None:
    batch = read(tmp_path, "priority,structure,type\n1,7,moon rock\n2,8,\n")
    assert list(batch.tables["program_bridge"]["superstructure"]) == ["moon rock", "not stated"]
    assert [finding.code for finding in batch.findings] == ["unknown_superstructure", "superstructure_not_stated"]


def test_a_structure_list_is_not_taken_for_a_program(tmp_path: Path) -> None:
    file = tmp_path / "list.csv"
    file.write_text("structure,contract,letting date,type,deck area\n1,A,2024-01-01,timber,900\n", encoding="utf-8")
    assert not program.looks_like(read_grids(file))


def test_alternatives_of_type_are_read_the_planned_one_first(tmp_path: Path) -> None:
    batch = read(
        tmp_path, "priority,structure,type\n1,7,adjacent box beams | steel tub girders\n2,8,timber | moon rock\n"
    )
    assert list(batch.tables["program_bridge"]["superstructure"]) == [
        "adjacent box beam | steel tub girder",
        "timber | moon rock",
    ]
    assert [finding.code for finding in batch.findings] == ["unknown_superstructure"]


@pytest.mark.parametrize("heading", ["Proposed Structure", "New Structure", "Replacement Type", "Proposed Bridge"])
def test_the_structure_proposed_is_the_type_and_not_the_number(tmp_path: Path, heading: str) -> None:
    batch = read(tmp_path, f"Priority,Bridge,{heading},Length,Width\n1,K-117,rolled steel beam,62,28\n")
    row = batch.tables["program_bridge"].iloc[0]
    assert (row["structure_id"], row["superstructure"]) == ("K-117", "rolled steel beam")

"""Structure lists: geometry in feet or metres, what is set aside, and what stops the file.

Outside checks: deck area by 23 CFR 490.411 (structure length x out-to-out width); metric records of the National Bridge
Inventory (15.0 m x 9.7 m = 145.5 m2 = 1,566.1 sf). All bridges here are invented.
"""

import datetime as dt
import os
from pathlib import Path

import pandas as pd
import pytest
import xlsxwriter

from bidlens.batch import Batch
from bidlens.errors import BadValue, UnreadableFile
from bidlens.ingest import structures
from bidlens.ingest.grid import read_grids
from bidlens.superstructure import type_of_nbi
from bidlens.tables import BY_NAME


def read_csv(folder: Path, text: str, name: str = "bridges.csv") -> Batch:
    file = folder / name
    file.write_text(text, encoding="utf-8")
    grids = read_grids(file)
    assert structures.looks_like(grids)
    return structures.read(grids, "0" * 64)


def codes(batch: Batch) -> list[str]:
    return [finding.code for finding in batch.findings]


def only(batch: Batch) -> pd.Series:
    (_, row), *more = batch.tables["structure"].iterrows()
    assert not more
    return row


def test_a_list_in_feet_and_inches_is_read_with_its_area_from_length_and_width(tmp_path: Path) -> None:
    batch = read_csv(
        tmp_path,
        "Structure No.,Feature crossed,Type,Length,Width (out to out),Spans,Skew,Year built,Contract,Letting date,"
        "Schedule\n"
        'K-117,Heron Creek,rolled steel beams,57 ft,"26\'-8""",1,15°,1962,C-4,2024-03-14,B\n',
    )
    row = only(batch)
    assert (row["structure_id"], row["contract_id"], row["schedule"]) == ("K-117", "C-4", "B")
    assert (row["name"], row["superstructure"], row["superstructure_as_read"]) == (
        "Heron Creek",
        "rolled steel beam",
        "rolled steel beams",
    )
    assert row["letting_date"] == dt.date(2024, 3, 14)
    # 57 ft x 26'-8" = 1,520 sf: length x out-to-out width, no skew correction (23 CFR 490.411).
    assert row["deck_area_sf"] == pytest.approx(1520)
    assert (row["area_from"], row["spans"], row["span_ft"], row["skew_deg"]) == ("length x width", 1, 57, 15)
    assert row["year_built"] == 1962
    assert (row["source_file"], row["source_row"]) == ("bridges.csv", 2)
    assert codes(batch) == ["span_from_length"]
    assert (batch.kind, batch.rows_read, batch.rows_kept, batch.contracts) == ("structures", 2, 2, 1)


@pytest.mark.parametrize(
    ("heading", "cells"),
    [
        ("length_m,width_m", "15.0,9.7"),
        ("Length (m),Out to out width (m)", "15.0,9.7"),
        ("length,width", "15.0 m,9.7 m"),
        ("length_ft,width_ft", "15.0 m,9.7 m"),
        ("deck_area_m2", "145.5"),
        ("Deck area (m²)", "145.5"),
        ("Deck area", "145.5 m2"),
        ("Deck area (sq m)", "145.5"),
    ],
)
def test_metres_are_read_from_the_heading_or_from_the_cell(tmp_path: Path, heading: str, cells: str) -> None:
    batch = read_csv(tmp_path, f"structure_id,type,{heading}\n9,timber,{cells}\n")
    # National Bridge Inventory record in metres: 15.0 x 9.7 = 145.5 m2 = 1,566.1 sf.
    assert round(only(batch)["deck_area_sf"], 1) == 1566.1


def test_a_stated_area_wins_and_a_difference_over_two_percent_is_a_finding(tmp_path: Path) -> None:
    batch = read_csv(
        tmp_path,
        "structure,type,length_ft,width_ft,deck_area_sf,area basis\n"
        "1,timber,50,20,1030,as built drawing\n2,timber,50,20,1015,\n",
    )
    frame = batch.tables["structure"]
    assert list(frame["deck_area_sf"]) == [1030, 1015]
    assert list(frame["area_from"]) == ["as built drawing", "stated"]
    (finding,) = [one for one in batch.findings if one.code == "deck_area_differs"]
    assert "1,030 sf" in finding.text
    assert "1,000 sf" in finding.text
    assert finding.place is not None
    assert finding.place.row == 2


def test_a_bridge_without_area_is_kept_with_a_stop_that_says_what_to_fill_in(tmp_path: Path) -> None:
    batch = read_csv(tmp_path, "structure,type,length_ft,width_ft,deck_area_sf\n1,timber,50,,\n2,timber,,,900\n")
    frame = batch.tables["structure"]
    assert list(frame["deck_area_sf"].isna()) == [True, False]
    (finding,) = [one for one in batch.findings if one.code == "no_deck_area"]
    assert finding.severity == "stop"
    assert str(finding.place) == "bridges.csv, row 2"
    assert "out-to-out width" in finding.text
    assert "Fill in" in finding.do


def test_an_unreadable_width_sets_the_row_aside_and_the_others_come_in(tmp_path: Path) -> None:
    batch = read_csv(tmp_path, "structure,type,length,width\n1,timber,50,wide\n2,timber,50,20\n")
    assert list(batch.tables["structure"]["structure_id"]) == ["2"]
    (aside,) = batch.set_aside.to_dict("records")
    assert aside["source_row"] == 2
    assert "cannot read “wide” as a length" in aside["reason"]
    assert "column “width”" in aside["reason"]
    assert aside["text"] == "1 | timber | 50 | wide"
    assert (batch.rows_read, batch.rows_kept, batch.rows_set_aside) == (3, 2, 1)
    assert codes(batch) == ["row_set_aside"]


def test_an_unreadable_width_beside_a_stated_area_is_left_out_with_a_finding(tmp_path: Path) -> None:
    batch = read_csv(tmp_path, "structure,type,width,deck area\n1,timber,10.1;13.2,900\n")
    assert only(batch)["deck_area_sf"] == 900
    assert pd.isna(only(batch)["width_ft"])
    assert codes(batch) == ["width_not_read"]


@pytest.mark.parametrize(
    ("cells", "column"),
    [("-50,20,1,50", "length"), ("50,0,1,50", "width"), ("50,20,0,50", "spans"), ("50,20,1,-5 ft", "span")],
)
def test_zero_and_negative_geometry_is_refused_with_its_place(tmp_path: Path, cells: str, column: str) -> None:
    text = f"structure,type,length,width,spans,span,deck area\n1,timber,{cells},1000\n"
    with pytest.raises(BadValue) as refused:
        read_csv(tmp_path, text)
    assert f"bridges.csv, row 2, column “{column}”" in str(refused.value)
    with_another = read_csv(tmp_path, text + "2,timber,50,20,1,50,\n")
    assert list(with_another.tables["structure"]["structure_id"]) == ["2"]
    assert len(with_another.set_aside) == 1


@pytest.mark.parametrize("skew", ["95", "-3", "99", "varies"])
def test_a_skew_outside_zero_to_ninety_is_left_empty_with_a_finding(tmp_path: Path, skew: str) -> None:
    batch = read_csv(tmp_path, f"structure,type,length,width,skew_deg\n1,timber,50,20,{skew}\n")
    assert pd.isna(only(batch)["skew_deg"])
    assert codes(batch) == ["skew_not_read"]
    assert skew in batch.findings[0].text


def test_the_length_is_the_span_only_for_a_single_span(tmp_path: Path) -> None:
    batch = read_csv(
        tmp_path, "structure,type,length,width,spans\n1,timber,50,20,1\n2,timber,90,20,3\n3,timber,40,20,\n"
    )
    spans = batch.tables["structure"]["span_ft"]
    assert spans[0] == 50
    assert spans[1:].isna().all()
    assert next(one.text for one in batch.findings if one.code == "span_from_length").startswith(
        "For 1 bridge of one span"
    )


def test_a_clear_roadway_width_is_not_taken_for_out_to_out(tmp_path: Path) -> None:
    batch = read_csv(tmp_path, "structure,type,length,clear roadway width\n1,timber,50,24\n")
    assert pd.isna(only(batch)["deck_area_sf"])
    assert sorted(codes(batch)) == ["clear_width", "no_deck_area"]
    both = read_csv(tmp_path, "structure,type,length,roadway width,width out to out\n1,timber,50,24,26.5\n")
    assert only(both)["width_ft"] == 26.5
    assert [one.severity for one in both.findings if one.code == "clear_width"] == ["note"]


def test_a_bridge_without_a_number_goes_by_contract_and_schedule(tmp_path: Path) -> None:
    batch = read_csv(tmp_path, "contract,section,type,deck area\n0041,2,timber,900\n0042,,timber,800\n")
    assert list(batch.tables["structure"]["structure_id"]) == ["0041-2", "0042"]
    assert list(batch.tables["structure"]["contract_id"]) == ["0041", "0042"]


def test_a_bridge_without_a_contract_is_inventory_only(tmp_path: Path) -> None:
    row = only(read_csv(tmp_path, "bridge no.,type,deck area\n17,timber,900\n"))
    assert (row["contract_id"], row["schedule"], row["letting_date"]) == ("", "", None)


def test_the_same_bridge_twice_under_one_contract_names_both_rows(tmp_path: Path) -> None:
    text = "structure,contract,schedule,type,deck area\n1,A,1,timber,900\n1,A,2,timber,900\n1,A,1,timber,950\n"
    with pytest.raises(BadValue, match=r"row 2 and again in row 4"):
        read_csv(tmp_path, text)


def test_an_unknown_type_is_kept_as_written_and_a_missing_one_is_said(tmp_path: Path) -> None:
    batch = read_csv(tmp_path, "structure,type,deck area\n1,moon rock,900\n2,,800\n")
    assert list(batch.tables["structure"]["superstructure"]) == ["moon rock", "not stated"]
    assert codes(batch) == ["unknown_superstructure", "superstructure_not_stated"]


def test_columns_not_used_are_listed_in_one_note(tmp_path: Path) -> None:
    batch = read_csv(tmp_path, "structure,type,deck area,paint colour,inspector\n1,timber,900,grey,me\n")
    (note,) = batch.findings
    assert (note.code, note.severity) == ("columns_ignored", "note")
    assert "“paint colour”, “inspector”" in note.text


def test_title_rows_and_repeated_headings_are_set_aside_and_every_row_is_counted(tmp_path: Path) -> None:
    batch = read_csv(
        tmp_path,
        "Bridge list\n\nstructure,type,deck area\n1,timber,900\nstructure,type,deck area\n,,\n2,timber,1\n",
    )
    assert list(batch.set_aside["reason"]) == ["above the column headings", "column headings repeated"]
    assert list(batch.tables["structure"]["source_row"]) == [4, 7]
    assert (batch.rows_read, batch.rows_kept) == (5, 3)


def test_a_row_that_names_neither_bridge_nor_contract_is_set_aside(tmp_path: Path) -> None:
    batch = read_csv(tmp_path, "structure,contract,type,deck area\n1,A,timber,900\n,,Total,900\n")
    assert len(batch.tables["structure"]) == 1
    assert "neither a structure nor a contract" in batch.set_aside["reason"][0]


def test_a_workbook_is_read_like_a_text_file_and_hidden_sheets_are_named(tmp_path: Path) -> None:
    path = tmp_path / "bridges.xlsx"
    with xlsxwriter.Workbook(path) as book:
        day = book.add_format({"num_format": "yyyy-mm-dd"})
        for name in ("North", "South", "Old"):
            sheet = book.add_worksheet(name)
            sheet.write_row(0, 0, ["Bridge #", "Contract", "Letting", "Type", "Length ft", "Width ft", "Spans", "Skew"])
            sheet.write_row(1, 0, [{"North": 12, "South": 31, "Old": 5}[name], "C-1"])
            sheet.write_datetime(1, 2, dt.datetime(2025, 5, 6), day)  # noqa: DTZ001
            sheet.write_row(1, 3, ["timber", 40, 20.5, 1, 10])
            if name == "Old":
                sheet.hide()
    grids = read_grids(path)
    assert structures.looks_like(grids)
    batch = structures.read(grids, "0" * 64)
    frame = batch.tables["structure"]
    assert list(frame["structure_id"]) == ["12", "31"]
    assert list(frame["source_sheet"]) == ["North", "South"]
    assert list(frame["letting_date"]) == [dt.date(2025, 5, 6)] * 2
    assert list(frame["deck_area_sf"]) == [820, 820]
    assert ["hidden" in one.text for one in batch.findings if one.code == "sheet_not_read"] == [True]


def test_the_rows_fit_the_stored_table(tmp_path: Path) -> None:
    batch = read_csv(tmp_path, "structure,type,length,width,spans\n1,timber,50,20,1\n2,moon rock,,,\n")
    stored = BY_NAME["structure"].conform(batch.tables["structure"].assign(batch_id=1))
    assert stored.num_rows == 2
    assert stored["deck_area_sf"].to_pylist() == [1000, None]


def test_a_bid_tab_is_not_taken_for_a_structure_list(tmp_path: Path) -> None:
    file = tmp_path / "tab.csv"
    file.write_text("contract,item,type,quantity,unit price,bidder\nA,1,x,2,3.00,Kestrel\n", encoding="utf-8")
    assert not structures.looks_like(read_grids(file))


def test_a_file_without_headings_says_what_they_must_name(tmp_path: Path) -> None:
    file = tmp_path / "list.csv"
    file.write_text("1,timber,50\n2,timber,60\n", encoding="utf-8")
    with pytest.raises(UnreadableFile, match="superstructure type"):
        structures.read(read_grids(file), "0" * 64)


@pytest.mark.real_files
def test_a_public_structure_list_of_fifty_six_contracts_is_read_whole() -> None:
    folder = os.environ.get("BIDLENS_REAL_FILES")
    if not folder:
        pytest.skip("BIDLENS_REAL_FILES is not set")
    grids = read_grids(Path(folder) / "michigan" / "structures.csv")
    assert structures.looks_like(grids)
    batch = structures.read(grids, "0" * 64)
    frame = batch.tables["structure"]
    assert (len(frame), batch.rows_set_aside) == (56, 0)
    assert frame["deck_area_sf"].gt(0).all()
    assert frame["superstructure"].value_counts().to_dict() == {"adjacent box beam": 53, "spread box beam": 3}
    assert frame["letting_date"].notna().all()
    # Inventory areas among them are length x width in metres of the same record: none may differ by over 2 %.
    assert "deck_area_differs" not in codes(batch)


@pytest.mark.parametrize(
    ("material", "design", "kind"),
    [
        ("Prestressed Concrete", "Box Beam - Adjacent", "adjacent box beam"),
        ("Steel", "Tub Girder", "steel tub girder"),
        ("3", "02", type_of_nbi("3", "02")),
        ("Steel", "", "Steel"),
        ("", "", "not stated"),
    ],
)
def test_a_type_in_two_columns_is_put_together(tmp_path: Path, material: str, design: str, kind: str) -> None:
    batch = read_csv(
        tmp_path,
        "Structure Number,Length (ft),Width (out to out),Main Span Material,Main Span Design\n"
        f"0042,42,28,{material},{design}\n",
    )
    assert only(batch)["superstructure"] == kind

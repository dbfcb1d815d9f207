"""Inventories with columns named by the ids of the 2022 specification (SNBI). The bridges written here are invented.

Outside checks: the ids and what they name (B.ID.01 number, B.G.01 to B.G.16 geometry, B.SP.02 spans, B.SP.04 material,
B.SP.06 type, B.W.01 year built) are the published specification's; deck area is length x out-to-out width (23 CFR
490.411). That lengths are in feet is from memory, and so the program says it in a Finding.
"""

from __future__ import annotations

from pathlib import Path

import pytest
import xlsxwriter
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bidlens.ingest import open_file, read_file, recognition_of
from bidlens.ingest.grid import Grid
from bidlens.ingest.snbi import header_of
from tests.ingest.conftest import conform_all

HEAD = "B.ID.01,B.ID.02,B.G.01,B.G.02,B.G.03,B.G.05,B.G.11,B.G.16,B.SP.01,B.SP.02,B.SP.04,B.SP.06,B.W.01"
ROWS = (
    "000176,Heron Creek,49.0,52.5,49.0,30.0,15,1575.0,M01,1,S01,G02,1962",
    "000177,Wren Run,62.0,66.0,30.0,28.5,00,1881.0,M01,2,C03,B02,1988",
)


def read(folder: Path, *rows: str, head: str = HEAD, name: str = "inventory.csv"):
    (path := folder / name).write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
    batch = read_file(path)
    conform_all(batch)
    assert batch.rows_read == batch.rows_kept + batch.rows_set_aside
    return batch


def told(batch, code: str) -> str:
    return " ".join(finding.text for finding in batch.findings if finding.code == code)


def test_an_inventory_by_ids_is_a_structure_inventory_with_its_leading_zeros(tmp_path: Path) -> None:
    batch = read(tmp_path, *ROWS)
    assert (batch.kind, batch.layout, batch.contracts) == ("nbi", "inventory items by id", 2)
    first = batch.tables["structure"].iloc[0]
    assert (first["structure_id"], first["name"], first["year_built"]) == ("000176", "Heron Creek", 1962)
    assert (first["length_ft"], first["width_ft"], first["span_ft"], first["skew_deg"]) == (52.5, 30, 49, 15)
    # 52.5 ft x 30 ft = 1,575 sf
    assert (first["deck_area_sf"], first["area_from"]) == (1575, "SNBI B.G.02 x B.G.05")
    assert (first["contract_id"], first["source_row"]) == ("", 2)


@pytest.mark.parametrize(
    "style", ["B.{}.{}", "B{}{}", "B_{}_{}", "b-{}-{}", "B{}.{}", "B.{}.{} - in words", "'B.{}.{}'"]
)
def test_ids_that_differ_only_by_punctuation_are_one(tmp_path: Path, style: str) -> None:
    head = ",".join(style.format(*name.split(".")[1:]) for name in HEAD.split(","))
    assert read(tmp_path, *ROWS, head=head).tables["structure"]["deck_area_sf"].tolist() == [1575, 1881]


def test_the_unit_assumed_is_said_with_what_the_file_says_for_it(tmp_path: Path) -> None:
    text = told(read(tmp_path, *ROWS), "unit_assumed")
    assert "taken to be in feet" in text
    assert "from memory" in text
    assert "B.G.16 is B.G.02 x B.G.05 for 2 of 2 bridges" in text
    assert "29.3, which in metres would be 96 ft" in text  # median of 30 and 28.5


def test_metres_are_told_by_the_headings_the_area_or_the_widths(tmp_path: Path) -> None:
    metric = "000176,Heron Creek,14.9,16.0,14.9,9.1,15,{},M01,1,S01,G02,1962"
    area_sf = 16.0 * 9.1 / 0.3048**2
    for row, head, why in (
        (metric.format(145.6), HEAD, "too narrow in feet"),
        (metric.format(round(area_sf, 1)), HEAD, "10.76 times"),
        (metric.format(""), HEAD.replace("B.G.02", "B.G.02 (m)"), "as the headings say"),
    ):
        batch = read(tmp_path, row, head=head)
        assert batch.tables["structure"]["deck_area_sf"].tolist() == [pytest.approx(area_sf)]
        assert why in told(batch, "unit_assumed")


def test_a_further_set_of_spans_adds_to_its_bridge_and_the_same_set_twice_is_set_aside(tmp_path: Path) -> None:
    approach = ROWS[1].replace("M01,2", "A01,3")
    batch = read(tmp_path, *ROWS, approach, approach)
    assert batch.tables["structure"]["spans"].tolist() == [1, 5]
    assert batch.set_aside["source_row"].tolist() == [5]
    assert "stands in row 3 already" in batch.set_aside["reason"][0]
    assert "1 row with a further set" in told(batch, "further_spans")


def test_a_stated_area_stands_in_for_a_missing_width_and_one_that_differs_is_told(tmp_path: Path) -> None:
    batch = read(tmp_path, ROWS[0].replace("30.0", ""), ROWS[1].replace("1881.0", "2100.0"))
    assert batch.tables["structure"]["deck_area_sf"].tolist() == [1575, 1881]
    assert batch.tables["structure"]["area_from"].tolist() == ["SNBI B.G.16", "SNBI B.G.02 x B.G.05"]
    assert "000177" in told(batch, "deck_area_differs")


def test_codes_of_material_and_type_are_kept_as_coded_and_words_are_read(tmp_path: Path) -> None:
    batch = read(tmp_path, ROWS[0], ROWS[1].replace("C03,B02", "prestressed concrete,adjacent box beams"))
    assert batch.tables["structure"]["superstructure"].tolist() == ["SNBI S01 G02", "adjacent box beam"]
    assert "S01 G02 (1)" in told(batch, "unknown_superstructure")


def test_missing_values_leave_the_bridge_on_record_and_a_missing_number_does_not(tmp_path: Path) -> None:
    batch = read(tmp_path, "000178,,,,,,,,,,,,", "000179,,N,0,x,0.0,99,,,,,,0000", ",,,66,,28,,,,,,,")
    frame = batch.tables["structure"].set_index("structure_id")
    assert list(frame.index) == ["000178", "000179"]
    assert frame[["length_ft", "width_ft", "deck_area_sf", "skew_deg", "year_built"]].isna().all().all()
    assert "no structure number" in batch.set_aside["reason"][0]
    assert "B.G.03 cannot be read" in told(batch, "item_not_read")
    assert "2 bridges without deck area: 000178, 000179" in told(batch, "no_deck_area")


def test_numbers_in_a_workbook_have_lost_their_zeros_and_that_is_said(tmp_path: Path) -> None:
    path = tmp_path / "inventory.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet()
        sheet.write_row(0, 0, HEAD.split(","))
        sheet.write_row(1, 0, [176, "Heron Creek", 49, 52.5, 49, 30, 15, 1575, "M01", 1, "S01", "G02", 1962])
    batch = read_file(path)
    assert batch.tables["structure"]["structure_id"].tolist() == ["176"]
    assert "zeros at their front are lost" in told(batch, "zeros_lost")


def test_other_files_are_no_inventory_by_ids() -> None:
    for head in (["BRIDGE", "BID01", "B1"], ["B.G.02", "B.G.05", "B.G.16", "B.G.11"], ["B.ID.01", "B.W.01"]):
        assert header_of(Grid("x.csv", "", [head])) is None


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_a_made_up_inventory_comes_back(tmp_path: Path, data) -> None:
    names = ["B.ID.01", "B.G.02", "B.G.05", "B.G.11", "B.SP.02", "B.W.01"]
    order = data.draw(st.permutations(names))
    mark = data.draw(st.sampled_from([".", "_", "", "-"]))
    ids = data.draw(st.lists(st.from_regex(r"\A0[0-9]{5}\Z"), min_size=1, max_size=6, unique=True))
    tenths = st.integers(200, 9999).map(lambda tenth: tenth / 10)
    made = [
        {"B.ID.01": one, "B.G.02": data.draw(tenths), "B.G.05": data.draw(tenths),
         "B.G.11": data.draw(st.integers(0, 90)), "B.SP.02": data.draw(st.integers(1, 9)),
         "B.W.01": data.draw(st.integers(1880, 2030))}
        for one in ids
    ]  # fmt: skip
    rows = [",".join(str(row[name]) for name in order) for row in made]
    head = ",".join(name.replace(".", mark) for name in order)
    batch = read(tmp_path, *rows, head=head)
    frame = batch.tables["structure"]
    assert frame["structure_id"].tolist() == ids
    for column, name in (("length_ft", "B.G.02"), ("width_ft", "B.G.05"), ("skew_deg", "B.G.11"), ("spans", "B.SP.02")):
        assert frame[column].tolist() == [row[name] for row in made]
    assert frame["deck_area_sf"].tolist() == pytest.approx([row["B.G.02"] * row["B.G.05"] for row in made])


def test_what_is_recognised_names_the_item_of_each_column(tmp_path: Path) -> None:
    (path := tmp_path / "inventory.csv").write_text("\n".join(["Inventory of the county", HEAD, *ROWS]))
    found = recognition_of(open_file(path))
    assert (found.kind, found.sure, found.sheets[0].header_row) == ("nbi", True, 2)
    assert [column.field for column in found.sheets[0].columns] == HEAD.split(",")

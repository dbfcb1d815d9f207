"""Extracts of the National Bridge Inventory.

Outside checks: the recording guide's columns and codes (FHWA-PD-96-001); deck area as the inventory itself computes it
(column DECK_AREA = Item 49 x Item 52, in square metres), checked on a public extract where one is at hand; 23 CFR
490.411 for culverts under fill. The records written here are invented.
"""

import csv
import os
from pathlib import Path

import pandas as pd
import pytest

from bidlens.batch import Batch
from bidlens.errors import UnreadableFile
from bidlens.ingest import nbi, structures
from bidlens.ingest.grid import read_grids
from bidlens.tables import BY_NAME

HEADINGS = (
    "STRUCTURE_NUMBER_008,RECORD_TYPE_005A,FEATURES_DESC_006A,FACILITY_CARRIED_007,YEAR_BUILT_027,APPR_WIDTH_MT_032,"
    "DEGREES_SKEW_034,STRUCTURE_KIND_043A,STRUCTURE_TYPE_043B,MAIN_UNIT_SPANS_045,APPR_SPANS_046,MAX_SPAN_LEN_MT_048,"
    "STRUCTURE_LEN_MT_049,DECK_WIDTH_MT_052"
)
BRIDGE = "           0176,1,'HERON CREEK, NORTH FORK','COUNTY RD 9',1962,7.3,15,3,02,1,0,14.4,15.0,9.7"


def read(folder: Path, *records: str) -> Batch:
    file = folder / "extract.txt"
    file.write_text("\n".join([HEADINGS, *records]) + "\n", encoding="utf-8")
    grids = read_grids(file)
    assert nbi.looks_like(grids)
    assert not structures.looks_like(grids)
    return nbi.read(grids, "0" * 64)


def test_a_record_in_metres_is_a_bridge_in_feet_with_quoted_text_kept_whole(tmp_path: Path) -> None:
    batch = read(tmp_path, BRIDGE)
    row = batch.tables["structure"].iloc[0]
    assert (row["structure_id"], row["name"]) == ("0176", "COUNTY RD 9 over HERON CREEK, NORTH FORK")
    assert (row["superstructure"], row["superstructure_as_read"]) == ("rolled steel beam", "302")
    # 15.0 m x 9.7 m = 145.5 m2 = 1,566.1 sf
    assert round(row["deck_area_sf"], 1) == 1566.1
    assert row["length_ft"] == pytest.approx(15.0 / 0.3048)
    assert row["span_ft"] == pytest.approx(14.4 / 0.3048)
    assert (row["spans"], row["skew_deg"], row["year_built"], row["source_row"]) == (1, 15, 1962, 2)
    assert (row["contract_id"], row["area_from"]) == ("", "NBI Item 49 x Item 52")
    assert (batch.kind, batch.rows_read, batch.rows_set_aside, batch.contracts) == ("nbi", 2, 0, 1)
    assert BY_NAME["structure"].conform(batch.tables["structure"].assign(batch_id=1)).num_rows == 1


def test_a_code_read_by_judgement_is_said_with_its_number_of_bridges(tmp_path: Path) -> None:
    batch = read(tmp_path, BRIDGE, BRIDGE.replace("0176", "0177"))
    (finding,) = batch.findings
    assert (finding.code, finding.severity) == ("type_by_judgement", "note")
    assert "plate girder has the same code (2 bridges)" in finding.text


def test_routes_under_a_bridge_and_second_records_are_set_aside(tmp_path: Path) -> None:
    batch = read(tmp_path, BRIDGE, BRIDGE.replace("0176,1", "0176,2"), BRIDGE, "0200,1,'A'")
    assert list(batch.tables["structure"]["structure_id"]) == ["0176"]
    assert list(batch.set_aside["source_row"]) == [3, 4, 5]
    reasons = list(batch.set_aside["reason"])
    assert "route under the bridge (5A is 2)" in reasons[0]
    assert "stands in row 2 already" in reasons[1]
    assert "as many cells" in reasons[2]


def test_a_type_without_a_standard_name_is_kept_as_coded(tmp_path: Path) -> None:
    batch = read(tmp_path, BRIDGE.replace("3,02", "9,14"))
    assert batch.tables["structure"]["superstructure"][0] == "Item 43 code 914"
    assert "914 (1)" in batch.findings[0].text


def test_a_culvert_without_deck_takes_the_approach_width(tmp_path: Path) -> None:
    # 23 CFR 490.411: for culverts under fill the approach roadway width (Item 32) stands for the deck width.
    batch = read(tmp_path, BRIDGE.replace("3,02", "3,19").replace("9.7", "0"))
    row = batch.tables["structure"].iloc[0]
    assert row["superstructure"] == "buried structure"
    assert row["deck_area_sf"] == pytest.approx(15.0 * 7.3 / 0.3048**2)
    assert row["area_from"] == "NBI Item 49 x Item 32"


def test_a_bridge_without_width_has_no_area_and_a_skew_that_varies_is_left_empty(tmp_path: Path) -> None:
    batch = read(tmp_path, BRIDGE.replace("9.7", "0").replace(",15,3", ",99,3"))
    row = batch.tables["structure"].iloc[0]
    assert pd.isna(row["deck_area_sf"])
    assert pd.isna(row["skew_deg"])
    assert [finding.code for finding in batch.findings][1:] == ["no_deck_area", "skew_not_read"]


@pytest.mark.parametrize("missing", ["", "N", "0", "0.0", "000"])
def test_a_size_that_is_missing_leaves_the_bridge_without_area_and_on_record(tmp_path: Path, missing: str) -> None:
    batch = read(tmp_path, BRIDGE.replace("9.7", missing).replace("14.4", missing))
    row = batch.tables["structure"].iloc[0]
    assert pd.isna(row["deck_area_sf"])
    assert pd.isna(row["span_ft"])
    assert batch.rows_set_aside == 0
    assert "no_deck_area" in [finding.code for finding in batch.findings]


@pytest.mark.parametrize(("skew", "read_as"), [("00", 0), ("90", 90), ("99", None), ("", None), ("91", None), ("5", 5)])
def test_a_skew_of_99_varies_and_00_is_none(tmp_path: Path, skew: str, read_as: float | None) -> None:
    # 99 means that the skew varies: from memory of the recording guide.
    row = read(tmp_path, BRIDGE.replace(",15,3", f",{skew},3")).tables["structure"].iloc[0]
    assert (None if pd.isna(row["skew_deg"]) else row["skew_deg"]) == read_as


def test_an_unlimited_clearance_of_99_99_is_no_size(tmp_path: Path) -> None:
    # Item 53 is the clearance over the deck; 99.99 stands for no restriction (FHWA-PD-96-001).
    file = tmp_path / "extract.txt"
    file.write_text(f"{HEADINGS},VERT_CLR_OVER_MT_053\n{BRIDGE},99.99\n")
    row = nbi.read(read_grids(file), "0" * 64).tables["structure"].iloc[0]
    assert round(row["deck_area_sf"], 1) == 1566.1


def test_headings_in_feet_and_lines_above_them_are_read(tmp_path: Path) -> None:
    file = tmp_path / "extract.csv"
    headings = HEADINGS.replace("STRUCTURE_LEN_MT_049", "STRUCTURE_LEN_FT_049").replace(
        "_WIDTH_MT_052", "_WIDTH_FT_052"
    )
    file.write_text(f"Extract of the county,,\n{headings}\n{BRIDGE}\n")
    batch = nbi.read(read_grids(file), "0" * 64)
    assert batch.tables["structure"]["deck_area_sf"].tolist() == [pytest.approx(15.0 * 9.7)]
    assert (batch.rows_read, batch.rows_set_aside) == (3, 1)


def test_a_plain_list_is_no_extract(tmp_path: Path) -> None:
    file = tmp_path / "list.csv"
    file.write_text("structure,type,deck area\n1,timber,900\n", encoding="utf-8")
    assert not nbi.looks_like(read_grids(file))
    with pytest.raises(UnreadableFile, match="STRUCTURE_NUMBER_008"):
        nbi.read(read_grids(file), "")


@pytest.mark.real_files
def test_deck_areas_of_a_public_extract_are_the_inventorys_own() -> None:
    folder = os.environ.get("BIDLENS_REAL_FILES")
    if not folder:
        pytest.skip("BIDLENS_REAL_FILES is not set")
    (path,) = sorted((Path(folder) / "nbi").glob("*.txt"))
    batch = nbi.read(read_grids(path), "")
    with path.open(encoding="utf-8", newline="") as stream:
        records = [one for one in csv.DictReader(stream, quotechar="'") if one["RECORD_TYPE_005A"] == "1"]
    published = {one["STRUCTURE_NUMBER_008"].strip(): float(one["DECK_AREA"]) for one in records}
    frame = batch.tables["structure"].set_index("structure_id")
    assert len(frame) == len(published) > 300
    square_metres = frame["deck_area_sf"] * 0.3048**2
    assert square_metres.to_dict() == pytest.approx(published, rel=1e-4)

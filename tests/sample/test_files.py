"""The sample county's files: made by one command, the same bytes each time, small, and about nobody real."""

from __future__ import annotations

import csv
import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

from tests.sample.reading import SAMPLE, read

#: The invented firms are named after these birds, trees and minerals.
NAMESAKES = {
    "Lapwing", "Whimbrel", "Hornbeam", "Feldspar", "Corncrake", "Sphalerite", "Wych Elm", "Dunnock", "Chalcedony",
    "Medlar", "Garganey", "Hoopoe", "Rhodonite", "Sorb Tree", "Harrier", "Gadwall", "Wollastonite", "Whitebeam",
}  # fmt: skip
#: What may follow the namesake.
TRADE_WORDS = {
    "bridge", "builders", "structures", "sons", "contracting", "contractors", "constructors", "construction",
    "heavy", "civil", "works", "brothers", "road", "steel", "precast", "tub", "girders", "supply", "and", "inc",
    "llc", "co",
}  # fmt: skip


def data_files(folder: Path) -> list[str]:
    """Everything but the program that wrote it and the page that explains it."""
    files = (path.relative_to(folder) for path in folder.rglob("*") if path.is_file())
    other = ("_make", "__pycache__", "make_samples.py", "README.md")
    kept = [path for path in files if path.parts[0] not in other and not path.parts[0].startswith(".")]
    return sorted(str(path) for path in kept)


@pytest.fixture(scope="module")
def written_again(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("county")
    subprocess.run(
        [sys.executable, str(SAMPLE / "make_samples.py"), "--out", str(out)], check=True, capture_output=True
    )
    return out


def test_the_generator_writes_every_file_that_is_here_and_no_other(written_again: Path) -> None:
    assert data_files(written_again) == data_files(SAMPLE)


@pytest.mark.parametrize("name", data_files(SAMPLE))
def test_a_file_written_again_is_the_same_byte_for_byte(written_again: Path, name: str) -> None:
    once, again = SAMPLE / name, written_again / name
    if once.read_bytes() == again.read_bytes():
        return
    # Another compression library packs the same parts into other bytes; the parts themselves must agree.
    assert once.suffix == ".xlsx", f"{name} differs"
    with zipfile.ZipFile(once) as old, zipfile.ZipFile(again) as new:
        assert old.namelist() == new.namelist()
        assert [part for part in old.namelist() if old.read(part) != new.read(part)] == []


def test_the_county_is_small_enough_to_ship() -> None:
    assert sum((SAMPLE / name).stat().st_size for name in data_files(SAMPLE)) < 2_000_000


def test_there_is_one_bid_tab_for_each_letting_date() -> None:
    dates = [re.search(r"\d{4}-\d\d-\d\d", name) for name in data_files(SAMPLE / "bid_tabs")]
    found = [match[0] for match in dates if match]
    assert len(found) == len(set(found)) == len(dates) == 34
    assert (min(found), max(found)) == ("2012-03-14", "2025-09-10")


def test_firms_are_named_after_birds_trees_and_minerals() -> None:
    firms = {row.firm for path in (SAMPLE / "bid_tabs").iterdir() for row in read(path)}
    firms |= {tomllib.loads(path.read_text())["supplier"] for path in (SAMPLE / "proposals").glob("*.toml")}
    with (SAMPLE / "proposals" / "several_offers.csv").open() as file:
        firms |= {row["supplier"] for row in csv.DictReader(file)}
    for firm in firms:
        words = re.sub(r"[.,]", "", firm.lower()).replace("&", "and")
        namesake = next((name.lower() for name in NAMESAKES if words.startswith(name.lower())), None)
        assert namesake, firm
        assert set(words.removeprefix(namesake).split()) <= TRADE_WORDS, firm


def test_one_bid_tab_is_windows_1252_and_not_utf_8() -> None:
    odd = []
    for path in (SAMPLE / "bid_tabs").glob("*.csv"):
        try:
            path.read_bytes().decode("utf-8")
        except UnicodeDecodeError:
            odd.append(path.name)
    assert odd == ["letting_2020-03-11.csv"]
    assert "2½ inch" in (SAMPLE / "bid_tabs" / odd[0]).read_bytes().decode("cp1252")


def test_the_inventory_holds_about_four_hundred_bridges_with_plain_geometry() -> None:
    with (SAMPLE / "structures.csv").open() as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == len({row["Structure"] for row in rows}) == 400
    for row in rows:
        assert re.fullmatch(r"\d+'-\d+\"", row["Width (out to out)"])
        assert 1925 <= int(row["Year built"]) <= 2026
        assert float(row["Longest span (ft)"]) <= float(row["Length (ft)"])
    assert sum(bool(row["Contract"]) for row in rows) == 68

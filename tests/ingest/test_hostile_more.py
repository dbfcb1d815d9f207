"""Files that hide, lock or carry something: each is read right, or refused in plain words; nothing is lost silently.

Outside checks: the container of a workbook with a password is laid out as the published formats have it (MS-CFB 2.2 the
header, 2.6 the directory; MS-OFFCRYPTO 2.3.4.4 the stream `EncryptedPackage`); a workbook with macros differs from one
without by its part `xl/vbaProject.bin` and its content type (ECMA-376, MS-OFFMACRO2). The tables are invented.
"""

from __future__ import annotations

import csv
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from bidlens.batch import Batch
from bidlens.errors import BadValue, UnreadableFile
from bidlens.ingest import guard, read_file
from bidlens.ingest.quotation_text import prices_in
from tests.ingest.conftest import HERON, WREN
from tests.ingest.test_nbi import BRIDGE, HEADINGS
from tests.ingest.test_snbi import HEAD, ROWS

END, FAT, FREE, NO_ENTRY = 0xFFFFFFFE, 0xFFFFFFFD, 0xFFFFFFFF, 0xFFFFFFFF


def locked_workbook() -> bytes:
    """A container of ten sectors: its table of sectors, its directory, and a stream of 4,096 unreadable bytes."""
    table = [FAT, END, *range(3, 10), END, *[FREE] * 118]
    header = struct.pack(
        "<8s16x5H6x10L", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", 0x3E, 3, 0xFFFE, 9, 6, 0, 1, 1, 0, 4096, END, 0, END, 0, 0
    )
    header += struct.pack("<108L", *[FREE] * 108)

    def entry(name: str, kind: int, child: int, first: int, size: int) -> bytes:
        words = name.encode("utf-16-le")
        links = struct.pack("<HBBLLL", len(words) + 2, kind, 1, NO_ENTRY, NO_ENTRY, child)
        return words.ljust(64, b"\0") + links + bytes(36) + struct.pack("<LQ", first, size)

    directory = entry("Root Entry", 5, 1, END, 0) + entry("EncryptedPackage", 2, NO_ENTRY, 2, 4096) + bytes(256)
    return header + struct.pack("<128L", *table) + directory + bytes(range(256)) * 16


def totals(batch: Batch) -> dict[str, float]:
    return batch.tables["bid"].set_index("bidder")["total_corrected"].astype(float).to_dict()


ALL = {WREN: 2950.0, HERON: 3000.0}


@pytest.mark.parametrize("name", ["2031-04-08.xlsx", "2031-04-08.xlsm", "2031-04-08.xls"])
def test_a_workbook_with_a_password_is_called_that(tmp_path: Path, name: str) -> None:
    content = locked_workbook()
    assert len(content) == 11 * 512
    (path := tmp_path / name).write_bytes(content)
    with pytest.raises(UnreadableFile, match="protected by a password") as caught:
        read_file(path)
    assert name in str(caught.value)
    assert caught.value.do == "Save a copy without it."


def test_a_workbook_with_macros_is_read_and_its_macros_are_no_more_than_bytes(tmp_path, write_xlsx, long_rows) -> None:
    plain = write_xlsx("plain.xlsx", {"Tab": long_rows})
    path = tmp_path / "2031-04-08.xlsm"
    kinds = {b"spreadsheetml.sheet.main+xml": b"ms-excel.sheet.macroEnabled.main+xml"}
    with zipfile.ZipFile(plain) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.namelist():
            content = old.read(part)
            for before, after in kinds.items():
                content = content.replace(b"vnd.openxmlformats-officedocument." + before, b"vnd." + after)
            new.writestr(part, content)
        new.writestr("xl/vbaProject.bin", b"\xd0\xcf\x11\xe0" + b"Sub Auto_Open()" * 40)
    before = path.read_bytes()
    assert totals(read_file(path)) == ALL
    assert path.read_bytes() == before
    assert sorted(one.name for one in tmp_path.iterdir()) == ["2031-04-08.xlsm", "plain.xlsx"]


def test_a_link_to_a_good_file_is_read_under_the_name_of_the_link(tmp_path, write_xlsx, write_csv, long_rows) -> None:
    for target in (write_xlsx("kept.xlsx", {"Tab": long_rows}), write_csv("kept.csv", long_rows)):
        link = tmp_path / f"2031-04-08{target.suffix}"
        link.symlink_to(target)
        batch = read_file(link)
        assert totals(batch) == ALL
        assert batch.source_file == link.name
        assert batch.sha256 == read_file(target, name=link.name).sha256


def test_a_link_that_leads_to_itself_is_refused(tmp_path: Path) -> None:
    (link := tmp_path / "2031-04-08.csv").symlink_to(link)
    with pytest.raises(UnreadableFile, match="2031-04-08"):
        read_file(link)


@pytest.mark.parametrize(
    "folder", ["bids of 2031", "the 'old' ones", 'so "called"', "[drafts] (2) {a}", "-n *?; $(x) & %s", "Brücke — 1"]
)
def test_folders_and_names_with_blanks_quotes_and_brackets_are_read(tmp_path, write_xlsx, write_csv, long_rows, folder):
    try:
        (tmp_path / folder).mkdir()
    except OSError:
        pytest.skip("this system has no such names")
    for source in (write_xlsx("a.xlsx", {"Tab": long_rows}), write_csv("a.csv", long_rows)):
        path = source.rename(tmp_path / folder / f"{folder} 2031-04-08{source.suffix}")
        batch = read_file(path)
        assert totals(batch) == ALL
        assert batch.source_file == path.name


def test_a_text_table_over_the_size_for_text_is_refused(write_csv, long_rows, monkeypatch) -> None:
    path = write_csv("2031-04-08.csv", long_rows)
    assert totals(read_file(path)) == ALL
    monkeypatch.setattr(guard, "MAX_TEXT_BYTES", path.stat().st_size - 1)
    with pytest.raises(UnreadableFile, match=r"more than the .* MB that are read") as caught:
        read_file(path)
    assert "Split it by letting" in caught.value.do


# --- sheets that do not show --------------------------------------------------------------------------------------

INDEX = [["quarter", "value"], ["2030Q1", 101.5], ["2030Q2", 102.25]]
BY_NUMBER = list(csv.reader([HEADINGS, BRIDGE], quotechar="'"))
BY_ID = [line.split(",") for line in (HEAD, *ROWS)]
PROGRAM = [["Priority", "Structure", "Planned superstructure", "Length (ft)"], [1, "K-117", "timber", 62]]
OFFERS = [["Supplier", "Structure", "Type", "Price"], ["Umber Precast", "K-117", "timber", "$51,660"]]
SUMMARY = [["Contract", "Letting date", "Bidder", "Total bid"], ["91-001", "2031-04-08", HERON, "$5,000.00"]]
NOTES = [["Remarks"], ["Prices were read twice."]]


def unread(batch: Batch) -> list[str | None]:
    """The sheets that findings name as not read."""
    return [one.place.sheet for one in batch.findings if one.code in ("sheet_not_read", "hidden_sheet") and one.place]


@pytest.mark.parametrize("rows", [INDEX, BY_NUMBER, BY_ID, PROGRAM, OFFERS, SUMMARY])
def test_a_hidden_sheet_of_any_kind_of_file_is_not_read_and_named(write_xlsx: Callable[..., Path], rows) -> None:
    one = read_file(write_xlsx("one.xlsx", {"Now": rows}))
    both = read_file(write_xlsx("both.xlsx", {"Now": rows, "Draft": rows, "Blank": []}, hidden=["Draft", "Blank"]))
    assert (one.kind, one.contracts, one.rows_read) == (both.kind, both.contracts, both.rows_read)
    assert (unread(one), unread(both)) == ([], ["Draft"])


@pytest.mark.parametrize("rows", [INDEX, BY_NUMBER, BY_ID, PROGRAM, OFFERS, SUMMARY])
def test_a_sheet_of_remarks_beside_the_table_is_named(write_xlsx: Callable[..., Path], rows) -> None:
    assert unread(read_file(write_xlsx("both.xlsx", {"Now": rows, "Notes": NOTES}))) == ["Notes"]


@pytest.mark.parametrize("rows", [INDEX, BY_NUMBER, BY_ID])
def test_of_two_sheets_where_one_is_read_the_other_is_named(write_xlsx: Callable[..., Path], rows) -> None:
    batch = read_file(write_xlsx("both.xlsx", {"Now": rows, "Then": rows}))
    assert unread(batch) == ["Then"]
    (told,) = (one for one in batch.findings if one.code == "sheet_not_read")
    assert "“Now”" in told.text


def test_a_file_of_hidden_sheets_alone_is_refused_and_they_are_named(write_xlsx, long_rows) -> None:
    path = write_xlsx("2031-04-08.xlsx", {"Cover": [], "Bids": long_rows}, hidden=["Bids"])
    with pytest.raises(UnreadableFile, match="hidden and not looked at: “Bids”"):
        read_file(path)


def test_hidden_rows_and_columns_are_read_like_the_others(tmp_path: Path, long_rows) -> None:
    import xlsxwriter

    path = tmp_path / "2031-04-08.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet("Tab")
        for at, row in enumerate(long_rows):
            sheet.write_row(at, 0, row)
        sheet.set_row(5, None, None, {"hidden": True})
        sheet.set_column(7, 7, None, None, {"hidden": True})
    assert totals(read_file(path)) == ALL


# --- found by damaged files ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("blank", [[], ["", "", ""], [" ", "\t"]])
def test_a_row_without_any_text_above_the_headings_of_a_wide_tab_is_passed_over(write_csv, blank) -> None:
    rows = [
        blank, ["Contract 91-001"], blank, ["Bids opened April 8, 2031"], blank, ["", "", "", "", HERON, "", WREN, ""],
        ["Item No.", "Description", "Unit", "Quantity", *["Unit Price", "Amount"] * 2],
        ["1", "Mobilization", "LS", 1, 500, 500, 501, 501], ["2", "Beams", "LF", 10, 20, 200, 20, 200],
    ]  # fmt: skip
    batch = read_file(write_csv("tab.csv", rows))
    assert batch.tables["contract"]["contract_id"].tolist() == ["91-001"]
    assert totals(batch) == {HERON: 700.0, WREN: 701.0}


@pytest.mark.parametrize("price", ["$1,2 per sf", "$47,1 a sf", "$1,,2 per sf", "$ 12,34.5/sf", "$1, per sf"])
def test_money_with_commas_out_of_place_is_no_price_and_ends_in_our_error(tmp_path: Path, price: str) -> None:
    with pytest.raises(BadValue, match=r"cannot read “.*” as a price"):
        prices_in(price)
    (path := tmp_path / "minutes.txt").write_text(
        "Larch Road over Tansy Ditch, 42 ft x 26 ft      estimate $58,000\n"
        f"  Umber Precast        $51,660   furnish and deliver\n  Vale Prestress:      {price}\n",
        encoding="utf-8",
    )
    batch = read_file(path)
    assert batch.tables["proposal"]["supplier"].tolist() == ["Umber Precast"]
    assert batch.rows_read == batch.rows_kept + batch.rows_set_aside
    assert batch.set_aside["source_row"].tolist() == [3]

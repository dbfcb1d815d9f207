"""Files that must be refused in plain words: broken, mislabelled, hostile, or no file at all."""

from __future__ import annotations

import os
import random
import zipfile
from pathlib import Path

import pytest

from bidlens.errors import BidlensError, UnreadableFile
from bidlens.ingest import guard, read_file
from bidlens.ingest.grid import read_grids

SHEET = "xl/worksheets/sheet1.xml"


@pytest.fixture
def workbook(write_xlsx, long_rows) -> Path:
    return write_xlsx("2031-04-08.xlsx", {"Tab": long_rows})


def with_part(workbook: Path, name: str, part: str, content: bytes) -> Path:
    """A copy of a workbook with one part replaced."""
    path = workbook.with_name(name)
    with zipfile.ZipFile(workbook) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in old.infolist():
            new.writestr(entry.filename, content if entry.filename == part else old.read(entry))
    return path


def refused(path: Path, match: str) -> UnreadableFile:
    with pytest.raises(UnreadableFile, match=match) as caught:
        read_file(path)
    assert path.name in str(caught.value)
    assert caught.value.do
    return caught.value


def test_an_empty_file(tmp_path):
    (path := tmp_path / "a.csv").touch()
    refused(path, "is empty")


def test_nothing_but_blanks(tmp_path):
    (path := tmp_path / "a.csv").write_text(" \n\n ")
    refused(path, "nothing but blanks")


def test_a_missing_file_a_folder_and_a_link_to_nowhere(tmp_path):
    refused(tmp_path / "gone.csv", "no such file")
    (folder := tmp_path / "folder.csv").mkdir()
    refused(folder, "is a folder")
    (link := tmp_path / "link.csv").symlink_to(tmp_path / "nowhere.csv")
    refused(link, "leads nowhere")


def test_a_pipe_is_not_waited_for(tmp_path):
    if not hasattr(os, "mkfifo"):
        pytest.skip("no pipes on this system")
    os.mkfifo(path := tmp_path / "pipe.csv")
    refused(path, "pipe")


def test_the_lock_file_beside_an_open_workbook(tmp_path):
    (path := tmp_path / "~$tab.xlsx").write_bytes(b"\x05maker" + b" " * 160)
    refused(path, "lock file")


def test_a_pdf_that_is_none_and_one_under_another_ending(tmp_path):
    (path := tmp_path / "tab.csv").write_bytes(b"%PDF-1.7\n...")
    assert "Rename it to end in .pdf" in refused(path, "but the file holds a PDF").do
    (path := tmp_path / "tab.pdf").write_bytes(b"%PDF-1.7\n...")
    assert "ask the agency for the spreadsheet" in refused(path, "the PDF is cut off").do.lower()
    (path := tmp_path / "words.pdf").write_text("item,quantity\n")
    refused(path, "holds no PDF")


@pytest.mark.parametrize("name", ["tab.csv", "tab.xls", "tab.txt"])
def test_a_workbook_under_another_ending(workbook, name):
    path = workbook.rename(workbook.with_name(name))
    assert "Rename it to end in .xlsx" in refused(path, r"but the file holds an \.xlsx workbook").do


def test_text_and_web_pages_named_as_workbooks(tmp_path):
    (path := tmp_path / "tab.xlsx").write_text("a,b\n1,2\n")
    refused(path, "holds plain text")
    (path := tmp_path / "tab.xls").write_text("<html><table></table></html>")
    refused(path, "a web page")


def test_other_endings(tmp_path):
    for name in ("tab.docx", "tab", "tab.ods"):
        (path := tmp_path / name).write_bytes(b"PK\x03\x04rest")
        refused(path, "are not read|no ending")


def test_nul_bytes_in_a_text_file(tmp_path):
    (path := tmp_path / "a.csv").write_bytes(b"Contract,Line\n91-001,\x00\n")
    refused(path, "NUL byte")


def test_an_open_quotation_mark_is_named_with_its_row(tmp_path):
    (path := tmp_path / "a.csv").write_text('a,b\n1,2\n"open,3\n4,5\n')
    assert "row 3" in str(refused(path, "cannot be split into cells"))


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.99])
def test_a_truncated_workbook(workbook, share):
    content = workbook.read_bytes()
    (path := workbook.with_name("cut.xlsx")).write_bytes(content[: int(len(content) * share)])
    refused(path, "damaged or was not downloaded")


def test_a_workbook_that_unpacks_to_too_much(workbook):
    bomb = with_part(workbook, "bomb.xlsx", SHEET, b"<worksheet>" + b" " * 30_000_000 + b"</worksheet>")
    assert bomb.stat().st_size < 100_000
    refused(bomb, "would unpack to")


def test_a_part_larger_than_its_heading_says(workbook):
    """The sizes in an archive's table of contents are only claims."""
    liar = with_part(workbook, "liar.xlsx", SHEET, b"<worksheet>" + b" " * 3_000_000 + b"</worksheet>")
    raw = bytearray(liar.read_bytes())
    claimed = (3_000_000 + 23).to_bytes(4, "little")
    at = raw.rfind(claimed)
    raw[at : at + 4] = (1000).to_bytes(4, "little")
    liar.write_bytes(raw)
    refused(liar, "what its own table of contents says|damaged")


@pytest.mark.parametrize(
    "cell",
    ['<c r="XFD1048576"><v>1</v></c>', "<c r='XFD1048576'><v>1</v></c>", '<c\n r = "XFD1048576"><v>1</v></c>',
     '<x:c r="xfd1048576"><v>1</v></x:c>', '<c s="1" r="ZZ99999"><v>1</v></c>', '<c r="XFD5000"><v>1</v></c>'],
)  # fmt: skip
def test_a_cell_in_the_farthest_corner(workbook, cell):
    """One such cell makes a reader reserve billions of cells and ends the whole program."""
    sheet = f'<worksheet><sheetData><row r="1">{cell}</row></sheetData></worksheet>'.encode()
    refused(with_part(workbook, "far.xlsx", SHEET, sheet), "far outside any bid tab")


def test_a_row_number_alone_can_be_too_far(workbook):
    sheet = b'<worksheet><sheetData><row r="1048576"><c r="ZZ2"><v>1</v></c></row></sheetData></worksheet>'
    refused(with_part(workbook, "far.xlsx", SHEET, sheet), "far outside")


def test_a_wide_or_a_long_honest_sheet_is_let_through(workbook):
    wide = b'<worksheet><sheetData><row r="1"><c r="ABC1"><v>1</v></c></row></sheetData></worksheet>'
    guard.check_workbook(with_part(workbook, "wide.xlsx", SHEET, wide), "wide.xlsx")
    long = b'<worksheet><sheetData><row r="400000"><c r="K400000"><v>1</v></c></row></sheetData></worksheet>'
    guard.check_workbook(with_part(workbook, "long.xlsx", SHEET, long), "long.xlsx")


def test_a_file_over_the_size_that_is_read(tmp_path, monkeypatch):
    monkeypatch.setattr(guard, "MAX_FILE_BYTES", 10)
    (path := tmp_path / "a.csv").write_text("a,b\n" * 10)
    refused(path, "more than the")


def test_damaged_workbooks_end_in_our_error_or_are_read(workbook, tmp_path):
    """Random damage, with a fixed seed: never another exception, never a crash."""
    content = workbook.read_bytes()
    dice = random.Random(20310408)
    for attempt in range(150):
        damaged = bytearray(content)
        for _ in range(dice.randint(1, 20)):
            damaged[dice.randrange(len(damaged))] = dice.randrange(256)
        (path := tmp_path / f"2031-04-08_{attempt}.xlsx").write_bytes(damaged)
        try:
            read_file(path)
        except BidlensError:
            continue


def test_formulas_without_a_stored_value_are_said(tmp_path, long_rows):
    import xlsxwriter

    path = tmp_path / "2031-04-08.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet("Tab")
        for at, row in enumerate(long_rows):
            sheet.write_row(at, 0, row[:8])
            if at:
                sheet.write_formula(at, 8, f"=F{at + 1}*H{at + 1}", None, "")
            else:
                sheet.write(at, 8, "Amount")
    batch = read_file(path)
    assert "formula_without_value" in [finding.code for finding in batch.findings]


# --- text files that are fine in their own way ----------------------------------------------------------------------


def test_old_encodings_are_read_and_said(write_csv, long_rows):
    long_rows[1][3] = "Façade – repair"
    grid = read_grids(write_csv("a.csv", long_rows, encoding="cp1252"))[0]
    assert grid.rows[1][3] == "Façade – repair"
    assert [finding.code for finding in grid.findings] == ["encoding_guessed"]
    assert read_grids(write_csv("b.csv", long_rows, encoding="utf-8-sig"))[0].rows[0][0] == "Contract"
    assert read_grids(write_csv("c.csv", long_rows, encoding="utf-16"))[0].rows[1][3] == "Façade – repair"


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_the_delimiter_is_found(write_csv, long_rows, delimiter):
    grid = read_grids(write_csv("a.txt", long_rows, delimiter=delimiter))[0]
    assert [len(row) for row in grid.rows] == [10] * 7


def test_cells_keep_their_place_below_blank_rows_and_right_of_blank_columns(write_xlsx):
    grid = read_grids(write_xlsx("a.xlsx", {"S": [[""], [""], ["", "", "x"]]}))[0]
    assert grid.rows[2] == ["", "", "x"]
    assert str(grid.place(2)) == "a.xlsx, sheet “S”, row 3"


def test_the_shown_name_stands_for_a_temporary_copy(write_csv, long_rows):
    path = write_csv("tmp8f3a.csv", long_rows)
    batch = read_file(path, name="2031-04-08.csv")
    assert batch.source_file == "2031-04-08.csv"
    assert set(batch.tables["bid_price"]["source_file"]) == {"2031-04-08.csv"}


@pytest.mark.parametrize(
    ("part", "old", "new"),
    [
        ("xl/sharedStrings.xml", b'uniqueCount="', b'uniqueCount="4000000000'),
        (SHEET, b'<c r="A2"', b'<c r="AAAAAAAA2"'),
        (SHEET, b'<c r="A2"', b'<c r="A99999999999"'),
        (SHEET, b'<c r="A2"', b'<c r="A0"'),
        (SHEET, b'<row r="2"', b'<row r="4294967295"'),
    ],
)
def test_claims_that_make_a_reader_set_aside_all_memory(workbook, part, old, new):
    with zipfile.ZipFile(workbook) as archive:
        content = archive.read(part)
    assert old in content
    refused(with_part(workbook, "claims.xlsx", part, content.replace(old, new, 1)), "opened|damaged|far outside")


def test_a_damaged_old_workbook_is_refused_and_ends_no_process(tmp_path):
    """The beginning of an .xls, then noise: opened in a process of its own, which may die of it."""
    noise = random.Random(20310408).randbytes(20_000)
    (path := tmp_path / "tab.xls").write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + noise)
    refused(path, "cannot be opened")

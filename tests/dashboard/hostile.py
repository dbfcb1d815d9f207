"""Files whose every text tries to come to life on a page: Markdown, HTML, script, formula, icon, direction, length."""

from __future__ import annotations

import csv
from pathlib import Path

import xlsxwriter

IMAGE = "![x](http://outside.invalid/a.png)"
SCRIPT = "<script>document.title='taken'</script><img src=http://outside.invalid/b.png onerror=alert(1)>"
COLOR = ":red[**Bold**] :material/home: :smile: $x^2$ [link](http://outside.invalid)"
FORMULA = '=HYPERLINK("http://outside.invalid","x")'
TURNED = "abc\u202egnp.exe 🌉"
LONG = "Very-long-" * 60
LINK = "<a href='javascript:alert(1)'>press</a> &lt;b&gt; </table></style><b>x</b>"
STEERING = "\x1b[31mred\x1b]0;taken\x07 bell\x9b"
LINES = "first\nsecond\r\n# Heading\n- [ ] task\n> quoted\n```"
AT, PLUS, MINUS = "@SUM(1,1)", "+1+1", "-2+3 dash"

HOSTILE = (IMAGE, SCRIPT, COLOR, FORMULA, TURNED)
#: What may stand as text nowhere: it steers a terminal or turns round what stands beside it.
UNSEEN = ("\x1b", "\x07", "\x9b", "\u202e")
_ITEMS = (
    (IMAGE + " steel beams furnish and erect " + STEERING, "LS", 1, 90_000),
    ("Concrete, bridge deck " + SCRIPT + LINES, "CY", 60, 620),
)
_HEAD = ("Contract", "Schedule", "Line", "Item Code", "Description", "Quantity", "Unit", "Bidder", "Rank", "Unit Price",
         "Extension")  # fmt: skip
_CODES = (FORMULA, AT, PLUS, MINUS, LINK, STEERING)
_MORE = (AT, PLUS, LINK, STEERING, LINES, MINUS)


def write_files(folder: Path) -> list[Path]:
    """A bid tab of six contracts, the structures they paid for, a letter and a program; the numbers are ordinary."""
    return [
        _structures(folder / "structures.csv"),
        *_bid_tabs(folder),
        _letter(folder / "letter.toml"),
        _wide(folder / "=1+1 <img src=x onerror=alert(1)> ![y](z) letting_2021-05-01.xlsx"),
        _program(folder / "program_2022.csv"),
    ]


def contract(number: int) -> str:
    """What a contract of the bid tabs is called."""
    return f"X-{number} {HOSTILE[number % len(HOSTILE)]}"


def _bid_tabs(folder: Path) -> list[Path]:
    paths = []
    for number in range(6):
        path = folder / f"letting_20{14 + number}-05-0{number + 1}.csv"
        with path.open("w", newline="", encoding="utf-8") as file:
            rows = csv.writer(file)
            rows.writerow(_HEAD)
            for rank, bidder in enumerate((SCRIPT + " Bros.", COLOR + LONG, _MORE[number] + " Co."), start=1):
                for line, (text, unit, quantity, price) in enumerate(_ITEMS, start=1):
                    asked = price * (1 + 0.05 * number + 0.03 * rank)
                    rows.writerow(
                        (contract(number), "1", line, _CODES[number], text, quantity, unit, bidder, rank,
                         f"{asked:.2f}", f"{asked * quantity:.2f}")
                    )  # fmt: skip
            rows.writerow((f"Note {SCRIPT} {STEERING}",))
        paths.append(path)
    return paths


def _wide(path: Path) -> Path:
    """A workbook whose own name and sheet name are hostile; names of bidders stand over their columns."""
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet("<img src=x onerror=1> =1+1 & __")
    lines = [
        [f"Contract X-9 {LINK}", "", f"{SCRIPT} County"],
        ["", "", "", "", f"{LINK} Ltd", "", f"{AT} {TURNED}", ""],
        ["Line", "Description", "Quantity", "Unit", "Unit Price", "Amount", "Unit Price", "Amount"],
        [1, f"{LINK} steel beams", 1, "LS", 90000, 90000, 91000, 91000],
        [2, f"{STEERING.replace(chr(27), '').replace(chr(7), '')} bearings {IMAGE}", 4, "EA", 150, 600, 140, 560],
        [3, f"{COLOR} concrete deck", 60, "CY", 620, 37200, 610, 36600],
    ]
    for number, cells in enumerate(lines):
        for column, cell in enumerate(cells):
            if isinstance(cell, str):
                sheet.write_string(number, column, cell)
            else:
                sheet.write_number(number, column, cell)
    book.close()
    return path


def _structures(path: Path) -> Path:
    with path.open("w", newline="", encoding="utf-8") as file:
        rows = csv.writer(file)
        rows.writerow(("Structure", "Name", "Contract", "Superstructure", "Length (ft)", "Width (out to out)", "Spans"))
        for number in range(6):
            kind = "rolled steel beam" if number % 2 else f"odd type {SCRIPT}"
            rows.writerow(
                (f"Y-{number} {IMAGE}", f"{COLOR} {_MORE[number]}", contract(number), kind, 50 + 4 * number,
                 "28'-0\"", 1)
            )  # fmt: skip
    return path


def _program(path: Path) -> Path:
    with path.open("w", newline="", encoding="utf-8") as file:
        rows = csv.writer(file)
        rows.writerow(("Priority", "Structure", "Name", "Planned superstructure", "Length (ft)", "Width (out to out)",
                       "Spans", "Planned letting"))  # fmt: skip
        for number in range(2):
            rows.writerow(
                (number + 1, f"Y-{number} {IMAGE}", f"{SCRIPT} {STEERING}", "rolled steel beam", 60, "28'-0\"", 1,
                 "2022Q2")
            )  # fmt: skip
    return path


def _letter(path: Path) -> Path:
    path.write_text(
        f"supplier = '''{SCRIPT} {IMAGE} {COLOR} {TURNED}'''\ndate = 2020-02-10\n"
        'superstructure = "rolled steel beam"\n'
        'length = "62 ft"\nwidth = "28 ft"\nspans = 1\nprice_usd = 150_000\n'
        'scope = ["furnish", "deliver", "set", "bearings"]\n',
        encoding="utf-8",
    )
    return path

"""Files whose every text tries to come to life on a page: Markdown, HTML, script, formula, icon, direction, length."""

from __future__ import annotations

import csv
from pathlib import Path

IMAGE = "![x](http://outside.invalid/a.png)"
SCRIPT = "<script>document.title='taken'</script><img src=http://outside.invalid/b.png onerror=alert(1)>"
COLOR = ":red[**Bold**] :material/home: :smile: $x^2$ [link](http://outside.invalid)"
FORMULA = '=HYPERLINK("http://outside.invalid","x")'
TURNED = "abc\u202egnp.exe 🌉"
LONG = "Very-long-" * 60

HOSTILE = (IMAGE, SCRIPT, COLOR, FORMULA, TURNED)
_ITEMS = (
    (IMAGE + " steel beams furnish and erect", "LS", 1, 90_000),
    ("Concrete, bridge deck " + SCRIPT, "CY", 60, 620),
)
_HEAD = ("Contract", "Schedule", "Line", "Item Code", "Description", "Quantity", "Unit", "Bidder", "Rank", "Unit Price",
         "Extension")  # fmt: skip


def write_files(folder: Path) -> list[Path]:
    """A bid tab of six contracts, the structures they paid for, and a letter; the numbers are ordinary."""
    return [_structures(folder / "structures.csv"), *_bid_tabs(folder), _letter(folder / "letter.toml")]


def _contract(number: int) -> str:
    return f"X-{number} {HOSTILE[number % len(HOSTILE)]}"


def _bid_tabs(folder: Path) -> list[Path]:
    paths = []
    for number in range(6):
        path = folder / f"letting_20{14 + number}-05-0{number + 1}.csv"
        with path.open("w", newline="", encoding="utf-8") as file:
            rows = csv.writer(file)
            rows.writerow(_HEAD)
            for rank, bidder in enumerate((SCRIPT + " Bros.", COLOR + LONG), start=1):
                for line, (text, unit, quantity, price) in enumerate(_ITEMS, start=1):
                    asked = price * (1 + 0.05 * number + 0.03 * rank)
                    rows.writerow(
                        (_contract(number), "1", line, FORMULA, text, quantity, unit, bidder, rank, f"{asked:.2f}",
                         f"{asked * quantity:.2f}")
                    )  # fmt: skip
        paths.append(path)
    return paths


def _structures(path: Path) -> Path:
    with path.open("w", newline="", encoding="utf-8") as file:
        rows = csv.writer(file)
        rows.writerow(("Structure", "Name", "Contract", "Superstructure", "Length (ft)", "Width (out to out)", "Spans"))
        for number in range(6):
            kind = "rolled steel beam" if number % 2 else f"odd type {SCRIPT}"
            rows.writerow((f"Y-{number} {IMAGE}", COLOR, _contract(number), kind, 50 + 4 * number, "28'-0\"", 1))
    return path


def _letter(path: Path) -> Path:
    path.write_text(
        f"supplier = '''{SCRIPT} {IMAGE} {COLOR}'''\ndate = 2020-02-10\nsuperstructure = \"rolled steel beam\"\n"
        'length = "62 ft"\nwidth = "28 ft"\nspans = 1\nprice_usd = 150_000\n'
        'scope = ["furnish", "deliver", "set", "bearings"]\n',
        encoding="utf-8",
    )
    return path

"""What leaves the program on a record whose every name tries to come to life: terminal, JSON, pages, workbooks, CSV."""

from __future__ import annotations

import csv
import json
import re
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from bidlens import cli, workflow
from tests.dashboard import hostile, judged

PAGE = {
    *("html", "head", "meta", "title", "style", "body", "main", "header", "footer", "section", "figure", "figcaption"),
    *("article", "colgroup", "col", "caption", "h4", "strong", "em", "sup", "sub", "dl", "dt", "dd", "time", "desc"),
    *("tspan", "defs", "pattern", "clippath", "use", "polygon", "polyline"),
}
Run = Callable[..., tuple[str, str]]


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("hostile")
    with workflow.open_database(folder / "record.duckdb") as db:
        db.import_files(hostile.write_files(folder))
    return folder / "record.duckdb"


@pytest.fixture
def run(record: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    def call(*arguments: object) -> tuple[str, str]:
        assert cli.main([*(str(one) for one in arguments), "--db", str(record)]) in (0, 1)
        out, err = capsys.readouterr()
        return out, err

    return call


def arguments(command: str, record: Path) -> list[str]:
    """The words of a command, files and the contract by their full names."""
    full = {"X-1": hostile.contract(1)}
    files = (".toml", ".csv")
    return [str(record.parent / one) if one.endswith(files) else full.get(one, one) for one in command.split()]


@pytest.mark.parametrize(
    "command",
    [
        *("imports", "history", "names", "corrections", "mappings", "review 2016", "offers", "forecasts"),
        *("compare X-1", "check letter.toml", "import letting_2014-05-01.csv", "history --type nonsense"),
        "forecast program_2022.csv --year 2022 --runs 200",
    ],
)  # fmt: skip
def test_a_command_steers_no_terminal_and_its_json_is_whole(command: str, run: Run, record: Path) -> None:
    parts = arguments(command, record)
    shown = "".join(run(*parts))
    assert shown.strip()
    assert not [sign for sign in hostile.UNSEEN if sign in shown]
    assert "\r" not in shown
    out, _ = run(*parts, "--format", "json")
    assert not out or json.loads(out)


def test_a_file_named_to_steer_the_terminal_is_told_of_in_plain_text(run: Run, tmp_path: Path) -> None:
    path = tmp_path / f"{hostile.STEERING.replace('/', '')}{hostile.TURNED}.csv"
    path.write_text("a;b\n1;2\n", encoding="utf-8")
    shown = "".join([*run("import", path), *run("import", tmp_path / "\x1b[31mmissing.csv"), *run("check", path)])
    assert not [sign for sign in hostile.UNSEEN if sign in shown]


@pytest.mark.parametrize(
    "command",
    ["check letter.toml", "review 2016", "forecast program_2022.csv --year 2022 --runs 200", "compare X-1"],
)
def test_a_report_is_text_alone(command: str, run: Run, record: Path, tmp_path: Path) -> None:
    parts = arguments(command, record)
    for ending in ("html", "xlsx"):
        path = tmp_path / f"report.{ending}"
        said = run(*parts, "--report", path)
        assert path.exists(), said
        if ending == "html":
            assert page_faults(path.read_text(encoding="utf-8")) == []
        else:
            assert workbook_faults(path) == []


def page_faults(page: str) -> list[str]:
    """Markup of a printed page that is not ours; a style sheet of ours stands at its head."""
    body = re.sub(r"<style>.*?</style>", "", page, count=1, flags=re.DOTALL)
    known = {f"<{tag}>" for tag in PAGE}
    ours = re.compile(r"<(meta|html) (charset|name|content|lang|dir)>|<svg (preserveaspectratio|data-\w+)>")
    return [fault for fault in judged.html_faults(body) if fault not in known and not ours.fullmatch(fault)]


def workbook_faults(path: Path) -> list[str]:
    """Formulas and links of a workbook. ECMA-376 part 1, 18.3.1.40 (f) and 18.3.1.47 (hyperlink)."""
    faults = []
    with zipfile.ZipFile(path) as book:
        for name in book.namelist():
            text = book.read(name).decode("utf-8", "replace")
            if re.search(r"<f[ >/]|<hyperlink|externalLink", text):
                faults.append(name)
    return faults


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_the_history_as_a_file_holds_no_formula(ending: str, run: Run, tmp_path: Path) -> None:
    path = tmp_path / f"history.{ending}"
    run("history", "--out", path)
    if ending == "xlsx":
        assert workbook_faults(path) == []
    else:
        assert formulas(path) == []


def test_exported_tables_hold_no_formula(run: Run, tmp_path: Path) -> None:
    run("export", tmp_path / "out", "--csv")
    files = list((tmp_path / "out").glob("*.csv"))
    assert files
    assert [found for file in files for found in formulas(file)] == []


def formulas(path: Path) -> list[str]:
    """Cells of a CSV that a spreadsheet program takes for formulas; a number is none."""
    with path.open(encoding="utf-8", newline="") as file:
        cells = [cell for row in csv.reader(file) for cell in row]
    return [cell for cell in cells if re.match(r"[=+\-@\t\r]", cell) and not re.fullmatch(r"-?[\d.]+(e-?\d+)?", cell)]

"""Every page, part and form on a record whose every name tries to come to life: all of it stands there as text."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from bidlens import workflow
from bidlens.figures.marks import keys_of, parted
from tests.dashboard import hostile, judged
from tests.dashboard.pages import EVERY, html_of, opened

PARTS = ("set-aside", "imports", "structures", "categories", "names", "index", "settings")
NAMES = ("contract", "letting", "structure")


@pytest.fixture(scope="module")
def keys(hostile_record: Path) -> list[str]:
    with workflow.open_database(hostile_record) as db:
        return keys_of(db.unit_cost_history())


def address(key: str) -> dict[str, str]:
    return dict(zip(NAMES, parted(key) or ("", "", ""), strict=True))


@pytest.mark.parametrize("page", EVERY)
def test_a_page(page: str, hostile_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert judged.faults(opened(hostile_record, monkeypatch, page)) == []


@pytest.mark.parametrize("part", PARTS)
def test_a_part_of_the_record(part: str, hostile_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert judged.faults(opened(hostile_record, monkeypatch, "records", part=part)) == []


@pytest.mark.parametrize("page", ["proposal_check", "unit_cost_history"])
def test_the_papers_down_to_the_row_as_read(
    page: str, hostile_record: Path, monkeypatch: pytest.MonkeyPatch, keys: list[str]
) -> None:
    app = opened(hostile_record, monkeypatch, page, **address(keys[1]))
    shown = html_of(app)
    assert "bl-read" in shown
    assert "&lt;script&gt;" in shown
    assert judged.faults(app) == []


@pytest.mark.parametrize(
    "names", ["contract", "letting structure line", "part proposal against year", "types agency", "basis", "index"]
)
def test_an_address_that_is_hostile_itself(
    names: str, hostile_record: Path, monkeypatch: pytest.MonkeyPatch, keys: list[str]
) -> None:
    taken = dict.fromkeys(names.split(), f"{hostile.SCRIPT}{hostile.IMAGE}\x1b")
    app = opened(hostile_record, monkeypatch, **{**address(keys[0]), **taken})
    assert judged.faults(app) == []


def test_the_repair_form_with_each_doubt_opened(hostile_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(hostile_record, monkeypatch, "records")
    for number in range(len(app.selectbox(key="doubt").options)):
        app.selectbox(key="doubt").set_value(number).run()
        assert judged.faults(app) == []


def test_a_decision_on_a_hostile_item(hostile_record: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    own = Path(shutil.copy(hostile_record, tmp_path / "own.duckdb"))
    app = opened(own, monkeypatch, "records", part="categories")
    app.selectbox(key="item_to_place").set_value(0)
    app.selectbox(key="category_chosen").set_value("utilities").run()
    assert judged.faults(app) == []
    app.text_input(key="reason_given").set_value(f"{hostile.SCRIPT} {hostile.IMAGE}")
    app.button(key="place_it").click().run()
    assert judged.faults(app) == []
    app.selectbox(key="placed_item").set_value(0).run()
    assert judged.faults(app) == []


def test_an_import_taken_back(hostile_record: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    own = Path(shutil.copy(hostile_record, tmp_path / "own.duckdb"))
    app = opened(own, monkeypatch, "records", part="imports")
    app.selectbox(key="undo_batch").set_value(9).run()
    assert judged.faults(app) == []
    app.button(key="undo_yes").click().run()
    assert "was taken back" in html_of(app)
    assert judged.faults(app) == []


def test_hostile_uploads_seen_before_they_come_in_and_after(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "files"
    folder.mkdir()
    app = opened(tmp_path / "own.duckdb", monkeypatch, "records")
    files = [(path.name, path.read_bytes(), "text/csv") for path in hostile.write_files(folder)]
    broken = (f"{hostile.IMAGE} <b>broken.csv".replace("/", "_"), b"a;b\n1;2\n", "text/csv")
    app.get("file_uploader")[0].set_value([*files, broken]).run()
    _each_looked_at(app, len(files))
    app.button(key="import_files").click().run()
    assert "What came in" in html_of(app)
    assert judged.faults(app) == []


def _each_looked_at(app: AppTest, files: int) -> None:
    assert judged.faults(app) == []
    for number in range(1, files + 1):
        app.selectbox(key="look_at").set_value(number).run()
        assert judged.faults(app) == []


def test_the_judge_sees_what_would_act() -> None:
    assert judged.html_faults(f"<p>{hostile.SCRIPT}</p>") == ["<script>", "<img>", "<img src>", "<img onerror>"]
    assert judged.html_faults(f"<p>{hostile.LINK}</p>")
    assert judged.html_faults('<a href="?x=1" target="_self">y</a>') == []
    assert judged.figure_faults('{"a": ["<b>x</b><br>", "&lt;script&gt;"]}') == []
    assert judged.figure_faults('{"a": ["<a href=x>"]}')

"""Before a file comes in: what was recognised, a choice for each column, the effect, and the mapping kept."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from bidlens import workflow
from tests.dashboard import hostile
from tests.dashboard.pages import STOPPED, html_of, opened

TAB = """Ctr,Nr,Wrd,Qn,Wer,Prc
B-1,1,Steel beams,1000,Heron Co,2.5
B-1,1,Steel beams,1000,Wren Co,2.75
B-1,2,Deck concrete,40,Heron Co,900
B-1,2,Deck concrete,40,Wren Co,850
"""
CHOICES = {"A": "contract", "B": "line", "C": "description", "D": "quantity", "E": "bidder", "F": "unit_price"}


def uploaded(app: AppTest, *files: tuple[str, bytes, str]) -> AppTest:
    app.get("file_uploader")[0].set_value(list(files)).run()
    assert not app.exception
    return app


def choose(app: AppTest, letter: str, field: str) -> None:
    box = next(box for box in app.selectbox if box.key and box.key.endswith(f"_{letter}") and "column_" in box.key)
    box.set_value(field).run()


def test_columns_chosen_bring_a_file_in_and_are_kept_for_the_next_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = tmp_path / "record.duckdb"
    app = uploaded(opened(record, monkeypatch, "records"), ("spring.csv", TAB.encode(), "text/csv"))
    shown = html_of(app)
    assert "What was recognised" in shown
    assert "Not sure" in shown
    assert "It would not come in." in shown
    assert app.button(key="import_files").disabled
    for letter, field in CHOICES.items():
        choose(app, letter, field)
    assert "no letting date" in html_of(app)
    app.date_input[0].set_value(dt.date(2031, 4, 8)).run()
    shown = html_of(app)
    assert STOPPED not in shown
    assert "First rows, as they would come in" in shown
    assert "Wren Co" in shown
    assert not record.exists()
    name = next(box for box in app.text_input if box.key and box.key.startswith("name_"))
    name.set_value("Larkmoor <b>roads</b>").run()
    app.button(key="import_files").click().run()
    assert not app.exception
    with workflow.open_database(record) as db:
        assert db.lettings()["contract_id"].tolist() == ["B-1"]
        assert db.mappings()["name"].tolist() == ["Larkmoor <b>roads</b>"]
    later = TAB.replace("B-1", "B-2").encode()
    app = uploaded(
        opened(record, monkeypatch, "records", part="imports"), ("letting_2031-09-10.csv", later, "text/csv")
    )
    shown = html_of(app)
    assert STOPPED not in shown
    assert "Larkmoor &lt;b&gt;roads&lt;/b&gt;" in shown
    assert not app.button(key="import_files").disabled


def test_another_row_can_be_taken_for_the_headings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = "one,two,three,four,five,six\n" + TAB
    app = uploaded(opened(tmp_path / "r.duckdb", monkeypatch, "records"), ("spring.csv", text.encode(), "text/csv"))
    row = next(box for box in app.number_input if box.key and box.key.startswith("row_"))
    assert row.value == 1
    row.set_value(2).run()
    assert not app.exception
    assert "Wrd" in html_of(app)
    for letter, field in CHOICES.items():
        choose(app, letter, field)
    app.date_input[0].set_value(dt.date(2031, 4, 8)).run()
    assert STOPPED not in html_of(app)


def test_a_file_that_is_recognised_needs_no_choice(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    bid_tab = workflow.sample_files()[1]
    app = opened(tmp_path / "r.duckdb", monkeypatch, "records")
    uploaded(app, (bid_tab.name, bid_tab.read_bytes(), "text/csv"))
    assert STOPPED not in html_of(app)
    assert not [box for box in app.text_input if box.key and box.key.startswith("name_")]
    assert not app.button(key="import_files").disabled


def test_hostile_headings_stay_text(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    heads = [hostile.IMAGE, hostile.SCRIPT, hostile.COLOR, hostile.FORMULA, hostile.TURNED, "x"]
    cells = [head.replace(",", ";").replace('"', "'") for head in heads]
    text = ",".join(cells) + "\n" + "\n".join(",".join([*cells[1:], "1"]) for _ in range(3)) + "\n"
    app = uploaded(opened(tmp_path / "r.duckdb", monkeypatch, "records"), ("odd.csv", text.encode(), "text/csv"))
    shown = html_of(app)
    assert "<script" not in shown
    assert "<img" not in shown
    labels = [element.label for kind in (app.button, app.selectbox, app.expander) for element in kind]
    assert not any("outside.invalid" in label for label in labels)
    assert not any("outside.invalid" in text.value for text in app.markdown)


def test_a_mapping_uploaded_along_is_heeded_and_one_that_cannot_be_read_stops_in_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = [
        f'{field} = "{heading}"' for field, heading in zip(CHOICES.values(), TAB.split()[0].split(","), strict=True)
    ]
    told = "\n".join(["letting_date = 2031-04-08", "[columns]", *lines]).encode()
    tab = ("spring.csv", TAB.encode(), "text/csv")
    app = opened(tmp_path / "r.duckdb", monkeypatch, "records")
    uploaded(app, tab, ("spring.columns.toml", told, "text/plain"))
    assert STOPPED not in html_of(app)
    app = opened(tmp_path / "r.duckdb", monkeypatch, "records")
    uploaded(app, tab, ("spring.columns.toml", b"\xff\xfe\x00", "text/plain"))
    assert "not UTF-8" in html_of(app)
    app = opened(tmp_path / "r.duckdb", monkeypatch, "records")
    uploaded(app, tab, ("spring.columns.toml", told.replace(b"quantity", b"quantty"), "text/plain"))
    assert "Did you mean quantity?" in html_of(app)

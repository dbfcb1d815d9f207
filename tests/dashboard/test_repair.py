"""The parts of the Records page that mend: names, one button a row; text of files is shown and never marked up."""

from __future__ import annotations

from pathlib import Path

import pytest

from bidlens import workflow
from tests.dashboard.hostile import COLOR, LONG, SCRIPT
from tests.dashboard.pages import STOPPED, html_of, opened

Patch = pytest.MonkeyPatch


def test_a_spelling_is_confirmed_by_one_button_and_taken_back_by_another(own_record: Path, monkeypatch: Patch) -> None:
    with workflow.open_database(own_record) as db:
        first = db.bidder_suggestions().iloc[0]
    app = opened(own_record, monkeypatch, "records", part="names")
    app.text_input(key="name_reason").set_value("one licence number").run()
    app.button(key="confirm_0").click().run()
    assert not app.exception
    assert STOPPED not in html_of(app)
    assert "is shown and counted as" in html_of(app)
    with workflow.open_database(own_record) as db:
        [kept] = db.bidder_aliases().to_dict("records")
    assert (kept["spelling"], kept["bidder"], kept["reason"]) == (
        first["spelling"], first["bidder"], "one licence number",
    )  # fmt: skip
    app.button(key="forget_0").click().run()
    assert "stands for itself again" in html_of(app)
    with workflow.open_database(own_record) as db:
        assert db.bidder_aliases().empty


def test_a_spelling_without_a_reason_is_not_confirmed(own_record: Path, monkeypatch: Patch) -> None:
    app = opened(own_record, monkeypatch, "records", part="names")
    app.text_input(key="name_reason").set_value("  ").run()
    app.button(key="confirm_0").click().run()
    assert STOPPED in html_of(app)
    with workflow.open_database(own_record) as db:
        assert db.bidder_aliases().empty


def test_hostile_names_are_plain_text(tmp_path: Path, monkeypatch: Patch, hostile_record: Path) -> None:
    copy = tmp_path / "record.duckdb"
    copy.write_bytes(hostile_record.read_bytes())
    with workflow.open_database(copy) as db:
        spellings = db.bidders()["bidder"].tolist()
        assert any(SCRIPT in name for name in spellings)
        assert any(COLOR in name and LONG in name for name in spellings)
        db.confirm_name(spellings[0], spellings[1], f"same firm {SCRIPT}")
    app = opened(copy, monkeypatch, "records", part="names")
    assert not app.exception
    shown = html_of(app)
    assert "<script" not in shown
    assert "<img" not in shown
    assert "kept apart" in shown


def test_a_missing_price_is_typed_in_and_taken_back(own_record: Path, monkeypatch: Patch) -> None:
    app = opened(own_record, monkeypatch, "records")
    app.selectbox(key="missing_price").set_value(0)
    app.text_input(key="price_typed").set_value("1,250.00").run()
    assert "nothing is stored before" in html_of(app)
    assert "responsive, was irregular" in html_of(app)
    with workflow.open_database(own_record) as db:
        assert db.corrections().empty
    app.text_input(key="price_reason").set_value("page 3")
    next(button for button in app.button if button.label == "Type it in").click().run()
    assert not app.exception
    assert STOPPED not in html_of(app)
    assert "is responsive, total $" in html_of(app)
    app.selectbox(key="typed_price").set_value(0).run()
    app.button(key="price_back").click().run()
    assert "is irregular, not ranked" in html_of(app)
    with workflow.open_database(own_record) as db:
        assert db.corrections().empty


def test_a_finding_is_opened_accepted_with_a_reason_and_opened_again(own_record: Path, monkeypatch: Patch) -> None:
    app = opened(own_record, monkeypatch, "records")
    app.selectbox(key="doubt").set_value(0).run()
    assert "bl-read" in html_of(app)
    app.text_input(key="accept_reason").set_value("known to the county")
    next(button for button in app.button if button.label == "Accept").click().run()
    assert "not counted as open any more" in html_of(app)
    app.selectbox(key="accepted_one").set_value(0).run()
    app.button(key="reopen").click().run()
    with workflow.open_database(own_record) as db:
        assert db.acceptances().empty


def test_pay_items_are_counted_as_one_by_one_button_and_taken_back_by_another(
    own_record: Path, monkeypatch: Patch
) -> None:
    with workflow.open_database(own_record) as db:
        first = db.pay_item_suggestions().iloc[0]
    app = opened(own_record, monkeypatch, "records", part="names")
    app.text_input(key="item_reason").set_value("one line of the specification").run()
    app.button(key="same_item_0").click().run()
    assert not app.exception
    shown = html_of(app)
    assert STOPPED not in shown
    assert "is counted as" in shown
    assert "Pay items counted as one" in shown
    with workflow.open_database(own_record) as db:
        [kept] = db.item_aliases().to_dict("records")
    assert (kept["description"], kept["same_as"], kept["pay_unit"], kept["reason"]) == (
        first["description"], first["other"], first["pay_unit"], "one line of the specification",
    )  # fmt: skip
    app.button(key="forget_item_0").click().run()
    assert not app.exception
    assert "stands for itself again" in html_of(app)
    with workflow.open_database(own_record) as db:
        assert db.item_aliases().empty


def test_pay_items_without_a_reason_are_not_counted_as_one(own_record: Path, monkeypatch: Patch) -> None:
    app = opened(own_record, monkeypatch, "records", part="names")
    app.text_input(key="item_reason").set_value(" ").run()
    app.button(key="same_item_0").click().run()
    assert STOPPED in html_of(app)
    with workflow.open_database(own_record) as db:
        assert db.item_aliases().empty

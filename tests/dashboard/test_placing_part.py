"""On the page: what placing an item would move stands there before it is placed; what was placed can be taken back."""

from __future__ import annotations

from pathlib import Path

import pytest

from bidlens import workflow
from tests.dashboard.pages import html_of, opened


def test_the_effect_is_shown_before_anything_is_stored(own_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(own_record, monkeypatch, "records", part="categories")
    box = app.selectbox(key="item_to_place")
    deck = next(number for number, text in enumerate(box.options) if "Superstructure concrete, deck" in text)
    box.set_value(deck)
    app.selectbox(key="category_chosen").set_value("utilities").run()
    assert not app.exception
    shown = html_of(app)
    assert "would move" in shown
    assert "of low bids" in shown
    assert "Nothing is stored yet." in shown
    assert "superstructure, in place" in shown
    with workflow.open_database(own_record) as db:
        assert db.overrides().empty


def test_a_decision_is_listed_and_taken_back(own_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with workflow.open_database(own_record) as db:
        db.place_item("C-521", "Superstructure concrete, deck", "CY", "utilities", "as an example")
    app = opened(own_record, monkeypatch, "records", part="categories")
    assert "as an example" in html_of(app)
    app.selectbox(key="placed_item").set_value(0).run()
    assert "would move" in html_of(app)
    app.button(key="placed_back").click().run()
    assert not app.exception
    assert "is placed by the rules again" in html_of(app)
    with workflow.open_database(own_record) as db:
        assert db.overrides().empty

"""On the page: a bridge is linked to a contract with what was built, listed, and taken back. The county is invented."""

from __future__ import annotations

from pathlib import Path

import pytest

from bidlens import workflow
from tests.dashboard.pages import STOPPED, html_of, opened

Patch = pytest.MonkeyPatch
CULVERT = "B-2102"  # the one contract of the sample county with bridge work and no bridge


def test_a_bridge_is_linked_with_what_was_built_and_taken_back(own_record: Path, monkeypatch: Patch) -> None:
    with workflow.open_database(own_record) as db:
        old = db.structures().query("contract_id == '' and year_built < 1980")["structure_id"].iloc[0]
    app = opened(own_record, monkeypatch, "records", part="structures")
    assert CULVERT in html_of(app)
    let = next(one for one in app.selectbox(key="link_contract").options if one.startswith(CULVERT))
    app.selectbox(key="link_contract").select(let)
    app.selectbox(key="link_structure").select(old)
    app.text_input(key="link_reason").set_value("plans, sheet 2")
    app.button(key="link_it").click().run()
    assert not app.exception
    assert STOPPED in html_of(app)
    assert "a bridge that was replaced does not price the new one" in html_of(app)
    app.text_input(key="link_type").set_value("rolled steel beam")
    app.text_input(key="link_length").set_value("30 ft")
    app.text_input(key="link_width").set_value("28'-0\"")
    app.button(key="link_it").click().run()
    assert not app.exception
    shown = html_of(app)
    assert STOPPED not in shown
    assert "by hand; its price per square foot says so" in shown
    assert "Every contract with bridge work in its low bid has a bridge." in shown
    with workflow.open_database(own_record) as db:
        [said] = db.structure_links().to_dict("records")
        assert (said["structure_id"], said["length_ft"], said["width_ft"]) == (old, 30.0, 28.0)
    app.button(key="link_back_0").click().run()
    assert "is taken back" in html_of(app)
    with workflow.open_database(own_record) as db:
        assert db.structure_links().empty


def test_a_link_of_a_file_is_unlinked_only_with_a_reason(own_record: Path, monkeypatch: Patch) -> None:
    app = opened(own_record, monkeypatch, "records", part="structures")
    app.selectbox(key="unlink_pair").set_value(0)
    app.button(key="unlink_it").click().run()
    assert "The reason is empty" in html_of(app)
    app.text_input(key="unlink_reason").set_value("deck repair only")
    app.button(key="unlink_it").click().run()
    assert not app.exception
    assert "is not linked to contract" in html_of(app)
    with workflow.open_database(own_record) as db:
        assert db.structure_links()["linked"].tolist() == [False]

"""The end of the Proposal check page: what became of a letter, letters over time, and contracts left out."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from bidlens import workflow
from tests.dashboard.pages import STOPPED, charts, html_of, opened

HARRIER = "Harrier Steel Works / K-117 / 2026-02-10"


def kept_outcome(app: AppTest, outcome: str, reason: str, contract: str | None = None) -> AppTest:
    app.selectbox(key="outcome_is").set_value(outcome)
    app.text_input(key="outcome_reason").set_value(reason)
    if contract:
        options = app.selectbox(key="outcome_contract").options
        chosen = next(one for one in options if one.startswith(contract))
        app.selectbox(key="outcome_contract").set_value(chosen)
    next(one for one in app.button if one.label == "Keep the outcome").click()
    return app.run()


def test_an_outcome_is_kept_shown_with_what_was_paid_and_taken_back(
    own_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(own_record, monkeypatch)
    assert "no outcome is on record" in html_of(app)
    app = kept_outcome(app, "let_instead", "the board asked for bids", "B-2405")
    shown = html_of(app)
    assert "Let instead, contract B-2405" in shown
    assert "the board asked for bids" in shown
    assert "Bid: letting_2024-11-13.csv, row" in shown
    with workflow.open_database(own_record) as db:
        assert db.proposal_outcomes()[["proposal_id", "contract_id"]].to_numpy().tolist() == [[HARRIER, "B-2405"]]
    # Another letter's form starts empty, and the first letter's comes back filled.
    app.query_params["proposal"] = "Gadwall Precast Co. / K-117 / 2026-02-17"
    assert app.run().text_input(key="outcome_reason").value == ""
    app.query_params["proposal"] = HARRIER
    assert app.run().text_input(key="outcome_reason").value == "the board asked for bids"
    app.button(key="outcome_back").click()
    assert "no outcome is on record" in html_of(app.run())


def test_an_outcome_without_a_reason_is_not_kept(own_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shown = html_of(kept_outcome(opened(own_record, monkeypatch), "declined", " "))
    assert STOPPED in shown
    assert "The reason is empty" in shown
    assert "no outcome is on record" in shown


def test_letters_over_time_say_n_and_conclude_nothing_from_one(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch)
    assert charts(app) == 3
    app.toggle(key="letters").set_value(True).run()
    assert app.query_params["letters"] == "all"
    shown = html_of(app)
    assert "Against lettings before it" in shown
    assert "Against all lettings" in shown
    assert "n = 1, too few to say anything of the supplier" in shown
    assert charts(app) == 4


def test_a_contract_is_left_out_with_a_reason_and_put_back(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch)
    before = html_of(app)
    app.selectbox(key="leave_out").set_value("B-1304")
    next(one for one in app.button if one.label == "Leave it out of this check").click()
    app.run()
    assert "give the reason" in html_of(app)
    app.selectbox(key="leave_out").set_value("B-1304")
    app.text_input(key="leave_out_reason").set_value("flood repair")
    next(one for one in app.button if one.label == "Leave it out of this check").click()
    app.run()
    without = html_of(app)
    assert "Left out by you: B-1304 (flood repair). The middle goes from $" in without
    assert "18 of this type" in without  # the sample county has 19 rolled steel beam contracts on this basis
    assert "19 of this type" in before
    # Another letter of the same session is judged by the same lettings.
    app.query_params["proposal"] = "Gadwall Precast Co. / K-117 / 2026-02-17"
    assert "Left out by you: B-1304 (flood repair)" in html_of(app.run())
    app.button(key="put_back_B-1304").click()
    assert "Left out by you" not in html_of(app.run())


def test_own_costs_typed_into_the_form_are_steps_of_the_offer(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch)
    app.button(key="type_one_in").click().run()
    fields = {field.label: field for field in app.text_input}
    for name, text in (("Price, dollars", "173,600"), ("Length", "62 ft"), ("Out-to-out width", "28 ft")):
        fields[name].set_value(text)
    next(box for box in app.selectbox if box.label == "Superstructure offered").set_value("rolled steel beam")
    app.text_input(key="own_forces").set_value("17,360")
    app.selectbox(key="own_part_0").set_value("deck")
    app.text_input(key="own_usd_0").set_value("52,080")
    next(button for button in app.button if button.label == "Check this letter").click().run()
    assert not app.exception
    _, _, steps, *_ = (json.loads(chart.proto.spec) for chart in app.get("plotly_chart"))
    drawn = json.dumps(steps)
    # 17,360 and 52,080 dollars over 62 x 28 = 1,736 sf
    for words in ("Own forces", "+$10.0", "your own figure, $52,080", "+$30.0"):
        assert words in drawn

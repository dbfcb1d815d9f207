"""Every page on the sample county, on nothing, and on hostile files, run in Streamlit's own test harness."""

from __future__ import annotations

from pathlib import Path

import pytest

from bidlens import workflow
from bidlens.figures.marks import keys_of
from tests.dashboard.pages import EVERY, STOPPED, charts, html_of, opened

TRAIL = 'class="bl-trail"'


@pytest.mark.parametrize(
    ("page", "question", "drawn"),
    [
        ("proposal_check", "Is this price usual?", 3),
        ("unit_cost_history", "What have we paid?", 1),
        ("letting_review", "How did our 2025 lettings go?", 3),
        ("program_forecast", "What will the 2027 list cost, and does it fit?", 5),
        ("records", "What is in the record, and what was left out?", 0),
        ("how_it_works", "Can I rely on it?", 1),
    ],
)
def test_a_page_answers_first_draws_then_cautions(
    page: str, question: str, drawn: int, sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch, page)
    assert not app.exception
    shown = html_of(app)
    assert STOPPED not in shown
    assert shown.index(question) < shown.index("bl-answer") < shown.index("bl-block") < shown.index("bl-caution")
    assert charts(app) == drawn


@pytest.mark.parametrize("page", EVERY)
def test_an_empty_record_says_what_makes_a_start(page: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(tmp_path / "none.duckdb", monkeypatch, page)
    assert not app.exception
    assert "<b>No bid tabs yet,</b>" in html_of(app)
    assert "Look around the sample county" in [button.label for button in app.button]
    assert not (tmp_path / "none.duckdb").exists()


def test_a_contract_in_the_url_opens_its_papers_and_they_add_up(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with workflow.open_database(sample_record) as db:
        row = db.unit_cost_history().iloc[10]
    key = f"{row.contract_id}|{row.letting_date:%Y-%m-%d}|{row.structure_id}"
    shown = html_of(opened(sample_record, monkeypatch, contract=key))
    assert f"The papers behind {row.contract_id}" in shown
    assert row.source_file in shown
    assert f"{row.unit_cost:.2f}/sf" in shown


def test_a_contract_picked_by_keyboard_is_written_into_the_url(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch)
    app.selectbox(key="papers_of").set_value(_first_key(sample_record)).run()
    named = [app.query_params[name] for name in ("contract", "letting", "structure")]
    assert "|".join(named) == _first_key(sample_record)
    assert TRAIL in html_of(app)


def _first_key(record: Path) -> str:
    with workflow.open_database(record) as db:
        return keys_of(db.unit_cost_history())[0]


def test_changing_the_basis_changes_the_url_and_the_answer(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch)
    before = html_of(app)
    app.selectbox(key="basis").set_value("beams").run()
    assert not app.exception
    assert app.query_params["basis"] == "beams"
    assert html_of(app) != before
    assert "beams, in place" in html_of(app)


@pytest.mark.parametrize(("name", "value"), [("basis", "nonsense"), ("dollars_of", "soon"), ("dollars_of", "1890Q1")])
def test_a_wrong_word_in_the_url_stops_in_words(
    name: str, value: str, sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch, **{name: value})
    assert not app.exception
    assert STOPPED in html_of(app)
    assert "<b>Stopped.</b>" in html_of(app)


def test_an_offer_of_a_type_never_let_is_not_judged(sample_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with workflow.open_database(sample_record) as db:
        tub = next(offer for offer in db.proposals() if offer.superstructure == "steel tub girder")
    app = opened(sample_record, monkeypatch, proposal=tub.proposal_id)
    assert "<b>Not enough history to say.</b>" in html_of(app)
    assert charts(app) == 2  # no strip at all, not a faded one


def test_a_letter_typed_in_is_checked(sample_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(sample_record, monkeypatch)
    app.button(key="type_one_in").click().run()
    fields = {field.label: field for field in app.text_input}
    fields["Supplier"].set_value("Ouzel Precast")
    fields["Price, dollars"].set_value("180,000")
    fields["Length"].set_value("62 ft")
    fields["Out-to-out width"].set_value("28'-0\"")
    next(box for box in app.selectbox if box.label == "Superstructure offered").set_value("rolled steel beam")
    next(button for button in app.button if button.label == "Check this letter").click().run()
    assert not app.exception
    shown = html_of(app)
    assert "Ouzel Precast’s offer" in shown
    assert "typed in and is not on record" in shown


def test_a_letter_that_cannot_be_read_keeps_the_form_open(sample_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(sample_record, monkeypatch)
    app.button(key="type_one_in").click().run()
    next(button for button in app.button if button.label == "Check this letter").click().run()
    assert not app.exception
    assert "superstructure offered is missing" in html_of(app)
    assert "Check this letter" in [button.label for button in app.button]


def test_an_uploaded_letter_is_checked_and_not_stored(sample_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(sample_record, monkeypatch)
    letter = workflow.lead_sample_proposal().read_bytes()
    app.get("file_uploader")[0].set_value(("mine.toml", letter, "text/plain")).run()
    assert not app.exception
    assert "was uploaded and is not on record" in html_of(app)


def test_an_upload_that_is_no_letter_stops_in_words(sample_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(sample_record, monkeypatch)
    app.get("file_uploader")[0].set_value(("mine.toml", b"supplier = [", "text/plain")).run()
    assert not app.exception
    assert "<b>Stopped.</b>" in html_of(app)
    assert "mine.toml" in html_of(app)


@pytest.mark.parametrize("part", ["set-aside", "imports", "structures", "categories", "index"])
def test_each_part_of_the_record_opens_by_its_address(
    part: str, sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch, "records", part=part)
    assert not app.exception
    assert STOPPED not in html_of(app)


def test_files_are_imported_with_a_table_of_what_came_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    record = tmp_path / "own.duckdb"
    app = opened(record, monkeypatch, "records")
    bid_tab = workflow.sample_files()[1]
    files = [(bid_tab.name, bid_tab.read_bytes(), "text/csv"), ("broken.csv", b"a;b\n1;2\n", "text/csv")]
    app.get("file_uploader")[0].set_value(files).run()
    app.button(key="import_files").click().run()
    assert not app.exception
    shown = html_of(app)
    assert "What came in" in shown
    assert "<b>Not imported.</b>" in shown
    assert "broken.csv" in shown
    with workflow.open_database(record) as db:
        assert db.imports()["source_file"].tolist() == [bid_tab.name]


def test_an_import_is_taken_back_after_one_confirmation(own_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with workflow.open_database(own_record) as db:
        batch = int(db.imports()["batch_id"].iloc[-2])
    app = opened(own_record, monkeypatch, "records", part="imports")
    app.selectbox(key="undo_batch").set_value(batch).run()
    app.button(key="undo_yes").click().run()
    assert not app.exception
    assert "was taken back" in html_of(app)
    with workflow.open_database(own_record) as db:
        assert batch not in db.imports()["batch_id"].tolist()


def test_a_pay_item_placed_by_hand_moves_its_lines(own_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(own_record, monkeypatch, "records", part="categories")
    place = next(button for button in app.button if button.label == "Place it")
    place.click().run()
    assert "pay item, work category or reason is missing" in html_of(app)
    app.selectbox(key="item_to_place").set_value(0)
    app.selectbox(key="category_chosen").set_value("utilities")
    app.text_input(key="reason_given").set_value("as an example")
    next(button for button in app.button if button.label == "Place it").click().run()
    assert not app.exception
    assert "now counts as utilities" in html_of(app)
    with workflow.open_database(own_record) as db:
        assert db.pay_items()["category_rule"].str.startswith("placed by hand").any()


def test_types_and_years_in_the_url_narrow_the_history(sample_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(sample_record, monkeypatch, "unit_cost_history", types="timber~concrete slab", years="2018-2022")
    assert not app.exception
    table = app.dataframe[0].value
    assert set(table["Type"]) <= {"timber", "concrete slab"}
    assert {day.year for day in table["Let"]} <= set(range(2018, 2023))

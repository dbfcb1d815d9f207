"""The letting review with its years and triggers, and a contract's bids side by side, as pages."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from bidlens import workflow
from tests.dashboard.pages import STOPPED, charts, html_of, opened


@pytest.fixture(scope="module")
def lettings(sample_record: Path) -> list[tuple[str, str]]:
    """Contract and letting day of every contract of 2025."""
    with workflow.open_database(sample_record) as db:
        frame = db.lettings()
    last = frame[frame["letting_date"].dt.year == 2025]
    return list(zip(last["contract_id"], last["letting_date"].dt.strftime("%Y-%m-%d"), strict=True))


def test_a_contract_opens_by_its_address_and_leads_back(
    sample_record: Path, lettings: list[tuple[str, str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    contract, day = lettings[0]
    app = opened(sample_record, monkeypatch, "letting_review", contract=contract, letting=day)
    shown = html_of(app)
    assert not app.exception
    assert STOPPED not in shown
    order = (
        "How do the bids compare?",
        "bl-answer",
        "bl-block",
        "Items by bidders",
        "A price in its file",
        "bl-caution",
    )
    places = [shown.index(one) for one in order]
    assert places == sorted(places)
    assert charts(app) == 2
    assert 'class="bl-sheet"' in shown
    app.button(key="comparison_back").click().run()
    assert "How did our 2025 lettings go?" in html_of(app)


def test_the_contract_list_leads_to_each_contract(
    sample_record: Path, lettings: list[tuple[str, str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch, "letting_review")
    shown = html_of(app)
    for contract, day in lettings:
        assert f"contract={contract}&amp;letting={day}" in shown
    app.selectbox(key="comparison_of").select_index(1).run()
    assert app.query_params["contract"] == lettings[1][0]
    assert "How do the bids compare?" in html_of(app)


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ({"contract": "no such"}, "No contract “no such” is on record"),
        ({"contract": "B-2501", "letting": "soon"}, "Cannot read “soon” as a day"),
        ({"contract": "B-2501", "letting": "1999-01-01"}, "was not let on 1999-01-01"),
        ({"year": "twenty"}, "Cannot read “twenty” as a year"),
        ({"year": "2024-2019"}, "The years end before they begin"),
    ],
)
def test_an_address_that_leads_nowhere_is_refused_in_words(
    query: dict[str, str], said: str, sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch, "letting_review", **query)
    assert not app.exception
    assert said in html_of(app)
    assert STOPPED in html_of(app)


def test_some_years_are_reviewed_together(sample_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(sample_record, monkeypatch, "letting_review", year="2019-2024")
    assert not app.exception
    assert "How did our 2019–2024 lettings go?" in html_of(app)
    app.selectbox(key="review_from").set_value(2023).run()
    assert "How did our 2023–2024 lettings go?" in html_of(app)
    assert app.query_params["year"] == "2023-2024"
    app.selectbox(key="review_to").set_value(2022).run()
    assert "How did our 2022 lettings go?" in html_of(app)


def test_triggers_are_set_on_the_page_and_kept_with_the_record(
    sample_record: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = Path(shutil.copy(sample_record, tmp_path / "county.duckdb"))
    app = opened(record, monkeypatch, "letting_review")
    app.number_input(key="trigger_unbalanced_line_least_usd").set_value(1_000)
    app.checkbox(key="trigger_concentration_on").check()
    next(button for button in app.button if button.label == "Keep these numbers").click().run()
    assert not app.exception
    with workflow.open_database(record) as db:
        kept = workflow.review_triggers(db)
        assert kept["unbalanced_line"].value("least_usd") == 1_000
        assert kept["unbalanced_line"].value("share_of_estimate") == 0.20
        assert kept["concentration"].on
        review = workflow.review_lettings(db, 2025)
    assert review.triggers["unbalanced_line"].title.endswith("$1,000 or more from the estimate")
    assert {finding.code for finding in review.findings} & {"concentration", "concentration_not_given"}
    next(button for button in app.button if button.label == "Back to those that ship").click().run()
    with workflow.open_database(record) as db:
        assert not any(one.changed for one in workflow.review_triggers(db).values())


def test_a_pay_item_is_searched_by_words_and_opens_with_its_history(
    sample_record: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(sample_record, monkeypatch, "pay_item_prices", words="riprap", quantity="250")
    shown = html_of(app)
    assert not app.exception
    assert STOPPED not in shown
    assert "expect about" in shown
    assert charts(app) == 2
    assert "letting_review?contract=" in shown
    app.selectbox(key="items_chosen").select_index(1).run()
    assert "Geotextile" in html_of(app).split("bl-block")[0]
    none = opened(sample_record, monkeypatch, "pay_item_prices", words="ripprap")
    assert "Words on record near it" in html_of(none)
    assert not none.exception


def test_hostile_text_stays_text_beside_bids_and_items(hostile_record: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with workflow.open_database(hostile_record) as db:
        frame = db.lettings()
    for contract, day in zip(frame["contract_id"].head(2), frame["letting_date"].dt.strftime("%Y-%m-%d"), strict=False):
        app = opened(hostile_record, monkeypatch, "letting_review", contract=contract, letting=day)
        assert not app.exception
        shown = html_of(app)
        assert "<script" not in shown
        assert "<img" not in shown
    app = opened(hostile_record, monkeypatch, "pay_item_prices", words="concrete")
    assert not app.exception
    assert "<script" not in html_of(app)

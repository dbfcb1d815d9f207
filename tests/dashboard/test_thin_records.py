"""Every page on a record that is only begun: bridges without bid tabs, bid tabs without bridges, one letting."""

from __future__ import annotations

from pathlib import Path

import pytest

from bidlens import workflow
from tests.dashboard.pages import EVERY, html_of, opened

BEGUN = {
    "bridges only": slice(0, 1),
    "bid tabs only": slice(1, 4),
    "one letting": slice(0, 2),
}


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """A record for each way of beginning."""
    folder = tmp_path_factory.mktemp("begun")
    records = {name: folder / f"{name.replace(' ', '_')}.duckdb" for name in BEGUN}
    for name, record in records.items():
        with workflow.open_database(record) as db:
            assert all(result.error is None for result in db.import_files(workflow.sample_files()[BEGUN[name]]))
    return records


@pytest.mark.parametrize("page", EVERY)
@pytest.mark.parametrize("name", BEGUN)
def test_a_page_of_a_record_only_begun_says_what_it_can_and_what_is_next(
    name: str, page: str, begun: dict[str, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    app = opened(begun[name], monkeypatch, page)
    assert not app.exception
    shown = html_of(app)
    assert shown.count('<h1 class="bl-answer">') == 1
    assert "<i>Next.</i>" in shown
    assert "bl-caution" in shown

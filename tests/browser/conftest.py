"""One Chromium a run and one dashboard a module; skipped, saying so, where there is no Chromium.

BIDLENS_REQUIRE_BROWSER=1 turns the skip into a failure.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.browser import running


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    if running.chromium() is None:
        missing = f"no Chromium found (looked for {', '.join(running.BROWSERS)})"
        if os.environ.get("BIDLENS_REQUIRE_BROWSER") == "1":
            pytest.fail(missing)
        pytest.skip(missing)
    with running.browser() as browser:
        yield browser


@pytest.fixture(scope="module")
def served(
    chromium: Browser, sample_record: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[running.Dashboard]:
    """The dashboard on a record of the module's own: the sample county, which its tests may change."""
    record = Path(shutil.copy(sample_record, tmp_path_factory.mktemp("served") / "county.duckdb"))
    with running.dashboard(record) as dashboard:
        yield dashboard


@pytest.fixture
def page(chromium: Browser) -> Iterator[Page]:
    """A fresh page at 1280 x 720; whatever it did, it asked nothing of the world and nothing broke."""
    opened = chromium.new_page(viewport={"width": 1280, "height": 720})
    watch = running.watched(opened)
    yield opened
    opened.close()
    assert watch.outside == []
    assert watch.errors == []
    assert watch.dialogs == []

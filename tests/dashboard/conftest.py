"""A record of hostile files, imported once for a module's pages."""

from __future__ import annotations

from pathlib import Path

import pytest

from bidlens import workflow
from tests.dashboard import hostile


@pytest.fixture(scope="module")
def hostile_record(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("hostile")
    path = folder / "record.duckdb"
    with workflow.open_database(path) as db:
        results = db.import_files(hostile.write_files(folder))
    assert all(result.error is None for result in results)
    return path

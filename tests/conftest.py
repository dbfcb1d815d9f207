"""The sample county, imported once for all tests that ask questions of a whole record."""

import shutil

import pytest

from bidlens import workflow


@pytest.fixture(scope="session")
def sample_record(tmp_path_factory):
    """Path of the sample county's cost record. Read it, do not write to it."""
    path = tmp_path_factory.mktemp("county") / "sample.duckdb"
    with workflow.build_sample_county(path):
        return path


@pytest.fixture
def own_record(sample_record, tmp_path):
    """A copy of the sample county's record that a test may change."""
    return shutil.copy(sample_record, tmp_path / "own.duckdb")

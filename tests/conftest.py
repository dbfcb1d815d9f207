"""The sample county, imported once for all tests that ask questions of a whole record."""

import os
import shutil

import pytest
from hypothesis import settings

from bidlens import workflow

# The same examples on every run, so that a failure is a change of ours; HYPOTHESIS_PROFILE=explore looks for new ones.
settings.register_profile("repeatable", derandomize=True, deadline=None)
settings.register_profile("explore", deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "repeatable"))


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

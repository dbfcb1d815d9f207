"""A record held by another program: clear words on the page and in the terminal, and nothing changed."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from bidlens import cli
from bidlens.store import connection
from tests.dashboard.pages import STOPPED, html_of, opened

HOLD = "import duckdb, sys; c = duckdb.connect(sys.argv[1]); print('held', flush=True); sys.stdin.read()"


@pytest.fixture
def held(own_record: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A record that a process of another program has open for writing."""
    monkeypatch.setattr(connection, "SECONDS_TO_WAIT", 0.2)
    command = [sys.executable, "-c", HOLD, str(own_record)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout is not None
        assert other.stdout.readline().strip() == "held"
        yield Path(own_record)
        assert other.stdin is not None
        other.stdin.close()


@pytest.mark.parametrize("page", ["proposal_check", "records"])
def test_the_page_says_who_holds_the_record(page: str, held: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    app = opened(held, monkeypatch, page)
    assert not app.exception
    shown = html_of(app)
    assert STOPPED in shown
    assert "is in use by another program" in shown
    assert "try again" in shown


def test_the_terminal_says_who_holds_the_record(held: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["imports", "--db", str(held)]) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert "is in use by another program" in err
    assert "Traceback" not in err

"""The house stands as drawn: imports point one way, and slow libraries are imported only where they are used."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


def test_imports_point_one_way():
    done = subprocess.run(
        [sys.executable, "-c", "from importlinter.cli import lint_imports_command; lint_imports_command()"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize(
    ("module", "must_not_load"),
    [
        ("bidlens", {"pandas", "duckdb", "streamlit"}),
        ("bidlens.cli", {"pandas", "duckdb", "streamlit", "statsmodels"}),
        ("bidlens.workflow", {"streamlit", "plotly", "statsmodels", "scipy.stats"}),
    ],
)
def test_slow_libraries_wait_until_they_are_needed(module, must_not_load):
    code = f"import sys, {module}; print([name for name in {sorted(must_not_load)!r} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_no_file_of_the_package_passes_four_hundred_lines():
    long = {
        str(path.relative_to(ROOT)): lines
        for path in (ROOT / "bidlens").rglob("*.py")
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > 400
    }
    assert long == {}

"""Rewrites the generated parts of README.md: the data dictionary and what `bidlens demo` prints.

Run as `python -m tests.refresh_docs`; `tests/test_docs.py` fails while they are out of date.
"""

import re
import subprocess
import sys
import tempfile
from pathlib import Path

from bidlens.schema import dictionary_markdown
from bidlens.tables import TABLES

README = Path(__file__).parent.parent / "README.md"


def dictionary() -> str:
    """The data dictionary as it should stand."""
    return dictionary_markdown(TABLES).strip()


def demo_output() -> str:
    """What the demo prints on stdout, as a text block."""
    with tempfile.TemporaryDirectory() as folder:
        done = subprocess.run(
            [sys.executable, "-m", "bidlens", "demo", "--no-open", "--db", f"{folder}/demo.duckdb"],
            capture_output=True,
            text=True,
            check=True,
        )
    return f"```text\n{done.stdout.strip()}\n```"


def replaced(text: str, marker: str, body: str) -> str:
    """The text with the block between `<!-- marker -->` and `<!-- end of marker -->` made anew."""
    start, end = f"<!-- {marker} -->", f"<!-- end of {marker} -->"
    return re.sub(f"{start}.*?{end}", lambda _: f"{start}\n{body}\n{end}", text, flags=re.DOTALL)


if __name__ == "__main__":
    text = README.read_text(encoding="utf-8")
    text = replaced(text, "dictionary", dictionary())
    README.write_text(replaced(text, "demo output", demo_output()), encoding="utf-8")

"""The known word a misspelt one is most like."""

from __future__ import annotations

import difflib
from collections.abc import Sequence


def nearest(word: str, known: Sequence[str]) -> str:
    """A question naming the known word that is closest, or nothing if none is close."""
    near = difflib.get_close_matches(word.lower(), known, n=1, cutoff=0.6)
    return f"Did you mean {near[0]}? " if near else ""

"""Bid tabs printed to PDF: page blocks of a few bidders, or one ruled table with bidders side by side.

`read` is the one way in. A PDF has no cells: words are grouped into lines and columns by where they stand, and a file
is taken only when every line and every sum adds up to what it prints.
"""

from __future__ import annotations

from bidlens.ingest.pdf.reader import LAYOUT, read

__all__ = ["LAYOUT", "read"]

"""Text of a file for a printed page: as it is written, and nothing in it that is not seen."""

from __future__ import annotations

import html

from bidlens.wording import visible


def escape(text: object) -> str:
    """Text for HTML and SVG, in an element or a quoted attribute."""
    return html.escape(visible(text), quote=True)

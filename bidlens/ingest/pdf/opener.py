"""The words of a PDF's pages and where they stand, handed over from a process of its own.

A damaged PDF can end the process that opens it or take all memory, so this is run as a file, imports nothing but the
PDF library, and writes what it found as JSON to standard output.
"""

from __future__ import annotations

import ctypes
import json
import sys
from pathlib import Path
from typing import Any

import pypdfium2 as pdfium
import pypdfium2.raw as raw

MAX_MEMORY_BYTES = 2 * 2**30
MAX_PAGES = 3000
MAX_CHARACTERS = 12_000_000

_GAP_PT = 3.0  # a wider gap between two characters parts two words even where no blank stands
_SAME_LINE_PT = 1.0
_UNMAPPED = frozenset({0, 0xFFFD, 0xFFFE, 0xFFFF})

Word = tuple[float, float, float, str]


def pages_of(path: Path) -> dict[str, Any]:
    """`pages`: for each page its words (left, right, baseline counted upwards, text; in points), how many characters
    have no meaning given, and whether it holds a picture. Or `refused`: why none is given.
    """
    try:
        document = pdfium.PdfDocument(path)
    except pdfium.PdfiumError as error:
        return {"refused": "password" if "assword" in str(error) else "damaged"}
    if len(document) > MAX_PAGES:
        return {"refused": "pages"}
    pages: list[dict[str, Any]] = []
    characters = 0
    try:
        for page in document:
            text = page.get_textpage()
            characters += raw.FPDFText_CountChars(text.raw)
            if characters > MAX_CHARACTERS:
                return {"refused": "pages"}
            words, unmapped = _words(text.raw, page.get_rotation())
            pages.append({"words": words, "unmapped": unmapped, "picture": not words and _has_picture(page)})
            text.close()
            page.close()
    except pdfium.PdfiumError:
        return {"refused": "damaged"}
    return {"pages": pages}


def _words(text: Any, rotation: int) -> tuple[list[Word], int]:
    """Words as the page is seen, turned upright; a blank, a wide gap or another baseline begins the next one."""
    left, right, bottom, top, origin_x, origin_y = (ctypes.c_double() for _ in range(6))
    words: list[list[Any]] = []
    current: list[Any] | None = None
    unmapped = 0
    for index in range(raw.FPDFText_CountChars(text)):
        code = raw.FPDFText_GetUnicode(text, index)
        if code in _UNMAPPED or 0xE000 <= code <= 0xF8FF:
            unmapped += 1
            continue
        letter = chr(code)
        if letter.isspace() or not letter.isprintable():
            current = None
            continue
        raw.FPDFText_GetCharBox(text, index, left, right, bottom, top)
        raw.FPDFText_GetCharOrigin(text, index, origin_x, origin_y)
        if rotation == 0:
            start, end, line = left.value, right.value, origin_y.value
        elif rotation == 90:
            start, end, line = bottom.value, top.value, -origin_x.value
        elif rotation == 180:
            start, end, line = -right.value, -left.value, -origin_y.value
        else:
            start, end, line = -top.value, -bottom.value, origin_x.value
        near = current is not None and abs(current[2] - line) < _SAME_LINE_PT
        if near and current is not None and -_GAP_PT < start - current[1] < _GAP_PT:
            current[1] = max(end, current[1])
            current[3] += letter
        else:
            current = [start, end, line, letter]
            words.append(current)
    return [(round(a, 2), round(b, 2), round(y, 2), shown) for a, b, y, shown in words], unmapped


def _has_picture(page: Any) -> bool:
    return any(thing.type == raw.FPDF_PAGEOBJ_IMAGE for thing in page.get_objects())


def main() -> None:
    """Write the pages of the PDF named on the command line, for the process that asked."""
    _limit_memory()
    sys.stdout.write(json.dumps(pages_of(Path(sys.argv[1]))))


def _limit_memory() -> None:
    """Where the system can (not on Windows), stop at a size that no honest bid tab needs."""
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MAX_MEMORY_BYTES, MAX_MEMORY_BYTES))


if __name__ == "__main__":
    main()

"""A row of a file as it was read: its headings, the rows above and below, and the row itself marked."""

from __future__ import annotations

from collections.abc import Callable

from bidlens.dashboard.words import Html, esc, place
from bidlens.errors import NotOnRecord
from bidlens.ingest.as_read import RowsAsRead, SourceRow

#: Characters of a cell that are shown; the file has the rest.
CELL = 160
#: A cell up to this length is not broken into lines.
SHORT = 14
_UNBROKEN = ' class="bl-nowrap"'
_CSS = {"asked": "bl-read", "headings": "bl-heads", "beside": ""}


def as_html(found: RowsAsRead, row: int) -> Html:
    """The rows as a piece of the sheet, with its column letters and row numbers; lines without columns as lines."""
    letters = "".join(f"<th>{esc(letter)}</th>" for letter in found.letters)
    head = f"<thead><tr><td></td>{letters}</tr></thead>" if any(found.letters) else ""
    body = "".join(_row(one) for one in found.rows)
    where = esc(place(found.source_file, found.source_sheet, row))
    return Html(
        f'<p class="bl-lead">As it stands in the file: <b>{where}</b></p>'
        f'<div class="bl-scroll" tabindex="0" role="region" aria-label="The row in its file">'
        f'<table class="bl-sheet">{head}<tbody>{body}</tbody></table></div>'
    )


def _row(one: SourceRow) -> str:
    cells = "".join(f"<td{_UNBROKEN if len(cell) <= SHORT else ''}>{esc(cell, CELL)}</td>" for cell in one.cells)
    return f'<tr class="{_CSS[one.role]}"><th scope="row">{one.number}</th>{cells}</tr>'


def shown(ask: Callable[[], RowsAsRead], row: int, otherwise: str) -> Html:
    """The row as read, or, where its file was not kept, what is on record of it and why there is no more.

    otherwise : the row as it was understood.
    """
    try:
        return as_html(ask(), row)
    except NotOnRecord as error:
        why = esc(f"{error.what[:1].upper()}{error.what[1:]}. {error.do}", 400)
        return Html(f'<p class="bl-lead">As it was understood: <b>{esc(otherwise, 400)}</b><br>{why}</p>')

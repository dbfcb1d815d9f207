"""The errors bidlens raises: what is wrong, where, what was seen, and what to do about it.

An error stops the work at hand. Doubtful data goes on as a `Finding`, and a number that is not given is an
`Unavailable`; both live in `findings.py`.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Place:
    """Where in a file something stands; every part but the file may be unknown."""

    file: str
    sheet: str | None = None
    row: int | None = None  # counted from 1, as a spreadsheet shows it
    column: str | None = None

    def __str__(self) -> str:
        parts = [self.file]
        if self.sheet:
            parts.append(f"sheet “{self.sheet}”")
        if self.row is not None:
            parts.append(f"row {self.row}")
        if self.column:
            parts.append(f"column “{self.column}”")
        return ", ".join(parts)


class BidlensError(Exception):
    """Base of every error a user may meet.

    what : one sentence saying what is wrong and what was seen.
    where : the place it was found, if it has one.
    do : what the user can do next.
    """

    def __init__(self, what: str, *, where: Place | str | None = None, do: str = "") -> None:
        self.what, self.where, self.do = what, where, do
        said = f"{where}: {what}" if where else what
        super().__init__(f"{said}\n{do}" if do else said)


class UnreadableFile(BidlensError):
    """A file is missing, empty, broken, unsafe to open, or of no kind we know."""


class BadValue(BidlensError, ValueError):
    """A value given by the user or standing in a file cannot be what it should be."""


class NotOnRecord(BidlensError, LookupError):
    """The cost record holds no such contract, structure, batch or setting."""


class MissingReference(BidlensError, LookupError):
    """A published table does not reach as far as was asked, for example a quarter outside an index."""


class StoreError(BidlensError):
    """The database is busy, from a newer version, full, or not ours."""


class NotEnoughHistory(BidlensError):
    """Too few priced structures for the question asked."""

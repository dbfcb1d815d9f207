"""What was worked out from a record, kept while the record stays as it is."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any, TypeVar

#: Rows up to which a result is kept; a longer one costs more memory than its time is worth. 200,000 lines that pay for
#: structures are some 2,500 bridges.
MOST_ROWS_KEPT = 200_000

Made = TypeVar("Made")


class Remembered:
    """Results by name, each with the stamp of the record it was made from. May be asked from several threads."""

    def __init__(self) -> None:
        self._kept: dict[Hashable, tuple[str, Any]] = {}

    def known(self, stamp: str, *names: Hashable) -> dict[Hashable, Any]:
        """Those of the results that are kept and still hold."""
        kept = {name: self._kept[name] for name in names if name in self._kept}
        return {name: made for name, (since, made) in kept.items() if since == stamp}

    def keep(self, stamp: str, name: Hashable, made: Any, rows: int) -> None:
        """Keep a result of so many rows, in place of the one before, unless it is too long."""
        if rows <= MOST_ROWS_KEPT:
            self._kept[name] = (stamp, made)

    def or_made(self, stamp: str, name: Hashable, make: Callable[[], Made], rows: Callable[[Made], int]) -> Made:
        """The result kept, else the one `make` makes, which is kept. rows : how long a result is."""
        known = self.known(stamp, name)
        if name in known:
            made: Made = known[name]
        else:
            made = make()
            self.keep(stamp, name, made, rows(made))
        return made

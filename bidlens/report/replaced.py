"""How much of an import still counts, once its contracts have given their place to another file's."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from bidlens.wording import count, number


def still_counts(imports: Iterable[Any]) -> list[str]:
    """A sentence for each import that lost contracts. imports : rows of the imports, columns as attributes."""
    return [
        f"Import {row.batch_id}, {row.source_file}: {count(row.contracts_replaced, 'contract')} gave way to import "
        f"{row.replaced_by}; {number(row.rows_counting)} of {count(row.rows_kept, 'row')} kept still count, "
        f"{number(row.rows_replaced)} were replaced. Taking import {row.replaced_by} back brings them back."
        for row in imports
        if row.contracts_replaced
    ]

"""The cost bases: which work categories a $/sf contains. The sets are data, in cost_bases.toml."""

from __future__ import annotations

import difflib
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pandas as pd

from bidlens.errors import BadValue

DEFAULT_BASIS = "superstructure"


@dataclass(frozen=True, slots=True)
class CostBasis:
    """What a $/sf contains.

    title : as shown, such as "superstructure, in place".
    categories : work categories that count; empty for the whole contract, where all do.
    needs_any_of : a structure without a dollar in one of these does not have this kind of work.
    whole_contract : every category and every schedule of the contract counts.
    """

    name: str
    title: str
    categories: frozenset[str]
    needs_any_of: tuple[str, ...]
    whole_contract: bool

    def includes(self, work_category: pd.Series) -> pd.Series:
        """True where a row of this category counts, n rows."""
        if self.whole_contract:
            return pd.Series(True, index=work_category.index)
        return work_category.isin(self.categories)


@cache
def cost_rules() -> dict[str, Any]:
    """The whole of cost_bases.toml, read once."""
    return tomllib.loads((Path(__file__).parent / "cost_bases.toml").read_text(encoding="utf-8"))


@cache
def load_bases() -> dict[str, CostBasis]:
    """Every cost basis by name, narrowest first."""
    return {
        name: CostBasis(
            name, rule["title"], frozenset(rule["categories"]), tuple(rule["needs_any_of"]), rule["whole_contract"]
        )
        for name, rule in cost_rules()["basis"].items()
    }


def basis_named(name: str) -> CostBasis:
    """The basis of that name. Raises BadValue naming the ones there are."""
    bases = load_bases()
    if name not in bases:
        close = difflib.get_close_matches(name, bases, n=1)
        hint = f"Did you mean “{close[0]}”? " if close else ""
        raise BadValue(f"there is no cost basis “{name}”", do=f"{hint}Use one of: {', '.join(bases)}.")
    return bases[name]

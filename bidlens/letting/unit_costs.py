"""Dollars per square foot of deck in the years reviewed against the years before: by type, and year by year."""

from __future__ import annotations

import pandas as pd

from bidlens.letting.years import Years
from bidlens.normalizer import ratio_of_sums

TYPE_COLUMNS = ("basis", "superstructure", "n_year", "deck_area_sf_year", "year_per_sf", "year_adjusted_per_sf",
                "year_at_reference_span", "n_before", "before_adjusted_per_sf", "before_at_reference_span",
                "change")  # fmt: skip

YEAR_COLUMNS = ("basis", "year", "n", "deck_area_sf", "per_sf", "adjusted_per_sf", "at_reference_span")
#: What a $/sf of a year is made of: its name in the table, and the history's column.
PER_SF = {"per_sf": "unit_cost", "adjusted_per_sf": "unit_cost_adjusted",
          "at_reference_span": "unit_cost_at_reference_span"}  # fmt: skip


def by_type(history: pd.DataFrame, basis: str, years: Years, before: Years) -> pd.DataFrame:
    """TYPE_COLUMNS: one row per type let in the years, then one of all types (superstructure "all types").

    history : HISTORY rows of one basis; unit_cost_at_reference_span may be missing. before : first and last year
    compared with. change : adjusted, the years over those before, less one.
    """
    year = history["letting_date"].dt.year
    # These columns alone: picking rows of a whole history, type by type, takes longer than all the sums.
    needed = history[[name for name in ("superstructure", "deck_area_sf", *PER_SF.values()) if name in history]]
    mine, earlier = needed[year.between(*years)], needed[year.between(*before)]
    kinds = mine["superstructure"].value_counts().index.tolist()
    rows = [_type_row(basis, kind, mine, earlier) for kind in [*kinds, "all types"]] if len(mine) else []
    return pd.DataFrame(rows, columns=list(TYPE_COLUMNS))


def _type_row(basis: str, kind: str, mine: pd.DataFrame, earlier: pd.DataFrame) -> tuple[object, ...]:
    if kind != "all types":
        mine, earlier = mine[mine["superstructure"] == kind], earlier[earlier["superstructure"] == kind]
    now, then = ratio_of_sums(mine, "unit_cost_adjusted"), ratio_of_sums(earlier, "unit_cost_adjusted")
    at_span = "unit_cost_at_reference_span"
    has = at_span in mine
    return (
        basis, kind, len(mine), float(mine["deck_area_sf"].sum()), ratio_of_sums(mine, "unit_cost"), now,
        ratio_of_sums(mine, at_span) if has else float("nan"), len(earlier), then,
        ratio_of_sums(earlier, at_span) if has else float("nan"), now / then - 1 if then > 0 else float("nan"),
    )  # fmt: skip


def by_year(history: pd.DataFrame, basis: str, last: int) -> pd.DataFrame:
    """YEAR_COLUMNS: the average of all structures of each year up to the last, dollars over deck area."""
    known = history[history["letting_date"].dt.year <= last]
    area = known["deck_area_sf"]
    sums = {"year": known["letting_date"].dt.year, "n": 1, "deck_area_sf": area}
    for name, column in PER_SF.items():
        cost = known[column] if column in known else pd.Series(float("nan"), index=known.index)
        sums |= {f"{name}_usd": cost * area, f"{name}_sf": area.where(cost.notna())}
    table = pd.DataFrame(sums, index=known.index).groupby("year", as_index=False).sum()
    for name in PER_SF:
        table[name] = table[f"{name}_usd"] / table[f"{name}_sf"].where(table[f"{name}_sf"] > 0)
    return table.assign(basis=basis)[list(YEAR_COLUMNS)]

"""Why two totals of one letting differ: line by line, rolled up by work category, adding up to the cent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from bidlens.findings import Unavailable
from bidlens.letting.contracts import cents

LINE = ["schedule", "line"]
#: The name of what no line explains: a total that is not the sum of its lines.
OUTSIDE = "not in the lines"

CATEGORY_COLUMNS = ("work_category", "lines", "from_usd", "to_usd", "difference_usd")
LINE_COLUMNS = (*LINE, "item_code", "description", "pay_unit", "quantity", "work_category", "from_price", "to_price",
                "from_usd", "to_usd", "difference_usd", "source_file", "source_sheet", "source_row")  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Difference:
    """From one total to another, USD: from_usd + usd = to_usd, and the parts add to usd to the cent.

    starts, ends : whose totals. by_category : CATEGORY_COLUMNS, largest difference first; where the totals are not the
    sums of their lines the rest stands as OUTSIDE. lines : LINE_COLUMNS, largest difference first, those without a
    difference last.
    """

    starts: str
    ends: str
    from_usd: float
    to_usd: float
    usd: float
    by_category: pd.DataFrame
    lines: pd.DataFrame

    @property
    def outside_usd(self) -> float:
        """The part no line explains."""
        rest = self.by_category.loc[self.by_category["work_category"] == OUTSIDE, "difference_usd"]
        return float(rest.iloc[0]) if len(rest) else 0.0

    def as_dict(self) -> dict[str, Any]:
        return {
            "from": self.starts, "to": self.ends, "from_usd": self.from_usd, "to_usd": self.to_usd, "usd": self.usd,
            "by_category": self.by_category, "lines": self.lines,
        }  # fmt: skip


def difference(
    lines: pd.DataFrame, names: tuple[str, str], ends: Sequence[pd.DataFrame], totals: Sequence[float]
) -> Difference | Unavailable:
    """The lines of the award that make `totals` differ.

    lines : one row a line with LINE, facts, alternate and source; lines of an alternate that the award does not rest
        on are in no total. ends : prices of the one and the other: LINE, unit_price, extension. A line only one of
        them priced counts whole.
    """
    base = lines[~lines["alternate"]]
    if base.empty or any(one["extension"].notna().sum() == 0 for one in ends):
        return Unavailable("the file gives totals without lines")
    table = base
    for side, prices in zip(("from", "to"), ends, strict=True):
        named = prices.rename(columns={"unit_price": f"{side}_price", "extension": f"{side}_usd"})
        table = table.merge(named[[*LINE, f"{side}_price", f"{side}_usd"]], on=LINE, how="left", validate="1:1")
    start, end = cents(table["from_usd"].fillna(0.0)), cents(table["to_usd"].fillna(0.0))
    table = table.assign(_from=start, _to=end, _gap=end - start)
    table["difference_usd"] = _dollars(table["_gap"])
    whole = [round(total * 100) for total in totals]
    return Difference(
        starts=names[0],
        ends=names[1],
        from_usd=whole[0] / 100,
        to_usd=whole[1] / 100,
        usd=(whole[1] - whole[0]) / 100,
        by_category=_by_category(table, whole),
        lines=_largest_first(table, [*LINE])[list(LINE_COLUMNS)],
    )


def _by_category(table: pd.DataFrame, whole: Sequence[int]) -> pd.DataFrame:
    sums = table.groupby("work_category", as_index=False).agg(
        lines=("_gap", "size"), _from=("_from", "sum"), _to=("_to", "sum"), _gap=("_gap", "sum")
    )
    rest = [total - int(sums[name].sum()) for total, name in zip(whole, ("_from", "_to"), strict=True)]
    if any(rest):
        more = {"work_category": OUTSIDE, "lines": 0, "_from": rest[0], "_to": rest[1], "_gap": rest[1] - rest[0]}
        sums = pd.concat([sums, pd.DataFrame([more])], ignore_index=True)
    money = {f"{name}_usd": _dollars(sums[f"_{name}"]) for name in ("from", "to")}
    ordered = _largest_first(sums.assign(**money, difference_usd=_dollars(sums["_gap"])), ["work_category"])
    return ordered[list(CATEGORY_COLUMNS)]


def _largest_first(table: pd.DataFrame, ties: list[str]) -> pd.DataFrame:
    ordered = table.assign(_size=table["_gap"].abs()).sort_values(
        ["_size", *ties], ascending=[False, *[True] * len(ties)], kind="stable"
    )
    return ordered.reset_index(drop=True)


def _dollars(whole_cents: pd.Series) -> pd.Series:
    return whole_cents.astype("float64") / 100


def largest_and_rest(found: Difference, most: int) -> tuple[pd.DataFrame, int, float]:
    """The lines that differ most, and how many lines the rest are and what they add to; the parts add up to `usd`."""
    apart = found.lines[found.lines["difference_usd"] != 0]
    shown, rest = apart.head(most), apart.iloc[most:]
    return shown, len(rest), round(float(rest["difference_usd"].sum()), 2)

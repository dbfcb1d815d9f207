"""The size of each new bridge: as planned, or of the present bridge made larger by the owner's rule."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from bidlens import wording
from bidlens.errors import BadValue
from bidlens.findings import Finding

SIZES = ("length_ft", "width_ft", "spans", "skew_deg")
_MOST_LONGER, _WIDTHS = 2.0, (8.0, 200.0)


@dataclass(frozen=True, slots=True)
class Growth:
    """How much larger a new bridge is than the present one, where the list gives no size; the owner's input.

    longer_ratio : 0.10 makes it 10 % longer. width_ft : it is at least so wide, out to out; None leaves the width.
    Raises BadValue for a rule that cannot be meant.
    """

    longer_ratio: float = 0.0
    width_ft: float | None = None

    def __post_init__(self) -> None:
        if not np.isfinite(self.longer_ratio) or not 0 <= self.longer_ratio <= _MOST_LONGER:
            raise BadValue(
                f"new bridges {self.longer_ratio:.0%} longer cannot be used", do="Write 0 to 200 percent, such as 10."
            )
        if self.width_ft is not None and not _WIDTHS[0] <= self.width_ft <= _WIDTHS[1]:
            raise BadValue(
                f"a width of {wording.number(self.width_ft, 1)} ft cannot be used for new bridges",
                do=f"Give {_WIDTHS[0]:.0f} to {_WIDTHS[1]:.0f} ft, out to out.",
            )

    def in_words(self) -> str:
        """“+10% length, width to 30 ft”."""
        said = [f"{wording.percent(self.longer_ratio)} length"] if self.longer_ratio else []
        said += [f"width to {wording.number(self.width_ft, 1).removesuffix('.0')} ft"] if self.width_ft else []
        return ", ".join(said)


AS_PRESENT = Growth()


def sized(frame: pd.DataFrame, inventory: pd.DataFrame, growth: Growth) -> tuple[pd.DataFrame, list[Finding]]:
    """Sizes of the present bridge, grown by the rule, where the list gives none; then span and deck area.

    frame : structure_id, name and SIZES. inventory : the structure list. Raises BadValue for a bridge without a size.
    """
    present = _present(inventory).reindex(frame["structure_id"]).reset_index(drop=True)
    same_length = frame["length_ft"].isna() & present["length_ft"].notna()
    same_width = frame["width_ft"].isna() & present["width_ft"].notna()
    longer = present["length_ft"] * (1 + growth.longer_ratio)
    wider = present["width_ft"].clip(lower=growth.width_ft)
    filled = frame.assign(
        length_ft=frame["length_ft"].fillna(longer),
        width_ft=frame["width_ft"].fillna(wider),
        spans=frame["spans"].where(frame["spans"].notna() | ~same_length, present["spans"]),
        skew_deg=frame["skew_deg"].fillna(present["skew_deg"]),
        name=frame["name"].fillna(present["name"]).fillna(""),
        year_built=present["year_built"],
    )
    _require_size(filled, present["on_list"].fillna(False).astype(bool))
    span = (filled["length_ft"] / filled["spans"]).where(filled["spans"].notna())
    grown_span = present["span_ft"] * (1 + growth.longer_ratio)
    span = grown_span.where(same_length & present["span_ft"].notna() & frame["spans"].isna(), span)
    filled = filled.assign(span_ft=span, deck_area_sf=filled["length_ft"] * filled["width_ft"])
    taken = frame["structure_id"][same_length | same_width]
    return filled, [_taken(taken, growth)] if len(taken) else []


def _taken(names: pd.Series, growth: Growth) -> Finding:
    rule = growth.in_words()
    made = f"made larger by your rule ({rule})" if rule else "with nothing added"
    text = (
        f"{wording.count(len(names), 'bridge')} without a planned size taken at the size of the present bridge, {made}"
        ": "
        f"{', '.join(names.head(6))}{', …' if len(names) > 6 else ''}."
    )
    return Finding("size_of_present_bridge", "check", text, "Give the planned length and out-to-out width.")


def numbers(frame: pd.DataFrame, name: str) -> pd.Series:
    """A column as numbers; NaN where there is none."""
    if name not in frame:
        return pd.Series(np.nan, frame.index)
    values = pd.to_numeric(frame[name], errors="coerce").astype("float64")
    return values.where(np.isfinite(values))


def _present(inventory: pd.DataFrame) -> pd.DataFrame:
    """The latest row of each structure, by its number."""
    columns = ["name", "length_ft", "width_ft", "spans", "span_ft", "skew_deg", "year_built"]
    latest = inventory.drop_duplicates("structure_id", keep="last").set_index("structure_id")
    found = latest.reindex(columns=columns)
    read = {name: numbers(found, name) for name in columns[1:]}
    return found.assign(**read, name=found["name"].astype("str"), on_list=True)


def _require_size(frame: pd.DataFrame, on_list: pd.Series) -> None:
    for column, words in (("width_ft", "width"), ("length_ft", "length")):
        lacking = frame[frame[column].isna()]
        if len(lacking):
            name = lacking["structure_id"].iloc[0]
            has = "neither has the structure list" if on_list[lacking.index[0]] else "it is not in the structure list"
            raise BadValue(
                f"{name} has no planned {words}, and {has}",
                do="Give the planned length and out-to-out width, or import the structure list that holds them.",
            )

"""The list of bridges to be let in one year: read from a frame, sizes filled in from the inventory, checked.

Costs beside the contract (engineering, right of way, utilities, railroad) and a contingency are inputs of the owner,
each under its own name; nothing of them is predicted.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from bidlens import quarters, wording
from bidlens.errors import BadValue
from bidlens.findings import Finding
from bidlens.superstructure import read_type

#: Costs beside the contract, in dollars of the letting as stated; column and words.
FIXED_COSTS = {
    "engineering_usd": "engineering",
    "right_of_way_usd": "right of way",
    "utilities_usd": "utilities",
    "railroad_usd": "railroad",
}
#: Lettings this many years past the last published quarter are the last that are forecast.
MOST_YEARS_AHEAD = 6
#: A contingency above this share of the contract is taken for a slip, such as 10 for 10 %.
MOST_CONTINGENCY = 1.0
NOT_STATED = "not stated"
_SIZES = ("length_ft", "width_ft", "spans", "skew_deg")


@dataclass(frozen=True, slots=True, eq=False)
class ProgramList:
    """The bridges of one year in the owner's order.

    frame : one row per bridge, index 0 to m-1: structure_id, name, priority, superstructure, length_ft, width_ft,
        spans, span_ft, skew_deg, deck_area_sf, letting_date, the columns of FIXED_COSTS, year_built.
    contingency_ratio : added to every contract, 0.10 for 10 %. findings : what was filled in or looks doubtful.
    """

    frame: pd.DataFrame
    year: int
    contingency_ratio: float
    findings: tuple[Finding, ...]

    @property
    def fixed_usd(self) -> np.ndarray:
        """Costs beside the contract, m values in dollars."""
        return self.frame[list(FIXED_COSTS)].to_numpy(dtype=float).sum(axis=1)


def plan_program(
    bridges: pd.DataFrame,
    inventory: pd.DataFrame,
    year: int,
    *,
    first_letting: dt.date,
    last_published: str,
    contingency_ratio: float = 0.0,
) -> ProgramList:
    """Check a program list and fill in what the inventory knows.

    bridges : structure_id and superstructure, and where known priority, length_ft, width_ft, spans, skew_deg,
        letting_date and the columns of FIXED_COSTS. Bridges planned for another year are left out, with a finding.
    inventory : the structure list, one row per structure.
    first_letting : first letting on record. last_published : last published quarter of the cost index.
    Raises BadValue for an empty list, a structure named twice or not at all, a missing width or length, a negative
    cost, a letting before the history or more than six years past the index.
    """
    if bridges.empty:
        raise BadValue("the program list holds no bridge", do="Name one bridge or more, each with its planned type.")
    if not np.isfinite(contingency_ratio) or not 0 <= contingency_ratio <= MOST_CONTINGENCY:
        raise BadValue(f"a contingency of {contingency_ratio:g} cannot be used", do="Write 0.10 for 10 %.")
    frame, findings = _named(bridges)
    frame, more = _of_year(frame, year)
    findings += more
    _check_window(frame["letting_date"], first_letting, last_published)
    frame, more = _sized(frame, inventory)
    findings += more + _cost_notes(frame, contingency_ratio)
    return ProgramList(frame, year, float(contingency_ratio), tuple(findings))


def _named(bridges: pd.DataFrame) -> tuple[pd.DataFrame, list[Finding]]:
    """The columns of a program list with clean numbers, in order of priority; types by their standard name."""
    missing = [name for name in ("structure_id", "superstructure") if name not in bridges]
    if missing:
        raise BadValue(f"the program list has no column {' or '.join(missing)}", do="Give both, one bridge a row.")
    given = bridges.reset_index(drop=True)
    names = ["" if pd.isna(name) else str(name).strip() for name in given["structure_id"]]
    if "" in names:
        raise BadValue(f"bridge {names.index('') + 1} of the program list names no structure", do="Give its number.")
    repeated = sorted({name for name in names if names.count(name) > 1}) if len(set(names)) < len(names) else []
    if repeated:
        raise BadValue(f"structure {repeated[0]} stands twice in the program list", do="Keep one of the rows.")
    types, findings = _types(given["superstructure"], names)
    numbers = {name: _numbers(given, name) for name in ("priority", *_SIZES)}
    fixed = {name: _numbers(given, name).fillna(0.0) for name in FIXED_COSTS}
    shown = given["name"].astype("str") if "name" in given else pd.Series(pd.NA, given.index, dtype="str")
    frame = pd.DataFrame({"structure_id": pd.array(names, dtype="str"), "name": shown, "superstructure": types})
    frame = frame.assign(**numbers, **fixed, letting_date=_dates(given))
    _check_numbers(frame)
    return frame.sort_values("priority", kind="stable", na_position="last").reset_index(drop=True), findings


def _types(written: pd.Series, names: Sequence[str]) -> tuple[pd.Series, list[Finding]]:
    kinds, findings = [], []
    for text, name in zip(written, names, strict=True):
        blank = pd.isna(text) or str(text).strip() in ("", NOT_STATED)
        kind, doubt = (NOT_STATED, None) if blank else read_type(str(text))
        if blank:
            said = f"{name} states no superstructure type; its cost is that of a type we have never let."
            doubt = Finding("superstructure_not_stated", "check", said, "Fill in the type planned.")
        elif doubt:
            doubt = Finding(doubt.code, doubt.severity, f"{name}: {doubt.text}", doubt.do)
        findings += [doubt] if doubt else []
        kinds.append(kind)
    return pd.Series(kinds, dtype="str"), findings


def _numbers(frame: pd.DataFrame, name: str) -> pd.Series:
    if name not in frame:
        return pd.Series(np.nan, frame.index)
    values = pd.to_numeric(frame[name], errors="coerce").astype("float64")
    return values.where(np.isfinite(values))


def _dates(frame: pd.DataFrame) -> pd.Series:
    if "letting_date" not in frame:
        return pd.Series(pd.NaT, frame.index, dtype="datetime64[us]")
    return pd.to_datetime(frame["letting_date"], errors="coerce").astype("datetime64[us]")


def _check_numbers(frame: pd.DataFrame) -> None:
    for column, words in (*FIXED_COSTS.items(), ("length_ft", "length"), ("width_ft", "width"), ("spans", "spans")):
        least = 0.0 if column in FIXED_COSTS else 1e-9
        wrong = frame[frame[column] < least]
        if len(wrong):
            row = wrong.iloc[0]
            raise BadValue(
                f"{row['structure_id']}: {words} of {wording.number(float(row[column]))}",
                do="Give a number above zero." if least else "Give dollars of zero or more.",
            )


def _of_year(frame: pd.DataFrame, year: int) -> tuple[pd.DataFrame, list[Finding]]:
    """Bridges to be let in `year`; those without a planned letting are taken as let in the middle of it."""
    planned = frame["letting_date"].dt.year
    kept = frame[planned.isna() | (planned == year)]
    if kept.empty:
        there = ", ".join(str(int(each)) for each in sorted(planned.dropna().unique()))
        raise BadValue(
            f"no bridge of the program list is planned for {year}; its lettings are planned for {there}",
            do=f"Ask for {int(planned.min())}, or leave the planned letting out to let the whole list in {year}.",
        )
    findings = []
    if away := len(frame) - len(kept):
        names = ", ".join(frame.loc[~frame.index.isin(kept.index), "structure_id"].head(6))
        text = f"{wording.count(away, 'bridge')} planned for another year than {year} left out: {names}."
        findings.append(Finding("other_year", "check", text, "Ask for that year too."))
    if undated := int(kept["letting_date"].isna().sum()):
        text = f"{wording.count(undated, 'bridge')} without a planned letting taken as let on 1 July {year}."
        findings.append(Finding("letting_assumed", "note", text))
    middle = pd.Timestamp(year, 7, 1) if 1 <= year <= 9999 else pd.NaT
    return kept.assign(letting_date=kept["letting_date"].fillna(middle)).reset_index(drop=True), findings


def _check_window(lettings: pd.Series, first_letting: dt.date, last_published: str) -> None:
    first = quarters.quarter_of(first_letting)
    last = quarters.step(last_published, MOST_YEARS_AHEAD * 4)
    earliest, latest = (quarters.quarter_of(date) for date in (lettings.min(), lettings.max()))
    if quarters.position(earliest) < quarters.position(first):
        raise BadValue(
            f"a letting is planned for {quarters.shown(earliest)}, before the history begins in "
            f"{quarters.shown(first)}",
            do="Correct the year, or import older bid tabs.",
        )
    if quarters.position(latest) > quarters.position(last):
        raise BadValue(
            f"a letting is planned for {quarters.shown(latest)}; the cost index is forecast {MOST_YEARS_AHEAD} years "
            f"past its last quarter, to {quarters.shown(last)}",
            do="Ask for an earlier year, or import a newer cost index.",
        )


def _sized(frame: pd.DataFrame, inventory: pd.DataFrame) -> tuple[pd.DataFrame, list[Finding]]:
    """Sizes of the present bridge where the list gives none; then span and deck area."""
    present = _present(inventory).reindex(frame["structure_id"]).reset_index(drop=True)
    from_list = frame["length_ft"].notna()
    same_length = ~from_list & present["length_ft"].notna()
    filled = frame.assign(
        length_ft=frame["length_ft"].fillna(present["length_ft"]),
        width_ft=frame["width_ft"].fillna(present["width_ft"]),
        spans=frame["spans"].where(frame["spans"].notna() | ~same_length, present["spans"]),
        skew_deg=frame["skew_deg"].fillna(present["skew_deg"]),
        name=frame["name"].fillna(present["name"]).fillna(""),
        year_built=present["year_built"],
    )
    _require_size(filled, present["on_list"].fillna(False).astype(bool))
    span = (filled["length_ft"] / filled["spans"]).where(filled["spans"].notna())
    span = present["span_ft"].where(same_length & present["span_ft"].notna() & frame["spans"].isna(), span)
    filled = filled.assign(span_ft=span, deck_area_sf=filled["length_ft"] * filled["width_ft"])
    taken = frame["structure_id"][same_length | (frame["width_ft"].isna() & present["width_ft"].notna())]
    if taken.empty:
        return filled, []
    text = (
        f"{wording.count(len(taken), 'bridge')} without a planned size taken at the size of the present bridge, with "
        f"nothing added: {', '.join(taken.head(6))}{', …' if len(taken) > 6 else ''}."
    )
    return filled, [Finding("size_of_present_bridge", "check", text, "Give the planned length and out-to-out width.")]


def _present(inventory: pd.DataFrame) -> pd.DataFrame:
    """The latest row of each structure, by its number."""
    columns = ["name", "length_ft", "width_ft", "spans", "span_ft", "skew_deg", "year_built"]
    latest = inventory.drop_duplicates("structure_id", keep="last").set_index("structure_id")
    found = latest.reindex(columns=columns)
    numbers = {name: _numbers(found, name) for name in columns[1:]}
    return found.assign(**numbers, name=found["name"].astype("str"), on_list=True)


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


def _cost_notes(frame: pd.DataFrame, contingency_ratio: float) -> list[Finding]:
    """What beside the contract is in these dollars, said every time."""
    in_it = [words for name, words in FIXED_COSTS.items() if frame[name].sum() > 0]
    left = [words for name, words in FIXED_COSTS.items() if frame[name].sum() == 0]
    said = [f"Added as given, not predicted: {', '.join(in_it)}."] if in_it else []
    said += [f"Not in these dollars: {', '.join(left)}."] if left else []
    rate = wording.percent(contingency_ratio).lstrip("+")
    said.append(f"Contingency of {rate} added to every contract." if contingency_ratio else "No contingency is added.")
    return [Finding("what_is_in", "note", " ".join(said))]

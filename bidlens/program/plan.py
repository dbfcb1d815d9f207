"""The list of bridges to be let in one year or several: read from a frame, sizes filled in from the inventory, checked.

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
from bidlens.program.sizes import AS_PRESENT, SIZES, Growth, numbers, sized
from bidlens.superstructure import joined, read_alternatives

#: Costs beside the contract, in dollars of the letting as stated; column and words.
FIXED_COSTS = {
    "engineering_usd": "engineering",
    "right_of_way_usd": "right of way",
    "utilities_usd": "utilities",
    "railroad_usd": "railroad",
}
#: Lettings are forecast to the end of this many years past the year of the last published quarter, and so many at once.
MOST_YEARS_AHEAD = 6
#: A contingency above this share of the contract is taken for a slip, such as 10 for 10 %.
MOST_CONTINGENCY = 1.0
NOT_STATED = "not stated"


@dataclass(frozen=True, slots=True, eq=False)
class ProgramList:
    """The bridges of one year, or of `years` from it on, in the owner's order.

    frame : one row per bridge, index 0 to m-1: structure_id, name, priority, superstructure, alternatives (types
        parted by “|”, the planned one first), length_ft, width_ft, spans, span_ft, skew_deg, deck_area_sf,
        letting_date, the columns of FIXED_COSTS, year_built.
    contingency_ratio : added to every contract, 0.10 for 10 %. findings : what was filled in or looks doubtful.
    """

    frame: pd.DataFrame
    year: int
    contingency_ratio: float
    findings: tuple[Finding, ...]
    years: int = 1

    @property
    def last_year(self) -> int:
        return self.year + self.years - 1

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
    growth: Growth = AS_PRESENT,
    years: int = 1,
) -> ProgramList:
    """Check a program list and fill in what the inventory knows.

    bridges : structure_id and superstructure, and where known priority, length_ft, width_ft, spans, skew_deg,
        letting_date and the columns of FIXED_COSTS. Bridges planned for another year are left out, with a finding.
        Alternatives of type are parted by “|”, the planned one first.
    growth : for bridges without a planned size. years : how many letting years, 1 to 6.
    inventory : the structure list, one row per structure.
    first_letting : first letting on record. last_published : last published quarter of the cost index.
    Raises BadValue for an empty list, a structure named twice or not at all, a missing width or length, a negative
    cost, a letting before the history or more than six years past the index.
    """
    if bridges.empty:
        raise BadValue("the program list holds no bridge", do="Name one bridge or more, each with its planned type.")
    if not np.isfinite(contingency_ratio) or not 0 <= contingency_ratio <= MOST_CONTINGENCY:
        raise BadValue(f"a contingency of {contingency_ratio:g} cannot be used", do="Write 0.10 for 10 %.")
    if not 1 <= years <= MOST_YEARS_AHEAD:
        raise BadValue(
            f"a program of {wording.count(years, 'year')} cannot be forecast",
            do=f"Ask for 1 to {MOST_YEARS_AHEAD} years.",
        )
    frame, findings = _named(bridges)
    frame, more = _of_years(frame, year, year + years - 1)
    findings += more
    _check_window(frame["letting_date"], year + years - 1, first_letting, last_published)
    frame, more = sized(frame, inventory, growth)
    findings += more + _cost_notes(frame, contingency_ratio)
    return ProgramList(frame, year, float(contingency_ratio), tuple(findings), years)


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
    alternatives, findings = _types(given["superstructure"], names)
    sizes = {name: numbers(given, name) for name in ("priority", *SIZES)}
    fixed = {name: numbers(given, name).fillna(0.0) for name in FIXED_COSTS}
    shown = given["name"].astype("str") if "name" in given else pd.Series(pd.NA, given.index, dtype="str")
    frame = pd.DataFrame({"structure_id": pd.array(names, dtype="str"), "name": shown})
    frame["superstructure"] = pd.array([kinds[0] for kinds in alternatives], dtype="str")
    frame = frame.assign(
        alternatives=pd.array([joined(kinds) for kinds in alternatives], dtype="str"),
        **sizes,
        **fixed,
        letting_date=_dates(given),
    )
    _check_numbers(frame)
    return frame.sort_values("priority", kind="stable", na_position="last").reset_index(drop=True), findings


def _types(written: pd.Series, names: Sequence[str]) -> tuple[list[list[str]], list[Finding]]:
    """The types of each bridge by their standard names, the planned one first."""
    found, findings = [], []
    for text, name in zip(written, names, strict=True):
        blank = pd.isna(text) or str(text).strip() in ("", NOT_STATED)
        kinds, doubts = ([], []) if blank else read_alternatives(str(text))
        findings += [Finding(doubt.code, doubt.severity, f"{name}: {doubt.text}", doubt.do) for doubt in doubts]
        if not kinds:
            said = f"{name} states no superstructure type; its cost is that of a type we have never let."
            findings.append(Finding("superstructure_not_stated", "check", said, "Fill in the type planned."))
        found.append(kinds or [NOT_STATED])
    return found, findings


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


def _of_years(frame: pd.DataFrame, year: int, last: int) -> tuple[pd.DataFrame, list[Finding]]:
    """Bridges to be let from `year` to `last`; without a planned letting they count as planned for 1 July of `year`."""
    planned = frame["letting_date"].dt.year
    kept = frame[planned.isna() | planned.between(year, last)]
    span = str(year) if year == last else f"{year}–{last}"
    if kept.empty:
        there = ", ".join(str(int(each)) for each in sorted(planned.dropna().unique()))
        raise BadValue(
            f"no bridge of the program list is planned for {span}; its lettings are planned for {there}",
            do=f"Ask for {int(planned.min())}, or leave the planned letting out to let the whole list in {year}.",
        )
    findings = []
    if away := len(frame) - len(kept):
        names = ", ".join(frame.loc[~frame.index.isin(kept.index), "structure_id"].head(6))
        text = f"{wording.count(away, 'bridge')} planned for another year than {span} left out: {names}."
        findings.append(Finding("other_year", "check", text, "Ask for that year too."))
    if undated := int(kept["letting_date"].isna().sum()):
        when = f"1 July {year}" if year == last else f"1 July of the year it falls in, {year} at the earliest"
        text = f"{wording.count(undated, 'bridge')} without a planned letting taken as let on {when}."
        findings.append(Finding("letting_assumed", "note", text))
    middle = pd.Timestamp(year, 7, 1) if 1 <= year <= 9999 else pd.NaT
    return kept.assign(letting_date=kept["letting_date"].fillna(middle)).reset_index(drop=True), findings


def _check_window(lettings: pd.Series, last_year: int, first_letting: dt.date, last_published: str) -> None:
    """No letting before the history, none past the sixth year after that of the last published index."""
    first, earliest = quarters.quarter_of(first_letting), quarters.quarter_of(lettings.min())
    if quarters.position(earliest) < quarters.position(first):
        raise BadValue(
            f"a letting is planned for {quarters.shown(earliest)}, before the history begins in "
            f"{quarters.shown(first)}",
            do="Correct the year, or import older bid tabs.",
        )
    most = int(last_published[:4]) + MOST_YEARS_AHEAD
    if last_year > most:
        raise BadValue(
            f"lettings are asked for to {last_year}; the cost index is published to {quarters.shown(last_published)} "
            f"and forecast {MOST_YEARS_AHEAD} years past that year, to {most}",
            do="Ask for an earlier year or fewer years, or import a newer cost index.",
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

"""Which cost index prices are restated by: a shipped one, an imported series and release, or none.

The choice is made anew with every question and kept nowhere. A name is that of a series, alone (its newest release on
record) or with a release after it: "nhcci", "nhcci-adjusted", "NHCCI 2026Q2", "Steel 2025Q4", "none".
"""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from bidlens import model, quarters, reference
from bidlens.errors import BadValue, MissingReference
from bidlens.findings import Finding
from bidlens.ingest.cost_index import ADJUSTED, RAW, index_of_rows
from bidlens.reference import NO_INDEX, CostIndex

DEFAULT_INDEX = "nhcci"

#: The name a shipped index has among imported series.
_IMPORTED_AS = {"nhcci": RAW, "nhcci-adjusted": ADJUSTED}


def chosen_index(name: str | None, series: pd.DataFrame, values: pd.DataFrame) -> CostIndex:
    """The index a name stands for. series, values : rows of `index_series` and `index_value` on record.

    A shipped name alone is the shipped release, also where a newer one was imported: that is asked for by its release.
    Raises MissingReference, naming those there are, for a name or a release that is not there.
    """
    base, release = _parted(name or DEFAULT_INDEX)
    shipped = _shipped_name(base)
    if base == NO_INDEX and release is None:
        return reference.no_index()
    if shipped and release in (None, reference.load_shipped_index(shipped).release):
        return reference.load_shipped_index(shipped)
    wanted = _IMPORTED_AS[shipped] if shipped else base
    own = series[series["series"].str.lower() == wanted.lower()]
    if own.empty or (release is not None and release not in set(own["release"])):
        raise MissingReference(f"there is no cost index “{name}”", do=f"Known: {', '.join(known_names(series))}.")
    return index_of_rows(wanted, series, values, release)


def known_names(series: pd.DataFrame) -> list[str]:
    """Every name that can be asked for: shipped ones, imported series with their release, and none."""
    imported = sorted(f"{one['series']} {one['release']}" for one in series.to_dict("records"))
    return [*reference.SHIPPED_INDEXES, *imported, NO_INDEX]


def choice_findings(index: CostIndex, series: pd.DataFrame) -> list[Finding]:
    """What the reader must know of the choice: prices left as bid, or a newer release on record that was not used."""
    if index.is_none:
        text = (
            "No cost index is used: every price stands in the dollars of its own letting, and whatever prices rose "
            "between lettings is left in them. What is expected is in the dollars of the record's own last years."
        )
        return [Finding("no_cost_index", "check", text, "Choose an index to compare lettings of different years.")]
    shipped = _shipped_name(index.name) if index.seasonally_adjusted is not True else "nhcci-adjusted"
    name = _IMPORTED_AS.get(shipped or "", index.name)
    releases = [str(one) for one in series.loc[series["series"].str.lower() == name.lower(), "release"]]
    newest = max(releases, key=quarters.position, default=index.release)
    if quarters.position(newest) <= quarters.position(index.release):
        return []
    text = f"{index.title} is used; release {quarters.shown(newest)} of it is on record."
    return [Finding("newer_index_on_record", "note", text, f"To use it, choose the index “{name} {newest}”.")]


def reaching(index: CostIndex, needed: Sequence[str]) -> CostIndex:
    """The index, extended by forecast to the last quarter needed; the forecast part is marked in it."""
    last = max(needed, key=quarters.position, default=index.last)
    return model.extend_index(index, last) if quarters.position(last) > quarters.position(index.last) else index


def base_quarter(index: CostIndex, dollars_of: str | None, let: Sequence[str]) -> str:
    """The quarter whose dollars prices are shown in; without an index the last letting's, since none is restated.

    Raises BadValue for a quarter asked of no index, MissingReference for one outside the published index.
    """
    if index.is_none:
        if dollars_of:
            raise BadValue(
                f"without a cost index no price can be restated in dollars of {quarters.shown(dollars_of)}",
                do="Choose an index, or leave the quarter out: prices are then as bid.",
            )
        return max(let, key=quarters.position, default=reference.load_shipped_index().last_published)
    base = quarters.parse_quarter(dollars_of) if dollars_of else index.last_published
    index.at(base)  # prices are never restated in dollars of a quarter nobody has published
    return base


def refuse_mixed(one: CostIndex, other: CostIndex) -> None:
    """Stop where figures by two indexes would meet: raw and adjusted, two releases, or two series.

    Raises BadValue. The past of an adjusted series moves at each release, so not even the releases of one index mix.
    """
    same = (one.name, one.release, one.seasonally_adjusted) == (other.name, other.release, other.seasonally_adjusted)
    if not same:
        raise BadValue(
            f"prices by two cost indexes cannot be mixed: {one.title} and {other.title}",
            do="Use one index for the history and for the offer.",
        )


def _parted(name: str) -> tuple[str, str | None]:
    """A series name and the release after it, if there is one."""
    text = " ".join(name.split())
    base, _, last = text.rpartition(" ")
    try:
        return (base.lower(), quarters.parse_quarter(last)) if base else (text.lower(), None)
    except BadValue:
        return text.lower(), None


def _shipped_name(base: str) -> str | None:
    by_name = {**{name: name for name in reference.SHIPPED_INDEXES}, **{v.lower(): k for k, v in _IMPORTED_AS.items()}}
    return by_name.get(base.lower())

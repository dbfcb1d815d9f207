"""What is compared and which lettings are shown, kept in the URL so that a view can be sent to a colleague.

The yardstick (basis, dollars of, index) changes every number. The narrowing filters choose the structures that are
drawn, listed and averaged; what is *expected* is always learnt from the whole record, and the pages say so.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from urllib.parse import urlencode

import pandas as pd
import streamlit as st

from bidlens import quarters, wording
from bidlens.dashboard.words import label
from bidlens.errors import BadValue
from bidlens.normalizer import load_bases
from bidlens.workflow import DEFAULT_BASIS

NARROWING = ("types", "years", "span", "area", "bidders", "agency")
#: Every name of ours in the URL that goes along from page to page.
SHARED = ("basis", "dollars_of", "index", *NARROWING)

#: Column of the history each numeric filter looks at; the years are those of `letting_date`.
COLUMN = {"span": "span_ft", "area": "deck_area_sf", "bidders": "bidders"}

_RANGE = re.compile(r"([0-9]{1,7}(?:\.[0-9]{1,2})?)?(-)?([0-9]{1,7}(?:\.[0-9]{1,2})?)?")


@dataclass(frozen=True, slots=True)
class Limits:
    """From one number to another, both included; None leaves that end open."""

    low: float | None = None
    high: float | None = None

    def __bool__(self) -> bool:
        return self.low is not None or self.high is not None

    @classmethod
    def read(cls, text: str, name: str) -> Limits:
        """“20-80”, “20-”, “-80” or “20”. Raises BadValue for anything else."""
        found = _RANGE.fullmatch(text.strip())
        if found is None or text.strip() == "-":
            raise BadValue(f"cannot use “{text}” as the {name}", do="Write two numbers with a hyphen, such as 20-80.")
        low, dash, high = found.groups()
        ends = (float(low) if low else None, float(high) if high else None)
        return cls(*ends) if dash else cls(ends[0], ends[0])

    def hold(self, values: pd.Series) -> pd.Series:
        """Which values lie within; one that is not known does not."""
        return values.ge(-float("inf") if self.low is None else self.low) & values.le(
            float("inf") if self.high is None else self.high
        )

    def written(self) -> str:
        """As it stands in the URL."""
        if self.low is not None and self.low == self.high:
            return f"{self.low:.10g}"
        low, high = ("" if end is None else f"{end:.10g}" for end in (self.low, self.high))
        return f"{low}-{high}" if self else ""

    def in_words(self, number: bool = True) -> str:
        """“20 to 80”, “20 or more”, “up to 80”; years are written plain."""
        low, high = (
            "" if end is None else wording.number(end) if number else f"{end:.0f}" for end in (self.low, self.high)
        )
        if low and high:
            return low if low == high else f"{low} to {high}" if number else f"{low}–{high}"
        return f"{low} or {'more' if number else 'later'}" if low else f"up to {high}"


@dataclass(frozen=True, slots=True)
class Filters:
    """The yardstick, and which structures of the history are shown (nothing chosen: all of them)."""

    basis: str = DEFAULT_BASIS
    dollars_of: str | None = None
    index: str | None = None
    types: tuple[str, ...] = ()
    agencies: tuple[str, ...] = ()
    years: Limits = field(default_factory=Limits)
    span: Limits = field(default_factory=Limits)
    area: Limits = field(default_factory=Limits)
    bidders: Limits = field(default_factory=Limits)

    @classmethod
    def from_query(cls, query: Mapping[str, str]) -> Filters:
        """Read a URL's query. Raises BadValue for a basis, quarter, year or range that cannot be one."""
        quarter = query.get("dollars_of")
        return cls(
            basis=known_basis(query.get("basis", DEFAULT_BASIS)),
            dollars_of=quarters.parse_quarter(quarter) if quarter else None,
            index=query.get("index") or None,
            types=_several(query.get("types", "")),
            agencies=_several(query.get("agency", "")),
            years=_years(query.get("years", "")),
            span=Limits.read(query.get("span", ""), "span"),
            area=Limits.read(query.get("area", ""), "deck area"),
            bidders=Limits.read(query.get("bidders", ""), "number of bidders"),
        )

    @property
    def narrowed(self) -> bool:
        """Whether some structures may be left out of what is shown."""
        return bool(self.types or self.agencies or self.years or self.span or self.area or self.bidders)

    def keep(self, frame: pd.DataFrame, lettings: pd.DataFrame) -> pd.DataFrame:
        """The rows of a history asked for. lettings : the record's, for the agency that let each contract.

        A structure whose span or number of bidders is not known is left out once that is asked about.
        """
        if not self.narrowed or frame.empty:
            return frame
        kept = self.years.hold(frame["letting_date"].dt.year)
        for name, column in COLUMN.items():
            if limits := getattr(self, name):
                kept &= limits.hold(frame[column])
        if self.types:
            kept &= frame["superstructure"].isin(self.types)
        if self.agencies:
            kept &= agencies_of(frame, lettings).isin(self.agencies)
        return frame[kept]

    def in_words(self) -> list[str]:
        """What narrows the view, a phrase a filter."""
        said = [", ".join(label(kind, 40) for kind in self.types)] if self.types else []
        said += [f"let {self.years.in_words(number=False)}"] if self.years else []
        said += [f"spans of {self.span.in_words()} ft"] if self.span else []
        said += [f"decks of {self.area.in_words()} sf"] if self.area else []
        said += [f"bidders: {self.bidders.in_words()}"] if self.bidders else []
        return said + ([f"let by {', '.join(label(one, 60) for one in self.agencies)}"] if self.agencies else [])


def agencies_of(frame: pd.DataFrame, lettings: pd.DataFrame) -> pd.Series:
    """The agency that let each row of a history, on its row index; missing where the bid tab names none."""
    named = lettings.set_index(["contract_id", "letting_date"])["agency"]
    named = named[~named.index.duplicated()]
    found = named.reindex(pd.MultiIndex.from_frame(frame[["contract_id", "letting_date"]]))
    return pd.Series(found.to_numpy(), frame.index)


def known_basis(basis: str) -> str:
    """The basis itself. Raises BadValue, naming those there are, for one there is not."""
    if basis not in load_bases():
        raise BadValue(f"there is no cost basis “{basis}”", do=f"Use one of: {', '.join(load_bases())}.")
    return basis


def basis_title(basis: str) -> str:
    return load_bases()[basis].title


def _several(text: str) -> tuple[str, ...]:
    return tuple(one for one in text.split("~") if one)


def _years(text: str) -> Limits:
    limits = Limits.read(text, "years")
    for end in (limits.low, limits.high):
        if end is not None and not (end == int(end) and 1000 <= end <= 9999):
            raise BadValue(f"cannot read “{text}” as years", do="Write them with four digits, such as 2019-2024.")
    return limits


def set_query(name: str, value: str | None) -> None:
    """Put a value into the URL, or take it out."""
    set_queries({name: value})


def set_queries(changes: Mapping[str, str | None]) -> None:
    """Put several values into the URL, or take them out (None), as one step: the browser's Back undoes it whole."""
    now = st.query_params.to_dict()
    wanted = {name: value for name, value in {**now, **changes}.items() if value}
    if wanted != now:
        st.query_params.from_dict(wanted)


def reset(names: tuple[str, ...] = SHARED) -> None:
    """Take filters out of the URL, and so out of the links to the other pages."""
    set_queries(dict.fromkeys(names))


def address(**changes: str | None) -> str:
    """The query of a link on this page that keeps the view: what the URL asks for, with these changes (None: out)."""
    asked = {**{name: st.query_params[name] for name in st.query_params}, **changes}
    return "?" + urlencode({name: value for name, value in asked.items() if value})


def shared() -> dict[str, str]:
    """What of the URL goes along to another page."""
    return {name: st.query_params[name] for name in SHARED if name in st.query_params}

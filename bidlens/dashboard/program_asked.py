"""What is asked of a program list, kept in the URL: years, budget, basis, rules of size, service life."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import streamlit as st

from bidlens.dashboard import cache
from bidlens.dashboard.filter_bar import index_title
from bidlens.dashboard.filters import set_query
from bidlens.errors import BadValue
from bidlens.program.forecast import BASES
from bidlens.program.plan import MOST_YEARS_AHEAD

LIFE = 75.0
SHORTEST_AND_LONGEST = (10.0, 300.0)
_LIMITS = {
    "year": (1900.0, 2200.0), "years": (1.0, float(MOST_YEARS_AHEAD)), "contingency": (0.0, 100.0),
    "longer": (0.0, 200.0), "width": (8.0, 200.0), "life": SHORTEST_AND_LONGEST,
}  # fmt: skip
_BASIS_TITLES = {
    "contract": "whole contracts",
    "bridge": "bridge items",
    "bridge+mobilization": "bridge items and mobilization",
}


@dataclass(frozen=True, slots=True)
class Asked:
    """Year, how many years, budgets (dollars, one or one a year), contingency and longer in percent, width in feet."""

    year: int | None = None
    years: int = 1
    budgets: tuple[float, ...] = ()
    lapses: bool = False
    basis: str = "contract"
    mobilization: bool = False
    index: str | None = None
    contingency: float = 0.0
    longer: float = 0.0
    width: float | None = None
    life: float = LIFE

    @classmethod
    def from_query(cls, query: Mapping[str, str]) -> Asked:
        """Read a URL's query. Raises BadValue for what is no number, or none that can be meant."""
        year = _number(query, "year")
        basis, _, added = query.get("priced_on", "contract").partition("+")
        if basis not in BASES or added not in ("", "mobilization"):
            raise BadValue(f"cannot price a program on “{basis}”", do=f"Use one of: {', '.join(_BASIS_TITLES)}.")
        return cls(
            year=None if year is None else int(year),
            years=int(_number(query, "years_asked", "years") or 1),
            budgets=budgets_of(query.get("budget", "")),
            lapses=query.get("unspent") == "lapses",
            basis=basis,
            mobilization=bool(added) and basis == "bridge",
            index=query.get("index") or None,
            contingency=_number(query, "contingency") or 0.0,
            longer=_number(query, "longer") or 0.0,
            width=_number(query, "width"),
            life=_number(query, "life") or LIFE,
        )

    def keywords(self) -> dict[str, Any]:
        """For `cache.forecast`."""
        return {
            "years": self.years,
            "budget_usd": list(self.budgets) or None,
            "carries_over": not self.lapses,
            "basis": self.basis,
            "mobilization": self.mobilization,
            "contingency_ratio": self.contingency / 100,
            "growth": (self.longer / 100, self.width),
            "service_life_years": (self.life, max(self.life, 100.0)),
        }


def _basis_title(basis: str) -> str:
    return _BASIS_TITLES.get(basis, basis)


def budgets_of(text: str) -> tuple[float, ...]:
    """“1800000” or “1.8 M; 2,000,000”: dollars, one amount or one a year. Raises BadValue for what is no amount."""
    found = []
    for part in filter(None, (part.strip() for part in re.split(r"[;~\n]|,(?!\d{3})", text))):
        plain = re.fullmatch(r"\$?\s*(-?[\d,]*\.?\d+)\s*(m|million|k)?", part.lower())
        if plain is None:
            raise BadValue(f"cannot use “{text}” as the budget", do="Write dollars, such as 1,800,000; 2,000,000.")
        found.append(float(plain[1].replace(",", "")) * {"m": 1e6, "million": 1e6, "k": 1e3}.get(plain[2] or "", 1.0))
    return tuple(found)


def _number(query: Mapping[str, str], name: str, what: str = "") -> float | None:
    text, limits = query.get(name, ""), _LIMITS[what or name]
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not limits[0] <= value <= limits[1]:
        raise BadValue(
            f"cannot use “{text}” as the {what or name}",
            do=f"Write a number from {limits[0]:.0f} to {limits[1]:.0f}.",
        )
    return value


def widgets(asked: Asked, year: int) -> None:
    """Everything that can be asked, written to the URL when changed."""
    left, right = st.columns(2, gap="medium")
    with left:
        _number_input("year", "First letting year", year, step=1, whole=True)
        _number_input("years_asked", "How many years", asked.years, step=1, whole=True, usual=1, limits="years")
        _budget(asked)
        if asked.years > 1:
            st.session_state["program_unspent"] = asked.lapses
            st.checkbox("Money not spent in its year is gone", key="program_unspent", on_change=_unspent)
        _number_input("contingency", "Contingency, percent of each contract", asked.contingency, step=5.0, usual=0.0)
    with right:
        chosen = asked.basis + ("+mobilization" if asked.mobilization else "")
        _select("priced_on", "What the dollars contain", list(_BASIS_TITLES), chosen, "contract", _basis_title)
        names: list[str] = cache.table("index_names")
        choices = names if (asked.index or names[0]) in names else [*names, asked.index]
        _select("index", "Cost index", choices, asked.index or names[0], names[0], index_title)
        _number_input("longer", "New bridges without a size: longer by, percent", asked.longer, step=5.0, usual=0.0)
        _number_input("width", "and at least so wide, feet out to out", asked.width, step=1.0, usual=None)
        _number_input("life", "Service life to hold the pace against, years", asked.life, step=5.0, usual=LIFE)


def _number_input(
    name: str, text: str, value: float | None, *, step: float, whole: bool = False, usual: float | None = None,
    limits: str = "",
) -> None:  # fmt: skip
    low, high = _LIMITS[limits or name]
    kind: Any = int if whole else float
    st.session_state[f"program_{name}"] = None if value is None else kind(value)

    def changed() -> None:
        given = st.session_state[f"program_{name}"]
        set_query(name, None if given is None or given == usual else f"{given:g}")

    st.number_input(
        text, min_value=kind(low), max_value=kind(high), step=kind(step), format="%d" if whole else "%.0f",
        key=f"program_{name}", placeholder="as today", on_change=changed,
    )  # fmt: skip


def _budget(asked: Asked) -> None:
    """One budget as a number; of several years as text, one amount or one a year."""
    if asked.years == 1:
        st.session_state["program_budget"] = asked.budgets[0] if asked.budgets else None
        st.number_input(
            "Budget, dollars", min_value=0.0, step=50_000.0, format="%.0f", key="program_budget",
            placeholder="no budget", on_change=lambda: _budget_given(st.session_state["program_budget"]),
        )  # fmt: skip
        return
    st.session_state["program_budgets"] = "; ".join(f"{usd:,.0f}" for usd in asked.budgets)
    st.text_input(
        "Dollars a year: one amount, or one for each year, parted by ;", key="program_budgets",
        placeholder="no budget", on_change=lambda: set_query("budget", st.session_state["program_budgets"]),
    )  # fmt: skip


def _budget_given(usd: float | None) -> None:
    set_query("budget", None if usd is None else f"{usd:.0f}")


def _unspent() -> None:
    set_query("unspent", "lapses" if st.session_state["program_unspent"] else None)


def _select(name: str, text: str, choices: list[Any], chosen: str, usual: str, shown: Any) -> None:
    st.session_state[f"program_{name}"] = chosen

    def changed() -> None:
        given = st.session_state[f"program_{name}"]
        set_query(name, None if given == usual else given)

    st.selectbox(text, choices, format_func=shown, key=f"program_{name}", on_change=changed)

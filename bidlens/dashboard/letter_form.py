"""A supplier's letter as a form: the price, the scope, and the bridge from the list or by hand."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from decimal import Decimal, InvalidOperation
from typing import Any

import pandas as pd
import streamlit as st

from bidlens import superstructure
from bidlens.dashboard import blocks
from bidlens.dashboard.words import known, label
from bidlens.errors import BadValue
from bidlens.lengths import parse_length_ft
from bidlens.proposal import SCOPE_PARTS, Proposal

BY_HAND = "Geometry by hand"
LUMP_SUM, PER_SF, PER_BEAM, PER_LB = "lump sum", "per sq ft", "per beam", "per lb"
PLANT, SITE = "at the plant", "at the site"
#: Parts of the work the engineer can put an own cost to.
OWN_FIGURES = 3
#: A price from here on is taken for a slip of the keyboard.
LARGEST_PRICE_USD = 1_000_000_000
SCOPE_WORDS = {
    "furnish": "furnish",
    "deliver": "deliver",
    "set": "set",
    "deck": "deck",
    "closure": "closure pours",
    "bearings": "bearings",
    "railing": "railing",
    "wearing_surface": "wearing surface",
    "joints": "joints",
    "sales_tax": "sales tax",
}


def show(structures: pd.DataFrame) -> Proposal | None:
    """Draw the form; give the proposal once it is sent and can be read, and say what is wrong where it cannot."""
    listed = structures.drop_duplicates("structure_id", keep="last").set_index("structure_id")
    with st.form("letter", border=True):
        values = _fields(listed)
        sent = st.form_submit_button("Check this letter", type="primary")
    if not sent:
        return None
    with blocks.stops_shown():
        return proposal_of(values)
    return None


def _fields(listed: pd.DataFrame) -> dict[str, Any]:
    names = {one: label(f"{one}, {name}" if known(name) else one) for one, name in listed["name"].items()}
    kinds = [kind.name for kind in superstructure.all_types()]
    values: dict[str, Any] = {}
    first, second, third = st.columns(3)
    values["supplier"] = first.text_input("Supplier")
    values["superstructure"] = second.selectbox(
        "Superstructure offered", kinds, index=None, placeholder="Choose a type"
    )
    values["date"] = third.date_input("Date of the letter", value=None, format="YYYY-MM-DD")
    values["price"] = first.text_input("Price, dollars", placeholder="158,000")
    values["price_is"] = second.segmented_control(
        "The price is", [LUMP_SUM, PER_SF, PER_BEAM, PER_LB], default=LUMP_SUM, required=True
    )
    values["delivery"] = third.date_input("Delivery", value=None, format="YYYY-MM-DD")
    values["scope"] = st.pills(
        "The price includes",
        list(SCOPE_PARTS),
        selection_mode="multi",
        default=["furnish", "deliver", "set", "bearings"],
        format_func=_part,
    )
    values["structure"] = st.selectbox(
        "Bridge", [BY_HAND, *listed.index], format_func=lambda one: names.get(one, label(one))
    )
    st.caption("Leave the geometry empty to take it from the list. Lengths as 62 ft, 28'-0\", 8.5 m.")
    columns = st.columns(4)
    values["length"] = columns[0].text_input("Length", placeholder="62 ft")
    values["width"] = columns[1].text_input("Out-to-out width", placeholder="28'-0\"")
    values["spans"] = columns[2].number_input("Spans", min_value=1, max_value=60, value=None, step=1)
    values["skew"] = columns[3].number_input("Skew, degrees", min_value=0.0, max_value=80.0, value=None)
    with st.expander("More the letter says"):
        values |= _further_terms()
    with st.expander("Your own costs: own crew, or a part the letter leaves out"):
        values |= _own_costs()
    return values


def _further_terms() -> dict[str, Any]:
    """What goes with a price by the beam or pound, how long it stands, where beams change hands, the clear width."""
    columns = st.columns(3)
    return {
        "beams": columns[0].number_input("Beams in all, for a price per beam", 1, 500, None, 1),
        "weight": columns[1].text_input("Pounds, for a price per pound", placeholder="48,500"),
        "valid_until": columns[2].date_input("Price stands until", value=None, format="YYYY-MM-DD"),
        "fob": columns[0].selectbox("F.O.B.", [PLANT, SITE], index=None, placeholder="Not said"),
        "clear_width": columns[1].text_input("Clear width between rails, if that is all it says", placeholder="24 ft"),
        "clear_width_adds": columns[2].text_input("What both sides add to it", placeholder="2'-8\""),
    }


def _own_costs() -> dict[str, Any]:
    """Own forces with their work, and own figures that stand in place of the county's median."""
    st.caption(
        "In dollars of the letter. An own figure stands in place of what the county's past contracts would give."
    )
    forces = st.text_input("Own forces, dollars", placeholder="21,000", key="own_forces", width=420)
    work = st.pills(
        "The own forces do", list(SCOPE_PARTS), selection_mode="multi", format_func=_part, key="own_forces_do"
    )
    figures = []
    for number in range(OWN_FIGURES):
        first, second = st.columns([2, 1])
        part = first.selectbox(
            "Part left out", list(SCOPE_PARTS), index=None, format_func=_part, placeholder="Choose a part",
            key=f"own_part_{number}", label_visibility="visible" if not number else "collapsed",
        )  # fmt: skip
        usd = second.text_input(
            "Your own cost, dollars", placeholder="12,000", key=f"own_usd_{number}",
            label_visibility="visible" if not number else "collapsed",
        )  # fmt: skip
        figures.append((part, usd))
    return {"own_forces": forces, "own_forces_do": work, "own_figures": figures}


def _part(part: str) -> str:
    return SCOPE_WORDS.get(part, part)


def proposal_of(values: dict[str, Any]) -> Proposal:
    """The proposal the form's values make. Raises BadValue naming the field that cannot be read."""
    if not values["superstructure"]:
        raise BadValue("the superstructure offered is missing", where="the form", do="Choose a type from the list.")
    structure = None if values["structure"] == BY_HAND else values["structure"]
    length = _length(values["length"], "Length")
    width = _length(values["width"], "Out-to-out width")
    clear = _length(values.get("clear_width") or "", "Clear width")
    if structure is None and (length is None or (width is None and clear is None)):
        raise BadValue(
            "length and out-to-out width are needed", where="the form", do="Give both, or pick a bridge from the list."
        )
    date: dt.date | None = values["date"]
    return Proposal(
        proposal_id="typed-in letter",
        supplier=" ".join(values["supplier"].split()) or "The supplier",
        superstructure=values["superstructure"],
        superstructure_as_read=values["superstructure"],
        scope=_in_order(values["scope"]),
        date=date,
        structure=structure,
        length_ft=length,
        width_ft=width,
        spans=int(values["spans"]) if values["spans"] else None,
        skew_deg=values["skew"],
        delivery=values["delivery"],
        valid_until=values.get("valid_until"),
        fob={PLANT: "plant", SITE: "site"}.get(values.get("fob") or ""),
        clear_width_ft=clear,
        clear_width_adds_ft=_length(values.get("clear_width_adds") or "", "What both sides add"),
        **_price(values),
        **_own(values),
    )


def _in_order(parts: Iterable[str] | None) -> tuple[str, ...]:
    return tuple(part for part in SCOPE_PARTS if part in (parts or ()))


def _price(values: dict[str, Any]) -> dict[str, Any]:
    """The price under the name of its unit, with what it is multiplied by."""
    price, unit = read_money(values["price"]), values["price_is"]
    if unit == PER_BEAM:
        if not values.get("beams"):
            raise BadValue("a price per beam needs the number of beams", where="the form", do="Give the beams in all.")
        return {"price_per_beam": price, "beams": int(values["beams"])}
    if unit == PER_LB:
        return {"price_per_lb": price, "weight_lb": float(read_money(values.get("weight") or "", "Pounds"))}
    return {"price_usd" if unit == LUMP_SUM else "price_per_sf": price}


def _own(values: dict[str, Any]) -> dict[str, Any]:
    """Own forces and own figures, as far as they are filled in."""
    forces, figures = (values.get("own_forces") or "").strip(), {}
    for part, usd in values.get("own_figures") or ():
        if not part and not usd.strip():
            continue
        if not part:
            raise BadValue(f"your own cost of {label(usd)} names no part", where="the form", do="Choose the part.")
        if part in figures:
            raise BadValue(f"your own cost of {_part(part)} is given twice", where="the form", do="Keep one.")
        figures[part] = read_money(usd, f"Your own cost of {_part(part)}")
    return {
        "own_forces_usd": read_money(forces, "Own forces") if forces else None,
        "own_forces_scope": _in_order(values.get("own_forces_do")) if forces else (),
        "own_figures": tuple(figures.items()),
    }


def read_money(text: str, field: str = "Price") -> Decimal:
    """Dollars as typed: 158,000 or $158,000.50. Raises BadValue, naming the field, for anything else."""
    bare = text.strip().removeprefix("$").replace(",", "").replace(" ", "")
    try:
        value = Decimal(bare)
    except InvalidOperation as error:
        raise BadValue(
            f"cannot read “{label(text)}” as a number", where=f"the form, {field}", do="Write it as 158,000."
        ) from error
    if not value.is_finite() or not 0 < value < LARGEST_PRICE_USD:
        raise BadValue(
            f"“{label(text)}” is not above zero and below a billion",
            where=f"the form, {field}",
            do="Write it as 158,000.",
        )
    return value


def _length(text: str, field: str) -> float | None:
    return parse_length_ft(text, place=f"the form, {field}") if text.strip() else None

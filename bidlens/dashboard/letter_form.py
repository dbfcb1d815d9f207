"""A supplier's letter as a form: the price, the scope, and the bridge from the list or by hand."""

from __future__ import annotations

import datetime as dt
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
LUMP_SUM = "lump sum"
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
        "The price is", [LUMP_SUM, "per square foot"], default=LUMP_SUM, required=True
    )
    values["delivery"] = third.date_input("Delivery", value=None, format="YYYY-MM-DD")
    values["scope"] = st.pills(
        "The price includes",
        list(SCOPE_PARTS),
        selection_mode="multi",
        default=["furnish", "deliver", "set", "bearings"],
        format_func=lambda part: SCOPE_WORDS.get(part, part),
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
    return values


def proposal_of(values: dict[str, Any]) -> Proposal:
    """The proposal the form's values make. Raises BadValue naming the field that cannot be read."""
    if not values["superstructure"]:
        raise BadValue("the superstructure offered is missing", where="the form", do="Choose a type from the list.")
    price = read_money(values["price"])
    lump = values["price_is"] == LUMP_SUM
    structure = None if values["structure"] == BY_HAND else values["structure"]
    length = _length(values["length"], "Length")
    width = _length(values["width"], "Out-to-out width")
    if structure is None and (length is None or width is None):
        raise BadValue(
            "length and out-to-out width are needed", where="the form", do="Give both, or pick a bridge from the list."
        )
    date: dt.date | None = values["date"]
    return Proposal(
        proposal_id="typed-in letter",
        supplier=" ".join(values["supplier"].split()) or "The supplier",
        superstructure=values["superstructure"],
        superstructure_as_read=values["superstructure"],
        scope=tuple(part for part in SCOPE_PARTS if part in (values["scope"] or ())),
        price_usd=price if lump else None,
        price_per_sf=None if lump else price,
        date=date,
        structure=structure,
        length_ft=length,
        width_ft=width,
        spans=int(values["spans"]) if values["spans"] else None,
        skew_deg=values["skew"],
        delivery=values["delivery"],
    )


def read_money(text: str) -> Decimal:
    """Dollars as typed: 158,000 or $158,000.50. Raises BadValue for anything else."""
    bare = text.strip().removeprefix("$").replace(",", "").replace(" ", "")
    try:
        value = Decimal(bare)
    except InvalidOperation as error:
        raise BadValue(
            f"cannot read “{label(text)}” as dollars", where="the form, Price", do="Write it as 158,000."
        ) from error
    if not value.is_finite() or not 0 < value < LARGEST_PRICE_USD:
        raise BadValue(
            f"a price of “{label(text)}” is not above zero and below a billion dollars",
            where="the form, Price",
            do="Write it as 158,000.",
        )
    return value


def _length(text: str, field: str) -> float | None:
    return parse_length_ft(text, place=f"the form, {field}") if text.strip() else None

"""Spellings that may be one: what is suggested, what is flagged, and what never is. Firms and items are invented."""

from __future__ import annotations

import time

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bidlens.normalizer import suggest_bidders, suggest_pay_items
from bidlens.normalizer.names import bidder_name, item_name, likeness


def bidders(*names: str) -> pd.DataFrame:
    return pd.DataFrame({"bidder": list(names), "contracts": range(1, len(names) + 1)})


def items(*descriptions: str, unit: str = "CY") -> pd.DataFrame:
    count = len(descriptions)
    return pd.DataFrame({"description": list(descriptions), "pay_unit": [unit] * count,
                         "work_category": ["deck"] * count, "lines": [1] * count})  # fmt: skip


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Kestrel Bridge Co.", "KESTREL BRIDGE COMPANY, INC"),
        ("Harrier Const.", "Harrier Construction LLC"),
        ("Harier Construction", "Harrier Construction"),
        ("J. R. Wren & Sons", "JR Wren and Sons"),
        ("Mc Alder Inc", "McAlder L.L.C."),
        ("Hornbeam Bros. Contractors", "HORNBEAM BROTHERS CONTRACTING"),
    ],
)
def test_one_firm_spelt_in_two_ways_is_suggested_without_a_flag(one: str, other: str) -> None:
    [found] = suggest_bidders(bidders(one, other)).to_dict("records")
    assert (found["spelling"], found["bidder"], found["flag"]) == (one, other, "")


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Alder Paving", "Alder Bridge"),
        ("A Wren Paving", "B Wren Paving"),
        ("Wren Brothers", "Wren & Sons"),
        ("Alder 1 Paving", "Alder 2 Paving"),
        ("North Alder Bridge", "South Alder Bridge"),
        ("Northern Bridge Works", "Southern Bridge Works"),
        ("Alder", "Alder Paving"),
        ("", "Alder Paving"),
    ],
)
def test_two_firms_are_not_suggested_as_one(one: str, other: str) -> None:
    assert suggest_bidders(bidders(one, other)).empty


@pytest.mark.parametrize("longer", ["Alder Paving of Larkmoor", "Alder Paving West", "Alder Paving & Sons, Inc."])
def test_a_name_with_more_words_is_suggested_only_with_a_flag_that_names_them(longer: str) -> None:
    [found] = suggest_bidders(bidders("Alder Paving", longer)).to_dict("records")
    assert found["flag"].startswith("one has more words: ")


def test_two_spellings_that_bid_on_one_contract_are_flagged() -> None:
    pair = ("Kestrel Bridge Co.", "KESTREL BRIDGE CO")
    [found] = suggest_bidders(bidders(*pair), {frozenset(pair)}).to_dict("records")
    assert found["flag"] == "both bid on one contract"


def test_each_spelling_is_offered_once_with_the_commonest_bidder() -> None:
    found = suggest_bidders(bidders("KESTREL BRIDGE CO", "Kestrel Bridge Company", "Kestrel Bridge Co."))
    assert found["bidder"].tolist() == ["Kestrel Bridge Co.", "Kestrel Bridge Co."]


# The traps below are the ones a score of whole strings falls into: likenesses of 92 to 97 of 100, measured.
@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("CONCRETE CLASS A", "CONCRETE CLASS B"),
        ("CONCRETE QC2", "CONCRETE QC3"),
        ("CONDUIT, 12 IN", "CONDUIT, 18 IN"),
        ('Pipe 12"', 'Pipe 18"'),
        ("Overlay 1.5 IN", "Overlay 15 IN"),
        ("Bar 1/2 IN", "Bar 1/4 IN"),
        ("Excavation, type I", "Excavation, type II"),
        ("Box 24 x 36", "Box 36 x 24"),
        ("Railing, painted", "Railing, unpainted"),
        ("Grate, inlet", "Grate, outlet"),
        ("Reinforcing steel", "Reinforcing steel, epoxy coated"),
        ("Superstructure concrete", "Substructure concrete"),
    ],
)
def test_items_that_differ_in_what_is_paid_are_never_suggested(one: str, other: str) -> None:
    assert suggest_pay_items(items(one, other)).empty
    alike = likeness(item_name(one), item_name(other))
    assert alike is None or alike.flag


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("CONC. CLASS A", "Concrete, Cl A"),
        ('12" CONDUIT', "Conduit, 12 inch"),
        ("Bridge parapet, concrete", "CONC PARAPET, BRIDGE"),
        ("Elastomeric bearing pad", "ELASTOMERIC BEARING PADS"),
        ("Removal of existing structure", "Remove existing structure"),
        ("Reinforceing steel", "Reinforcing steel"),
    ],
)
def test_an_item_written_in_two_ways_is_suggested(one: str, other: str) -> None:
    assert len(suggest_pay_items(items(one, other))) == 1


def test_items_of_two_units_are_never_suggested_and_two_categories_come_first() -> None:
    assert suggest_pay_items(pd.concat([items("Deck concrete"), items("DECK CONCRETE", unit="SY")])).empty
    frame = items("Riprap", "RIPRAP", "Deck concrete", "DECK CONCRETE")
    frame.loc[3, "work_category"] = "approach"
    found = suggest_pay_items(frame)
    assert found["description"].tolist()[0].lower() == "deck concrete"
    assert (found["category"] != found["other_category"]).tolist() == [True, False]


def test_nothing_on_record_gives_nothing() -> None:
    assert suggest_bidders(bidders()).empty
    assert suggest_pay_items(items()).empty


@given(st.text(max_size=40))
def test_a_name_taken_apart_does_not_depend_on_case_and_never_fails(text: str) -> None:
    assert bidder_name(text).marks == bidder_name(f"  {text}  ").marks
    assert likeness(item_name(text), item_name(text)) is None or not likeness(item_name(text), item_name(text)).flag  # type: ignore[union-attr]


def test_a_thousand_names_are_held_together_within_seconds() -> None:
    heads = ["Kestrel", "Harrier", "Wren", "Alder", "Hornbeam"]
    tails = ["Paving", "Bridge", "Contracting", "Excavating", "Structures", "Materials"]
    names = [f"{a} {b}ford {c}" for a in heads for b in "bcdfghjklmnpqrstvwxyz" for c in tails]
    names = [*names, *(name.upper() + " INC" for name in names)]
    begun = time.perf_counter()
    assert len(suggest_bidders(bidders(*names))) >= len(names) // 2
    assert time.perf_counter() - begun < 10

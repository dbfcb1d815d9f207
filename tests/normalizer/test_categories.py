"""Pay items find their work category, say which rule placed them, and yield to the engineer.

Outside check: `shared/category_examples.csv`, items of three states' public bid tabs labelled by a reader who did not
write the rules. The wordings of `pay_item_wordings.toml` and the rulings below are made up for these tests: common
practice, no source.
"""

from __future__ import annotations

import os
import tomllib
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bidlens import reference
from bidlens.errors import BadValue
from bidlens.normalizer.categories import (
    CATEGORY_MEANINGS,
    WORK_CATEGORIES,
    apply_overrides,
    categorize,
    check_category,
    is_time_bid,
)
from bidlens.normalizer.item_rules import category_rules
from bidlens.normalizer.pay_item_words import read_description, read_unit

#: Share of the example dollars that must be placed right, a second acceptable answer counting as right.
LEAST_SHARE_RIGHT = 0.97
WORDINGS: dict[str, list[str]] = tomllib.loads(
    Path(__file__).with_name("pay_item_wordings.toml").read_text(encoding="utf-8")
)
ITEMS = pd.DataFrame(
    [(*wording.split(" | "), category) for category, wordings in WORDINGS.items() for wording in wordings],
    columns=["description", "pay_unit", "expected"],
)


def placed(description: str, pay_unit: str = "", schedule: str = "") -> str:
    items = pd.DataFrame({"description": [description], "pay_unit": [pay_unit], "schedule": [schedule]})
    return str(categorize(items)["work_category"].iloc[0])


def examples() -> pd.DataFrame:
    """The labelled items with what the rules say of them: `first` and `right` (first or second answer)."""
    items = reference.load_table("category_examples").frame.copy()
    items["also_ok"] = items["also_ok"].astype("str").fillna("")
    found = categorize(items)
    items["found"], items["rule"] = found["work_category"], found["rule"]
    items["first"] = items["found"] == items["work_category"]
    items["right"] = items["first"] | (items["found"] == items["also_ok"])
    return items


def test_the_example_dollars_are_placed_right():
    items = examples()
    dollars = items["low_bid_usd"].astype(float)
    recall = (dollars * items["right"]).groupby(items["work_category"]).sum()
    recall = recall / dollars.groupby(items["work_category"]).sum()
    wrong = items[~items["right"]].sort_values("low_bid_usd", ascending=False)
    share = (dollars * items["right"]).sum() / dollars.sum()
    seen = wrong[["description", "low_bid_usd", "work_category", "found", "rule"]].to_string()
    assert share >= LEAST_SHARE_RIGHT, f"{share:.4f} right\n{recall.to_string()}\n{seen}"


def test_the_first_answer_is_given_for_nearly_all_example_dollars():
    items = examples()
    dollars = items["low_bid_usd"].astype(float)
    assert (dollars * items["first"]).sum() / dollars.sum() >= LEAST_SHARE_RIGHT


@pytest.mark.parametrize("category", list(WORDINGS))
def test_the_trades_own_wordings_are_placed(category):
    items = ITEMS[ITEMS["expected"] == category]
    found = categorize(items)
    wrong = items.assign(found=found["work_category"], rule=found["rule"])[found["work_category"] != category]
    assert wrong.empty, "\n" + wrong.to_string()


@pytest.mark.parametrize(
    ("description", "pay_unit", "category"),
    [
        # Adjacent boxes sold by the square foot are beams though they are called deck.
        ("Prestressed Conc Deck, 17 inch", "Sft", "beams"),
        # New steel is beams with its shop paint; steel that already stands and is cleaned or painted is not.
        ("Structural Steel, Shop Painted, Furnish and Erect", "LB", "beams"),
        ("Field Painting of Existing Steel Beams", "LS", "other"),
        ("Repair of Damaged Coating on New Steel", "LS", "beams"),
        ("Painting of Bearings", "EA", "bearings"),
        # Superstructure concrete comes in two lines, material and labor.
        ("Superstructure Concrete, Furnish", "CY", "deck"),
        ("Superstructure Concrete, Form, Finish and Cure", "LS", "deck"),
        # Lamps for night casting go with the deck, street lamps with the utilities.
        ("Bridge Lighting, Furnish and Remove", "LS", "deck"),
        ("Street Lighting on Bridge", "LS", "utilities"),
        ("False Decking", "SF", "deck"),
        # Concrete of no named element: deck grades to the deck, other grades to the substructure.
        ("Concrete, Class D", "CY", "deck"),
        ("Concrete, Grade S2", "CY", "substructure"),
        ("Concrete, Class D (Bridge)", "CY", "deck"),
        # Footings carry the pier, seals keep the water out.
        ("Footing Concrete", "CY", "substructure"),
        ("Tremie Seal", "CY", "foundation"),
        ("Subfooting Concrete", "CY", "substructure"),
        # Sheet piling for good is foundation, for a time it holds the excavation.
        ("Sheet Piling, Permanent", "SF", "foundation"),
        ("Sheet Piling, Temporary, Left in Place", "SF", "structure_excavation"),
        ("Temporary Wire Faced Wall", "SF", "structure_excavation"),
        # Temporary works follow what they serve.
        ("Temporary Shoring of Excavation", "LS", "structure_excavation"),
        ("Temporary Supports for Girders", "LS", "beams"),
        ("Temporary Bridge", "LS", "traffic"),
        ("Temporary Causeway", "LS", "other"),
        # Dowels follow the concrete they join, splices go with the bars.
        ("Drilled and Grouted Dowels", "EA", "substructure"),
        ("Mechanical Bar Splices", "EA", "reinforcement_unsplit"),
        # A joint of the bridge, a joint of the pavement, a strip over a wall joint.
        ("Expansion Joint, Strip Seal", "LF", "expansion_joints"),
        ("Expansion Joint in Concrete Pavement", "LF", "approach"),
        ("Joint Waterproofing, Abutment Wall", "SF", "substructure"),
        ("Bridge Approach Slab, Reinforced", "SY", "approach"),
        ("Grooving Bridge Deck and Approach Slab", "SY", "wearing_surface"),
        # The railing's own transition is railing, the guardrail's is road.
        ("Concrete Bridge Railing Transition", "EA", "railing"),
        ("Guardrail Transition to Bridge Railing", "EA", "approach"),
        ("Concrete Road Barrier, Single Face", "LF", "approach"),
        ("Sidewalk Handrail", "LF", "approach"),
        ("Slope Paving", "SY", "channel"),
        # Excavation by what it is dug for.
        ("Excavation, Wet", "CY", "structure_excavation"),
        ("Excavation, Waterway", "CY", "channel"),
        ("Excavation, Common", "CY", "approach"),
        ("Borrow", "CY", "approach"),
        ("Special Granular Borrow", "CY", "structure_excavation"),
        # Retaining walls are of no bridge element unless they say abutment, wing or return.
        ("MSE Retaining Wall", "SF", "other"),
        ("Abutment Wall Concrete", "CY", "substructure"),
        ("Three-Sided Precast Structure, 28 ft Span", "LF", "other"),
        # Finishes of no named element; sealer of pier caps.
        ("Rubbed Surface Finish", "SF", "other"),
        ("Sealer, Pier Caps", "SF", "substructure"),
        # Drainage by what it drains.
        ("Deck Drains", "EA", "deck"),
        ("Underdrain Behind Abutment", "LF", "structure_excavation"),
        ("Road Underdrain, 6 in", "LF", "approach"),
        ("Drainage Structure, 48 in", "EA", "approach"),
        ("Construction Staking", "LS", "other"),
        ("Railroad Flagging", "DAY", "other"),
        # Removal is of the bridge alone.
        ("Remove Existing Bridge", "LS", "removal"),
        ("Remove Existing Pavement", "SY", "approach"),
        ("Remove Existing Pipe", "LF", "approach"),
        ("Mobilization for Seeding", "EA", "erosion_control"),
        ("Sign Foundation, Drilled Shaft", "EA", "traffic"),
        ("Remove and Replace Bearings", "EA", "bearings"),
    ],
)
def test_what_the_money_buys_decides(description, pay_unit, category):
    assert placed(description, pay_unit) == category


def test_concrete_barrier_stands_on_the_bridge_only_where_its_schedule_says_so():
    assert placed("Concrete Barrier", "LF", "Bridge K-9") == "railing"
    assert placed("Concrete Barrier", "LF", "Roadway") == "approach"
    assert placed("Concrete Barrier", "LF", "2") == "approach"


def test_a_decision_names_its_rule_and_the_words_it_read():
    decided = categorize(pd.DataFrame({"description": ["Superstr Conc, Class C", "Blue Widget"]}))
    rule_id, words = str(decided["rule"].iloc[0]).split(" on ")
    assert rule_id in {rule.id for rule in category_rules()}
    assert words == "'SUPERSTRUCTURE CONCRETE'"
    assert list(decided.iloc[1]) == ["unclassified", "no rule matched"]


def test_rows_keep_their_index_and_missing_values_are_no_obstacle():
    items = pd.DataFrame(
        {"description": ["Riprap", None], "pay_unit": [None, "LS"], "schedule": [None, None]}, index=[7, 3]
    )
    decided = categorize(items)
    assert list(decided.index) == [7, 3]
    assert list(decided["work_category"]) == ["channel", "unclassified"]
    assert list(decided.columns) == ["work_category", "rule"]
    assert categorize(items.iloc[:0]).empty


def test_items_without_descriptions_are_refused():
    with pytest.raises(BadValue, match="column description"):
        categorize(pd.DataFrame({"item": ["Riprap"]}))


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(sorted(ITEMS["description"])),
    st.sampled_from([str.upper, str.lower, str.title]),
    st.sampled_from([" ", "   ", "\t"]),
    st.sampled_from(["", ".", ",", " ;", "  "]),
)
def test_case_blanks_and_closing_punctuation_do_not_matter(description, case, blank, end):
    rewritten = blank + blank.join(case(description).split()) + end
    assert placed(rewritten) == placed(description)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(sorted(ITEMS["description"])))
def test_commas_do_not_matter(description):
    assert placed(description.replace(",", "")) == placed(description.replace(",", " , "))


@given(st.text(max_size=60))
def test_any_text_gets_a_category_and_a_reason(description):
    decided = categorize(pd.DataFrame({"description": [description]})).iloc[0]
    assert decided["work_category"] in WORK_CATEGORIES
    assert decided["rule"]


def test_rule_ids_are_unique_and_every_category_is_known():
    rules = category_rules()
    assert len({rule.id for rule in rules}) == len(rules)
    assert {rule.category for rule in rules} <= set(WORK_CATEGORIES) - {"unclassified"}
    assert all(rule.about and rule.words for rule in rules)
    assert tuple(CATEGORY_MEANINGS) == WORK_CATEGORIES


def test_no_rule_is_dead():
    barrier = pd.DataFrame({"description": ["Concrete Barrier"], "pay_unit": ["LF"], "schedule": ["Bridge"]})
    seen = pd.concat([ITEMS, examples()[["description", "pay_unit"]], barrier], ignore_index=True)
    used = set(categorize(seen)["rule"].str.split(" on ").str[0])
    assert {rule.id for rule in category_rules()} - used == set()


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("_Superstr. Conc, Form & Finish", "SUPERSTRUCTURE CONCRETE FORM AND FINISH"),
        ('Prest Conc Box Bm, 21" x 48"', "PRESTRESSED CONCRETE BOX BEAM # X #"),
        ("Cofferdams (B02 of 90909)", "COFFERDAM"),
        ("Present Structure, Remove, Structure No. 4", "PRESENT STRUCTURE REMOVE"),
        ("CofferdamsSN 417", "COFFERDAM"),
        ("Concrete Class D (Bridge)", "CONCRETE CLASS D BRIDGE"),
        ("Rip Rap, Cl. 2", "RIPRAP CLASS #"),
    ],
)
def test_descriptions_are_read_in_one_spelling(written, read):
    assert read_description(written) == read


@pytest.mark.parametrize(
    ("written", "read"), [("C.Y.", "CY"), ("Cyd", "CY"), ("Lsum", "LS"), ("$", "DOLLAR"), ("", "")]
)
def test_pay_units_are_read_in_one_spelling(written, read):
    assert read_unit(written) == read


def test_time_bids_are_told_from_things_rented_by_the_day():
    items = pd.DataFrame(
        {
            "description": [
                "Calendar Days",
                "User Delay Cost",
                "Lane Rental",
                "Days to Complete Work",
                "Message Sign",
                "Incentive",
            ],
            "pay_unit": ["DAY", "DAY", "LS", "DAY", "CALENDAR DAY", "DLR"],
        },
        index=list("abcdef"),
    )
    assert list(is_time_bid(items)) == [True, True, True, True, False, False]
    assert list(is_time_bid(items).index) == list("abcdef")
    assert set(categorize(items)["work_category"][:4]) == {"other"}


ITEMS_TO_PLACE = pd.DataFrame(
    {
        "item_code": ["700-1", "700-1", "800-9"],
        "description": ["Concrete, Class B", "Concrete,  class b", "Riprap"],
        "pay_unit": ["C.Y.", "LS", "TON"],
    },
    index=[10, 11, 12],
)


def override(**given: str) -> dict[str, str]:
    return {"item_code": "", "pay_unit": "", "reason": "on the plans", **given}


def test_the_engineers_placing_comes_last_and_says_why():
    by_rule = categorize(ITEMS_TO_PLACE)
    overrides = pd.DataFrame([override(description="CONCRETE, CLASS B", pay_unit="CYD", work_category="deck")])
    decided = apply_overrides(ITEMS_TO_PLACE, by_rule, overrides)
    assert list(decided["work_category"]) == ["deck", "substructure", "channel"]
    assert decided["rule"].iloc[0] == "placed by hand: on the plans"
    assert by_rule["work_category"].iloc[0] == "substructure", "the frame given stays as it was"


def test_the_override_that_says_more_wins_over_the_one_that_says_less():
    overrides = pd.DataFrame(
        [
            override(description="Concrete, Class B", item_code="700-1", pay_unit="CY", work_category="railing"),
            override(description="Concrete, Class B", work_category="deck"),
        ]
    )
    decided = apply_overrides(ITEMS_TO_PLACE, categorize(ITEMS_TO_PLACE), overrides)
    assert list(decided["work_category"]) == ["railing", "deck", "channel"]


def test_no_override_changes_nothing():
    by_rule = categorize(ITEMS_TO_PLACE)
    none = pd.DataFrame(columns=["item_code", "description", "pay_unit", "work_category", "reason"])
    pd.testing.assert_frame_equal(apply_overrides(ITEMS_TO_PLACE, by_rule, none), by_rule)


def test_an_override_to_an_unknown_category_is_refused_with_the_names_there_are():
    overrides = pd.DataFrame([override(description="Riprap", work_category="rocks")])
    with pytest.raises(BadValue, match="rocks") as refused:
        apply_overrides(ITEMS_TO_PLACE, categorize(ITEMS_TO_PLACE), overrides)
    assert "channel" in refused.value.do
    with pytest.raises(BadValue):
        check_category("unclassified")
    with pytest.raises(BadValue, match="missing: reason"):
        apply_overrides(ITEMS_TO_PLACE, categorize(ITEMS_TO_PLACE), overrides.drop(columns="reason"))


@pytest.mark.real_files
@pytest.mark.skipif("BIDLENS_REAL_FILES" not in os.environ, reason="BIDLENS_REAL_FILES is not set: no bid tabs to read")
def test_under_one_percent_of_real_low_bid_dollars_stay_without_a_category():
    paths = sorted(Path(os.environ["BIDLENS_REAL_FILES"], "michigan").glob("*.xlsx"))[::8]
    items = pd.concat([_low_bid_lines(path) for path in paths], ignore_index=True)
    unplaced = categorize(items)["work_category"] == "unclassified"
    assert items["usd"][unplaced].sum() < 0.01 * items["usd"].sum()


def _low_bid_lines(path: Path) -> pd.DataFrame:
    """description, pay_unit and usd of the lines of rank 1; columns found by the trade words in their names."""
    sheet = pd.read_excel(path, engine="calamine", dtype="str")
    named = {word: next(name for name in sheet if word in str(name)) for word in ("Description", "Unit", "Ext", "Rank")}
    lines = sheet[sheet[named["Rank"]].str.strip() == "1"]
    usd = pd.to_numeric(lines[named["Ext"]].str.replace(r"[$,]", "", regex=True), errors="coerce")
    return pd.DataFrame(
        {"description": lines[named["Description"]], "pay_unit": lines[named["Unit"]], "usd": usd.fillna(0.0)}
    )

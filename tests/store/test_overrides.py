"""Pay items placed by hand, and rules applied anew to what is on record."""

from __future__ import annotations

import pandas as pd
import pytest

from bidlens.errors import BadValue, NotOnRecord
from bidlens.store import Store, apply_override, ask, remove_override, save_batch, set_categories
from bidlens.store.overrides import CATEGORY_COLUMNS
from tests.store.conftest import NOON, bid_tab, contents

DECK = "Deck concrete"


def categories(store: Store) -> dict[str, set[tuple[str, str]]]:
    items = ask(store, "pay_items")
    return {code: set(zip(rows["work_category"], rows["category_rule"], strict=True)) for code, rows in items.groupby("item_code")}  # fmt: skip  # noqa: E501


def by_rule(items: pd.DataFrame) -> pd.DataFrame:
    return pd.DataFrame({"work_category": "deck", "rule": "words: deck, new"}, index=items.index)


def test_a_decision_by_hand_moves_every_line_of_the_item_and_is_kept(filled: Store) -> None:
    assert apply_override(filled, "0502", DECK, "SY", "wearing_surface", "an overlay here", decided_at=NOON) == 2
    assert categories(filled)["0502"] == {("wearing_surface", "placed by hand: an overlay here")}
    assert categories(filled)["0501"] == {("beams", "words: beam")}
    [decision] = ask(filled, "overrides").to_dict("records")
    assert (decision["work_category"], decision["reason"]) == ("wearing_surface", "an overlay here")
    assert ask(filled, "category_summary").set_index("work_category")["by_hand"].to_dict() == {
        "wearing_surface": 2, "beams": 0,
    }  # fmt: skip


def test_a_decision_may_leave_code_and_unit_open_and_minds_no_case_or_blanks(filled: Store) -> None:
    assert apply_override(filled, "", "  deck   CONCRETE ", "", "approach", "slab", decided_at=NOON) == 2


def test_a_decision_on_another_code_or_unit_moves_nothing(filled: Store) -> None:
    assert apply_override(filled, "9999", DECK, "", "approach", "slab", decided_at=NOON) == 0
    assert apply_override(filled, "", DECK, "CY", "approach", "slab", decided_at=NOON) == 0


def test_the_decision_that_names_more_wins_and_a_later_one_replaces_an_earlier_one(filled: Store) -> None:
    apply_override(filled, "0502", DECK, "SY", "railing", "exact", decided_at=NOON)
    assert apply_override(filled, "", DECK, "", "approach", "any", decided_at=NOON) == 0
    assert categories(filled)["0502"] == {("railing", "placed by hand: exact")}
    assert apply_override(filled, "0502", DECK, "SY", "other", "changed", decided_at=NOON) == 2
    assert len(ask(filled, "overrides")) == 2


def test_a_decision_withdrawn_lets_the_rules_decide_again(filled: Store) -> None:
    apply_override(filled, "0502", DECK, "SY", "railing", "exact", decided_at=NOON)
    assert remove_override(filled, "0502", DECK, "SY", by_rule) == 2
    assert categories(filled)["0502"] == {("deck", "words: deck, new")}
    assert ask(filled, "overrides").empty


def test_another_decision_that_fits_still_wins_after_one_is_withdrawn(filled: Store) -> None:
    apply_override(filled, "0502", DECK, "SY", "railing", "exact", decided_at=NOON)
    apply_override(filled, "", DECK, "", "approach", "any", decided_at=NOON)
    remove_override(filled, "0502", DECK, "SY", by_rule)
    assert categories(filled)["0502"] == {("approach", "placed by hand: any")}


def test_withdrawing_what_was_never_decided_changes_nothing(filled: Store) -> None:
    before = contents(filled)
    with pytest.raises(NotOnRecord, match="no decision by hand on “Deck concrete”"):
        remove_override(filled, "0502", DECK, "SY", by_rule)
    assert contents(filled) == before


@pytest.mark.parametrize("empty", ["description", "work_category", "reason"])
def test_an_empty_decision_is_refused(filled: Store, empty: str) -> None:
    said = {"description": DECK, "work_category": "deck", "reason": "why"} | {empty: "  "}
    with pytest.raises(BadValue, match=empty.replace("_", " ")):
        apply_override(filled, "", said["description"], "", said["work_category"], said["reason"], decided_at=NOON)


def test_new_rules_move_lines_but_not_those_placed_by_hand(filled: Store) -> None:
    apply_override(filled, "0501", "Steel beam, furnished and set", "EA", "bearings", "shoes", decided_at=NOON)
    rows = [
        ("0501", "Steel beam, furnished and set", "EA", "", "beams", "new"),
        ("0502", DECK, "SY", "", "approach", "new"),
        ("0502", DECK, "SY", "B", "other", "new"),
        (None, "Not on record", None, "", "other", "new"),
    ]
    set_categories(filled, pd.DataFrame(rows, columns=list(CATEGORY_COLUMNS)))
    assert categories(filled) == {"0501": {("bearings", "placed by hand: shoes")}, "0502": {("approach", "new")}}


def test_an_item_without_code_or_unit_is_found_too(store: Store) -> None:
    batch = bid_tab("C-1")
    batch.tables["contract_item"] = batch.tables["contract_item"].assign(item_code=None, pay_unit=None)
    save_batch(store, batch, NOON)
    frame = pd.DataFrame([(None, DECK, None, "", "approach", "new")], columns=list(CATEGORY_COLUMNS))
    assert set_categories(store, frame) == 1
    assert apply_override(store, "", DECK, "", "other", "hand", decided_at=NOON) == 1


def test_categories_that_are_incomplete_or_contradict_themselves_are_refused(filled: Store) -> None:
    rows = pd.DataFrame([("1", DECK, "SY", "", "deck", "a"), ("1", DECK, "SY", "", "other", "b")], columns=list(CATEGORY_COLUMNS))  # fmt: skip  # noqa: E501
    for wrong, said in (
        (rows, "two categories"),
        (rows.drop(columns="rule"), "lack the columns rule"),
        (rows.iloc[[0]].assign(work_category=None), "missing"),
    ):
        with pytest.raises(BadValue, match=said):
            set_categories(filled, wrong)

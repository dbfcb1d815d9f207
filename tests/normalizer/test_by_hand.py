"""Unit costs that rest on typed prices or links by hand say so. Contracts, bridges and prices are invented."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from bidlens.normalizer import marks_by_hand, unit_cost_history


def test_a_typed_price_marks_the_row_and_says_its_dollars_and_its_source(tab, lettings, structures, index) -> None:
    tab.line("beams", 60_000.0, by_hand="page 2 of the bid").line("deck", 30_000.0).line("removal", 9e3, by_hand="x")
    history = unit_cost_history(tab.frame(), lettings(), structures(), index)
    [row] = history.frame.to_dict("records")
    assert (row["typed_usd"], row["basis_usd"]) == (60_000.0, 90_000.0)
    [finding] = [one for one in history.findings if one.code == "typed_price"]
    assert finding.severity == "check"
    assert "$60,000, 66.7% of the dollars behind the price of K-1" in finding.text
    assert "page 2 of the bid" in finding.text
    assert marks_by_hand(history.frame).tolist() == ["price typed by hand"]


def test_a_price_typed_outside_the_basis_marks_nothing(tab, lettings, structures, index) -> None:
    tab.line("deck", 30_000.0).line("removal", 9_000.0, by_hand="page 2")
    history = unit_cost_history(tab.frame(), lettings(), structures(), index)
    assert history.frame["typed_usd"].tolist() == [0.0]
    assert marks_by_hand(history.frame).tolist() == [""]
    assert "typed_price" not in {one.code for one in history.findings}
    whole = unit_cost_history(tab.frame(), lettings(), structures(), index, "contract")
    assert whole.frame["typed_usd"].tolist() == [9_000.0]


@pytest.mark.parametrize(
    ("geometry_from", "code", "severity"),
    [
        ("hand", "linked_by_hand", "note"),
        ("structure list", "linked_by_hand", "note"),
        ("structure list, year not known", "linked_geometry_unsure", "check"),
        ("hand and structure list, year not known", "linked_geometry_unsure", "check"),
    ],
)
def test_a_link_by_hand_counts_like_one_of_a_file_and_is_said(
    tab, lettings, structures, index, geometry_from: str, code: str, severity: str
) -> None:
    tab.line("deck", 30_000.0)
    by_file = unit_cost_history(tab.frame(), lettings(), structures(), index)
    linked = structures({"linked_by": "hand", "link_reason": "plans, sheet 2", "geometry_from": geometry_from})
    history = unit_cost_history(tab.frame(), lettings(), linked, index)
    assert history.frame["unit_cost"].tolist() == by_file.frame["unit_cost"].tolist() == [30_000 / 1800]
    [finding] = [one for one in history.findings if one.code.startswith("linked")]
    assert (finding.code, finding.severity) == (code, severity)
    assert "by hand (plans, sheet 2); 1,800 sf of deck, rolled steel beam" in finding.text
    assert marks_by_hand(history.frame).tolist() == ["linked by hand"]


def test_the_size_of_another_bridge_prices_nothing(tab, lettings, structures, index) -> None:
    tab.line("deck", 30_000.0)
    gone = {"linked_by": "bid tab", "geometry_from": "another bridge", "length_ft": np.nan, "width_ft": np.nan}
    history = unit_cost_history(tab.frame(), lettings(), structures(gone), index)
    assert history.frame.empty
    assert "has another bridge than the one built" in history.left_out["reason"].iloc[0]


def test_frames_without_these_columns_have_nothing_by_hand() -> None:
    assert marks_by_hand(pd.DataFrame({"unit_cost": [1.0, 2.0]})).tolist() == ["", ""]

"""Which letting and which schedule paid for a structure; what is left out, and why."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest

from bidlens.normalizer import UnitCostHistory, linking, unit_cost_history
from bidlens.reference import CostIndex
from tests.normalizer.conftest import BidTab, Rows


def _history(
    tab: BidTab, lettings: pd.DataFrame, structures: pd.DataFrame, index: CostIndex, **options: Any
) -> UnitCostHistory:
    return unit_cost_history(tab.frame(), lettings, structures, index, **options)


def _reasons(history: UnitCostHistory) -> dict[str, str]:
    return dict(zip(history.left_out["structure_id"], history.left_out["reason"], strict=True))


def test_a_missing_letting_date_is_the_only_letting(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> None:
    history = _history(tab.line("beams", 180_000), lettings(), structures(), index)
    assert history.frame["letting_date"].tolist() == [pd.Timestamp("2020-03-10")]
    assert history.findings == []


def test_a_re_let_contract_takes_the_latest_letting_that_was_not_rejected_and_says_so(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> None:
    tab.line("beams", 180_000).line("beams", 170_000, letting_date="2020-08-04")
    let = lettings({}, {"date": "2020-08-04"}, {"date": "2020-11-03", "status": "rejected"})
    history = _history(tab, let, structures(), index)
    assert history.frame["basis_usd"].tolist() == [170_000]
    assert [finding.code for finding in history.findings] == ["letting_chosen"]
    assert "4 Aug 2020" in history.findings[0].text


def test_a_stated_letting_date_is_obeyed(tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex) -> None:
    tab.line("beams", 180_000).line("beams", 170_000, letting_date="2020-08-04")
    let = lettings({}, {"date": "2020-08-04"})
    history = _history(tab, let, structures({"letting_date": "2020-03-10"}), index)
    assert history.frame["basis_usd"].tolist() == [180_000]
    assert history.findings == []


@pytest.mark.parametrize(
    ("structure", "reason"),
    [
        ({"contract_id": "B-9"}, "no bid tab of contract B-9 is on record"),
        ({"letting_date": "2020-03-11"}, "contract B-1 was let on 10 Mar 2020, not on the date the list states"),
        ({"schedule": "C"}, "schedule C is not in the bid tab of contract B-1"),
        ({"width_ft": np.nan}, "no deck area: give the area, or length and out-to-out width"),
    ],
)
def test_a_structure_that_cannot_be_priced_is_left_out_with_its_reason(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex, structure: dict, reason: str
) -> None:
    history = _history(tab.line("beams", 180_000), lettings(), structures(structure), index)
    assert history.frame.empty
    assert _reasons(history) == {"K-1": reason}


def test_a_letting_whose_bids_were_all_rejected_prices_nothing(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> None:
    tab.line("beams", 1.0, contract_id="B-2")
    history = _history(tab, lettings({"status": "rejected"}), structures(), index)
    assert _reasons(history) == {"K-1": "all bids of contract B-1 were rejected"}


def test_a_schedule_of_its_own_pays_alone(tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex) -> None:
    tab.line("beams", 180_000, schedule="A").line("beams", 90_000, schedule="B")
    history = _history(tab, lettings(), structures({"schedule": "A"}), index)
    assert history.frame["basis_usd"].tolist() == [180_000]


def test_a_structure_without_schedule_leaves_the_schedules_of_others_alone(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> None:
    tab.line("beams", 180_000, schedule="A").line("beams", 90_000, schedule="B").line("deck", 60_000, schedule="C")
    both = structures({"schedule": "A"}, {"structure_id": "K-2"})
    history = _history(tab, lettings(), both, index)
    assert dict(zip(history.frame["structure_id"], history.frame["basis_usd"], strict=True)) == {
        "K-1": 180_000,
        "K-2": 150_000,
    }


def test_a_structure_paid_by_two_schedules_is_one_row(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> None:
    tab.line("beams", 180_000, schedule="A").line("deck", 90_000, schedule="B").line("beams", 1e6, schedule="C")
    history = _history(tab, lettings(), structures({"schedule": "A"}, {"schedule": "B"}), index)
    assert history.frame["basis_usd"].tolist() == [270_000]


def test_structures_on_one_schedule_share_it_by_deck_area(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> None:
    # 60 x 30 and 90 x 40: 1,800 and 3,600 sf, a third and two thirds of $270,000; the unit cost is the same
    both = structures({}, {"structure_id": "K-2", "length_ft": 90.0, "width_ft": 40.0})
    history = _history(tab.line("beams", 270_000), lettings(), both, index)
    assert history.frame["basis_usd"].tolist() == pytest.approx([90_000, 180_000])
    assert history.frame["area_share"].tolist() == pytest.approx([1 / 3, 2 / 3])
    assert history.frame["unit_cost"].tolist() == pytest.approx([50, 50])
    assert [finding.code for finding in history.findings] == ["schedule_shared"]
    assert "K-1 33%, K-2 67%" in history.findings[0].text


def test_sharing_between_two_types_is_worth_a_look(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> None:
    both = structures({}, {"structure_id": "K-2", "superstructure": "timber"})
    history = _history(tab.line("beams", 270_000), lettings(), both, index)
    assert history.findings[0].severity == "check"


def test_a_shared_schedule_with_an_unknown_area_prices_nobody(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> None:
    both = structures({}, {"structure_id": "K-2", "length_ft": np.nan})
    history = _history(tab.line("beams", 270_000), lettings(), both, index)
    assert history.frame.empty
    assert _reasons(history)["K-1"] == "it shares a schedule with a structure whose deck area is not known"


def test_a_whole_contract_counts_every_schedule_for_every_structure(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> None:
    tab.line("beams", 180_000, schedule="A").line("approach", 90_000, schedule="B")
    both = structures({"schedule": "A"}, {"structure_id": "K-2", "schedule": "A"})
    history = _history(tab, lettings(), both, index, basis="contract")
    assert history.frame["basis_usd"].tolist() == pytest.approx([135_000, 135_000])


def test_an_alternate_is_in_no_cost_unless_a_structure_names_it():
    items = pd.DataFrame(
        {
            "contract_id": ["C-1"] * 3,
            "letting_date": pd.Timestamp("2024-03-12"),
            "schedule": ["", "ALT 1", "ALT 2"],
            "extension": [100.0, 40.0, 50.0],
            "alternate": [False, True, True],
        }
    )
    bridges = pd.DataFrame({"contract_id": ["C-1"], "structure_id": ["K-1"], "schedule": [""]})
    left = linking.without_alternates(items, bridges)
    assert left.frame["schedule"].tolist() == [""]
    assert [finding.code for finding in left.findings] == ["alternate_left_out"] * 2
    awarded = linking.without_alternates(items, bridges.assign(schedule="ALT 2"))
    assert awarded.frame["schedule"].tolist() == ["", "ALT 2"]

"""The unit-cost history, against published bridge costs and by hand."""

from __future__ import annotations

import re
from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bidlens.errors import BadValue, MissingReference
from bidlens.normalizer import basis_named, paid_lines, ratio_of_sums, structure_prices, unit_cost_history
from bidlens.normalizer.history import CATEGORY_COST_COLUMNS, HISTORY_COLUMNS
from bidlens.reference import CostIndex, load_table
from tests.normalizer.conftest import BidTab, Rows

# -- published figures ---------------------------------------------------------------------------------------------


@pytest.fixture
def caltrans() -> pd.DataFrame:
    """Caltrans, Construction Statistics 2012, Bridge Square Foot Cost Summary p. 1: ten types, 130 bridges.

    One row per type: deck_area_sf, whole_usd and bridge_usd (the "bridge costs only" definition), and both averages
    as printed.
    """
    table = load_table("published_bridge_unit_costs").frame
    rows = table[table["publisher"].str.contains("Caltrans") & (table["read_or_memory"] == "read")]
    facts = rows["basis"].str.extract(r"deck (?P<area>\d+) sf; \$(?P<usd>\d+)").astype(float)
    rows = rows.assign(**facts, definition=np.where(rows["basis"].str.contains("FHWA"), "bridge", "whole"))
    wide = rows.pivot_table(index="superstructure", columns="definition", values=["area", "usd", "cost_low_per_sf"])
    out = pd.DataFrame(
        {
            "deck_area_sf": wide["area", "whole"],
            "whole_usd": wide["usd", "whole"],
            "bridge_usd": wide["usd", "bridge"],
            "whole_printed": wide["cost_low_per_sf", "whole"],
            "bridge_printed": wide["cost_low_per_sf", "bridge"],
        }
    )
    return out.reset_index()


@pytest.fixture
def caltrans_history(
    caltrans: pd.DataFrame, tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> Callable[[str], pd.DataFrame]:
    """Those types as ten contracts of one structure each, priced on a basis by this project."""
    types = caltrans[caltrans["superstructure"] != "ALL TYPES"].reset_index(drop=True)
    for number, row in types.iterrows():
        contract = f"C-{number}"
        tab.line("deck", row["bridge_usd"], contract_id=contract)
        if row["whole_usd"] > row["bridge_usd"]:
            tab.line("approach", row["whole_usd"] - row["bridge_usd"], contract_id=contract)
    let = lettings(*[{"contract_id": f"C-{number}"} for number in types.index])
    known = structures(
        *[
            {
                "structure_id": f"S-{n}",
                "contract_id": f"C-{n}",
                "superstructure": r.superstructure,
                "deck_area_sf": r.deck_area_sf,
            }
            for n, r in enumerate(types.itertuples())
        ]
    )
    return lambda basis: unit_cost_history(tab.frame(), let, known, index, basis).frame


@pytest.mark.parametrize(("basis", "average"), [("contract", 196.29), ("bridge", 149.60)])
def test_the_average_is_all_dollars_over_all_deck_area(
    caltrans_history: Callable[[str], pd.DataFrame], basis: str, average: float
) -> None:
    # Printed totals: 2,256,721 sf; $442,969,970 and $337,605,079
    frame = caltrans_history(basis)
    assert frame["deck_area_sf"].sum() == 2_256_721
    assert ratio_of_sums(frame) == pytest.approx(average, abs=0.005)


@pytest.mark.parametrize(("basis", "printed"), [("contract", "whole_printed"), ("bridge", "bridge_printed")])
def test_every_printed_type_average_is_reproduced_to_the_dollar(
    caltrans: pd.DataFrame, caltrans_history: Callable[[str], pd.DataFrame], basis: str, printed: str
) -> None:
    ours = caltrans_history(basis).set_index("superstructure")["unit_cost"]
    theirs = caltrans.set_index("superstructure")[printed].drop("ALL TYPES")
    assert len(theirs) == 10
    assert (ours.round() - theirs).abs().max() == 0


def test_the_mean_of_type_averages_is_another_and_wrong_number(
    caltrans: pd.DataFrame, caltrans_history: Callable[[str], pd.DataFrame]
) -> None:
    printed = caltrans.set_index("superstructure")["whole_printed"].drop("ALL TYPES")
    assert printed.mean() == pytest.approx(273.10)
    frame = caltrans_history("contract")
    assert frame["unit_cost"].mean() == pytest.approx(273.10, abs=0.06)  # unrounded averages
    assert ratio_of_sums(frame) < 0.75 * frame["unit_cost"].mean()


def test_a_county_that_buys_its_beams_alone_has_a_beams_cost_and_says_the_rest_is_not_in_it(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> None:
    # Auglaize County, Ohio (newspaper report): seven box beams for 36 x 28 ft, bids 45,825 and 55,200, estimate 52,000;
    # county forces 49,500 more. Calculated: 1,008 sf, $45.46 and $54.76 per sf, low 11.88 % under the estimate.
    bridge = structures({"superstructure": "adjacent box beam", "length_ft": 36.0, "width_ft": 28.0})
    frame = unit_cost_history(tab.line("beams", 45_825).frame(), lettings(), bridge, index, "beams").frame
    assert frame["deck_area_sf"].tolist() == [1_008]
    assert frame["unit_cost"].iloc[0] == pytest.approx(45.46, abs=0.005)
    assert frame["basis"].tolist() == ["beams"]
    assert 55_200 / frame["deck_area_sf"].iloc[0] == pytest.approx(54.76, abs=0.005)
    assert pytest.approx(0.1188, abs=0.0001) == (52_000 - 45_825) / 52_000
    assert (45_825 + 49_500) / frame["deck_area_sf"].iloc[0] == pytest.approx(94.57, abs=0.005)


# -- by hand -------------------------------------------------------------------------------------------------------


@pytest.fixture
def whole_job(tab: BidTab) -> BidTab:
    """60 x 30 ft = 1,800 sf. Superstructure 216,000 and 30,000 of bars; $20,000 to mobilize; bids for time."""
    return (
        tab.line("mobilization", 20_000)
        .line("beams", 100_000)
        .line("bearings", 8_000)
        .line("deck", 72_000, pay_unit="CY", quantity=150)
        .line("railing", 36_000)
        .line("substructure", 60_000, pay_unit="CY", quantity=110)
        .line("reinforcement_unsplit", 40_000, pay_unit="LB", quantity=20_000)
        .line("approach", 44_000)
        .line("other", 900_000, description="Calendar days", pay_unit="DAY")
        .line("unclassified", 1_000)
    )


@pytest.mark.parametrize(
    ("basis", "usd"),
    [("beams", 108_000), ("superstructure", 246_000), ("bridge", 316_000), ("contract", 381_000)],
)
def test_dollars_of_each_basis_by_hand(
    whole_job: BidTab, lettings: Rows, structures: Rows, index: CostIndex, basis: str, usd: float
) -> None:
    history = unit_cost_history(whole_job.frame(), lettings(), structures(), index, basis)
    row = history.frame.iloc[0]
    assert row["basis_usd"] == pytest.approx(usd)
    assert row["unit_cost"] == pytest.approx(usd / 1_800)
    # 2020Q1 to 2021Q1 is 1.00 to 1.50 in the index of these tests
    assert row["index_ratio"] == 1.5
    assert row["unit_cost_adjusted"] == pytest.approx(1.5 * usd / 1_800)
    assert row["dollars_of"] == history.dollars_of == "2021Q1"
    assert row["bidders"] == 3
    assert row["unclassified_usd"] == 1_000


@pytest.mark.parametrize(("basis", "usd"), [("superstructure", 246_000), ("contract", 381_000)])
def test_mobilization_is_added_in_proportion_to_the_other_dollars(
    whole_job: BidTab, lettings: Rows, structures: Rows, index: CostIndex, basis: str, usd: float
) -> None:
    history = unit_cost_history(whole_job.frame(), lettings(), structures(), index, basis, include_mobilization=True)
    share = 0 if basis == "contract" else usd / 361_000
    assert history.frame["basis_usd"].iloc[0] == pytest.approx(usd + 20_000 * share)


def test_time_bids_are_in_no_cost_and_are_said(
    whole_job: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> None:
    history = unit_cost_history(whole_job.frame(), lettings(), structures(), index, "contract")
    assert "time_bid_left_out" in [finding.code for finding in history.findings]
    assert "$900,000" in next(f.text for f in history.findings if f.code == "time_bid_left_out")


def test_costs_by_category_add_up_to_the_unit_cost(
    whole_job: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> None:
    history = unit_cost_history(whole_job.frame(), lettings(), structures(), index, "contract")
    costs = history.category_costs.set_index("work_category")
    assert costs.loc["deck", "unit_cost"] == pytest.approx((72_000 + 30_000) / 1_800)
    assert costs["unit_cost"].sum() == pytest.approx(history.frame["unit_cost"].iloc[0])
    assert costs["unit_cost_adjusted"].sum() == pytest.approx(history.frame["unit_cost_adjusted"].iloc[0])


def test_the_rows_behind_a_cost_sum_to_its_dollars(
    whole_job: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> None:
    items, known = whole_job.frame(), structures()
    frame = unit_cost_history(items, lettings(), known, index).frame
    rows = structure_prices(
        paid_lines(items, lettings(), known, whole_contract=False), basis_named("superstructure")
    ).lines
    assert rows["dollars"].sum() == pytest.approx(frame["basis_usd"].iloc[0])
    assert (rows["share"] * rows["extension"]).tolist() == pytest.approx(rows["dollars"].tolist())
    assert rows["source_row"].tolist() == sorted(rows["source_row"])
    assert rows["source_row"].iloc[0] == frame["source_row"].iloc[0]


def test_unsplit_bars_stay_out_of_the_superstructure_and_in_the_bridge(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> None:
    items = tab.line("beams", 90_000).line("deck", 50_000).line("reinforcement_unsplit", 20_000).frame()
    dollars = [
        unit_cost_history(items, lettings(), structures(), index, basis).frame["basis_usd"].iloc[0]
        for basis in ("superstructure", "bridge")
    ]
    assert dollars == [140_000, 160_000]


def test_a_culvert_has_no_superstructure_cost(tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex) -> None:
    items = tab.line("other", 90_000).line("railing", 5_000).line("substructure", 20_000).frame()
    history = unit_cost_history(items, lettings(), structures({"superstructure": "buried structure"}), index)
    assert history.frame.empty
    assert history.left_out["reason"].tolist() == ["no beams or deck were bid: a culvert or repair work"]


@pytest.mark.parametrize(("kind", "codes"), [("rolled steel beam", ["beams_missing"]), ("concrete slab", [])])
def test_a_beam_bridge_without_beams_is_worth_a_look(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex, kind: str, codes: list[str]
) -> None:
    items = tab.line("deck", 90_000).frame()
    history = unit_cost_history(items, lettings(), structures({"superstructure": kind}), index)
    assert [finding.code for finding in history.findings] == codes
    assert len(history.frame) == 1


@pytest.mark.parametrize(("usd", "codes"), [(5_000, []), (5_300, ["unclassified_dollars"])])
def test_more_than_5_percent_in_no_category_is_worth_a_look(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex, usd: float, codes: list[str]
) -> None:
    items = tab.line("beams", 100_000).line("unclassified", usd).frame()
    history = unit_cost_history(items, lettings(), structures(), index)
    assert [finding.code for finding in history.findings] == codes


def test_a_blank_price_is_not_counted_and_is_said(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> None:
    items = tab.line("beams", 100_000).line("deck", float("nan")).frame()
    history = unit_cost_history(items, lettings(), structures(), index)
    assert history.frame["basis_usd"].tolist() == [100_000]
    assert [finding.code for finding in history.findings] == ["line_without_price"]


def test_one_span_without_a_stated_span_takes_the_length(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> None:
    items = tab.line("beams", 100_000).frame()
    one = unit_cost_history(items, lettings(), structures({"span_ft": np.nan}), index).frame
    two = unit_cost_history(items, lettings(), structures({"span_ft": np.nan, "spans": 2}), index).frame
    assert one["span_ft"].tolist() == [60]
    assert two["span_ft"].isna().all()


def test_a_letting_before_the_index_is_kept_without_adjusted_price(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> None:
    items = tab.line("beams", 100_000, letting_date="2010-05-04").frame()
    history = unit_cost_history(items, lettings({"date": "2010-05-04"}), structures(), index)
    assert history.frame["unit_cost"].notna().all()
    assert history.frame["unit_cost_adjusted"].isna().all()
    assert [finding.code for finding in history.findings] == ["before_index"]


def test_an_unknown_basis_or_quarter_is_an_error(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex
) -> None:
    items = tab.line("beams", 100_000).frame()
    with pytest.raises(BadValue, match="no cost basis"):
        unit_cost_history(items, lettings(), structures(), index, "girders")
    with pytest.raises(MissingReference, match=re.escape("2030 Q1")):
        unit_cost_history(items, lettings(), structures(), index, dollars_of="2030Q1")


@pytest.mark.parametrize("empty", ["items", "lettings", "structures", "all"])
def test_empty_inputs_give_an_empty_typed_history(
    tab: BidTab, lettings: Rows, structures: Rows, index: CostIndex, empty: str
) -> None:
    given_frames = {"items": tab.line("beams", 1.0).frame(), "lettings": lettings(), "structures": structures()}
    for name in given_frames if empty == "all" else [empty]:
        given_frames[name] = given_frames[name].iloc[:0] if empty != "all" else pd.DataFrame()
    history = unit_cost_history(**given_frames, index=index)
    assert history.frame.dtypes.astype(str).to_dict() == HISTORY_COLUMNS
    assert history.category_costs.dtypes.astype(str).to_dict() == CATEGORY_COST_COLUMNS
    assert list(history.left_out.columns) == ["contract_id", "structure_id", "reason"]
    assert len(history.frame) == 0
    assert np.isnan(ratio_of_sums(history.frame))


# -- properties ----------------------------------------------------------------------------------------------------

_lines = st.lists(
    st.tuples(
        st.sampled_from(
            ["beams", "deck", "railing", "substructure", "approach", "reinforcement_unsplit", "unclassified"]
        ),
        st.integers(1, 10_000_000).map(lambda cents: cents / 100),
        st.sampled_from(["", "A", "B"]),
        st.sampled_from(["LS", "CY"]),
    ),
    min_size=1,
    max_size=12,
)


def _items(tab: BidTab, lines: list[tuple[str, float, str, str]]) -> pd.DataFrame:
    tab.rows.clear()
    for category, usd, schedule, unit in lines:
        tab.line(category, usd, schedule=schedule, pay_unit=unit, quantity=10.0)
    return tab.frame()


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(lines=_lines, times=st.floats(0.5, 3.0), seed=st.integers(0, 99))
def test_dollars_are_conserved_scale_with_prices_and_do_not_depend_on_order(
    tab: BidTab,
    lettings: Rows,
    structures: Rows,
    index: CostIndex,
    lines: list[tuple[str, float, str, str]],
    times: float,
    seed: int,
) -> None:
    items = _items(tab, lines)
    known = structures({}, {"structure_id": "K-2", "length_ft": 90.0}, {"structure_id": "K-3", "schedule": "B"})
    history = unit_cost_history(items, lettings(), known, index, "contract")
    assert history.frame["basis_usd"].sum() == pytest.approx(items["extension"].sum())
    assert set(history.frame["structure_id"]) | set(history.left_out["structure_id"]) == {"K-1", "K-2", "K-3"}

    dearer = unit_cost_history(
        items.assign(extension=items["extension"] * times), lettings(), known, index, "superstructure"
    )
    as_is = unit_cost_history(items, lettings(), known, index, "superstructure")
    assert dearer.frame["unit_cost"].tolist() == pytest.approx((as_is.frame["unit_cost"] * times).tolist())
    assert dearer.left_out.equals(as_is.left_out)

    shuffled = unit_cost_history(
        items.sample(frac=1, random_state=seed), lettings(), known.sample(frac=1, random_state=seed), index
    )
    pd.testing.assert_frame_equal(shuffled.frame, as_is.frame)
    pd.testing.assert_frame_equal(shuffled.category_costs, as_is.category_costs)

"""Price index formulas against published values, and the county's chain of years."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bidlens.model import county_price_index
from bidlens.model.price_index import FEWEST_ITEMS, FORMULAS, chained, link
from bidlens.reference import load_shipped_index, load_table

#: Published to four decimals.
PUBLISHED = 0.00005 + 1e-9
#: The stored independent calculation has eight decimals.
COMPUTED = 1e-8


@pytest.fixture(scope="module")
def example() -> pd.DataFrame:
    return load_table("index_number_example").frame


@pytest.fixture(scope="module")
def told() -> pd.DataFrame:
    return load_table("index_number_example_results").frame


@pytest.mark.parametrize("formula", FORMULAS)
def test_fixed_base_indexes_are_the_published_ones(example, told, formula):
    # Balk, Price and Quantity Index Numbers (2008), tables 3.4, 3.6 and 3.12, for the artificial data set.
    published = told[(told["formula"] == formula) & (told["basis"] == "fixed")]
    assert len(published) == 5
    for row in published.itertuples():
        assert link(example, 1, row.period, formula) == pytest.approx(row.value_published_4dp, abs=PUBLISHED)
        assert link(example, 1, row.period, formula) == pytest.approx(row.value_computed, abs=COMPUTED)


@pytest.mark.parametrize("formula", FORMULAS)
def test_chained_indexes_are_those_of_an_independent_calculation(example, told, formula):
    expected = told[(told["formula"] == formula) & (told["basis"] == "chained")].set_index("period")["value_computed"]
    found = chained(example, formula)
    assert list(found.index) == list(expected.index)
    assert found.to_numpy() == pytest.approx(expected.to_numpy(), abs=COMPUTED)


def _years(example: pd.DataFrame) -> pd.DataFrame:
    return example.assign(period=example["period"] + 2014)


def test_the_county_table_is_the_same_chain_with_its_counts(example):
    frame = county_price_index(_years(example), load_shipped_index())
    assert list(frame["year"]) == [2015, 2016, 2017, 2018, 2019]
    assert list(frame["n"]) == [0, 6, 6, 6, 6]
    assert frame["share"].iloc[1:].to_list() == pytest.approx([1.0] * 4)
    for formula in FORMULAS:
        assert frame[formula].to_numpy() == pytest.approx(chained(example, formula).to_numpy())
    values = pd.Series(load_shipped_index().values, index=list(load_shipped_index().quarters))
    means = [values[[f"{year}Q{quarter}" for quarter in (1, 2, 3, 4)]].mean() for year in frame["year"]]
    assert frame["national"].to_numpy() == pytest.approx(np.array(means) / means[0])


def test_an_item_in_one_year_only_changes_nothing_but_the_share(example):
    alone = pd.DataFrame({"item": [99], "period": [2016], "price": [1000.0], "quantity": [5.0]})
    plain, more = (county_price_index(rows) for rows in (_years(example), pd.concat([_years(example), alone])))
    assert more["fisher"].to_numpy() == pytest.approx(plain["fisher"].to_numpy())
    assert more["share"].iloc[1] < plain["share"].iloc[1]
    assert more["items"].iloc[1] == 7


def test_too_few_items_in_common_end_the_index(example):
    rows = _years(example)
    few = rows[~((rows["period"] == 2017) & (rows["item"] >= FEWEST_ITEMS))]
    frame = county_price_index(few)
    assert frame["n"].to_list() == [0, 6, 4, 4, 6]
    assert frame["fisher"].isna().to_list() == [False, False, True, True, True]
    assert np.isnan(link(rows, 2015, 2030))
    assert county_price_index(rows.head(0)).empty


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(*[st.floats(0.1, 1000)] * 3, st.floats(0.2, 5)), min_size=1, max_size=12))
def test_a_price_level_that_moves_all_items_alike_is_found_by_every_formula(rows):
    factor = rows[0][3]
    before = pd.DataFrame([(n, 1, p, q) for n, (p, q, _, _) in enumerate(rows)], columns=["item", "period", "price",
                                                                                       "quantity"])  # fmt: skip
    after = before.assign(period=2, price=before["price"] * factor, quantity=[q for _, _, q, _ in rows])
    both = pd.concat([before, after])
    for formula in FORMULAS:
        assert link(both, 1, 2, formula) == pytest.approx(factor)
    # Fisher lies between Laspeyres and Paasche, and turns over with time (time reversal test).
    turned = both.assign(period=3 - both["period"])
    assert link(both, 1, 2) * link(turned, 1, 2) == pytest.approx(1.0)


def test_a_link_after_a_year_without_one_still_stands_for_itself(example):
    rows = _years(example)
    few = rows[(rows["period"] != 2017) | (rows["item"].isin(sorted(rows["item"].unique())[:3]))]
    frame = county_price_index(few)
    assert frame["link"].notna().to_list() == [False, True, False, False, True]
    assert frame["fisher"].notna().to_list() == [True, True, False, False, False]


@given(st.floats(0.1, 50))
def test_scaling_the_prices_of_one_year_scales_its_link(factor):
    example = load_table("index_number_example").frame
    scaled = example.assign(price=example["price"].where(example["period"] != 2, example["price"] * factor))
    found = county_price_index(scaled)["link"].iloc[1]
    assert found == pytest.approx(county_price_index(example)["link"].iloc[1] * factor)

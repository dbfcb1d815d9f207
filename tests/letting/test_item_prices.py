"""Pay item prices: words, pay units kept apart or converted, years, and the price to expect with its range."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bidlens.errors import BadValue
from bidlens.findings import Unavailable
from bidlens.letting import SuggestedPrice, item_words, prices_of_items
from bidlens.letting.item_prices import matching, recurring
from bidlens.letting.pay_items import with_item
from bidlens.letting.recurring import recurring_items
from bidlens.letting.suggested import CHANCE, FITTED_FROM, suggested_price
from bidlens.reference import load_shipped_index

INDEX = load_shipped_index()
BASE = INDEX.last_published

KNOWN = pd.DataFrame(
    [
        ("601", "Riprap, 18 inch", "TON"),
        ("602", "Geotextile under riprap", "SY"),
        ("", "Steel, Reinf, Epoxy Coated", "LB"),
        ("704", "Prestressed concrete I-beam", "LF"),
    ],
    columns=["item_code", "description", "pay_unit"],
)


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("riprap", ["Riprap, 18 inch", "Geotextile under riprap"]),
        ("RIPRAP 18", ["Riprap, 18 inch"]),
        ("reinforc epoxy", ["Steel, Reinf, Epoxy Coated"]),  # written out, though the record abbreviates
        ("reinf", ["Steel, Reinf, Epoxy Coated"]),
        ("704", ["Prestressed concrete I-beam"]),
        ("rap", []),  # the middle of a word is no beginning
    ],
)
def test_items_are_found_by_the_beginnings_of_their_words_in_any_order(words: str, found: list[str]) -> None:
    assert matching(KNOWN, words)["description"].tolist() == found


def test_no_word_and_no_such_unit_are_refused() -> None:
    for words, unit in ((" , ", None), ("riprap", "furlong")):
        with pytest.raises(BadValue):
            matching(KNOWN, words, unit)


def test_a_unit_finds_only_what_can_be_measured_in_it() -> None:
    assert matching(KNOWN, "riprap", "lb")["pay_unit"].tolist() == ["TON"]
    assert matching(KNOWN, "riprap", "CY").empty


def bids(rows: list[tuple[str, str, float, str, float, bool]], unit: str = "TON", code: str = "601") -> pd.DataFrame:
    """contract, day, quantity, bidder, unit price, low."""
    frame = pd.DataFrame(rows, columns=["contract_id", "letting_date", "quantity", "bidder", "unit_price", "is_low"])
    return frame.assign(
        letting_date=pd.to_datetime(frame["letting_date"]), schedule="", line="1", item_code=code, pay_unit=unit,
        description="Riprap", work_category="channel", estimate_price=50.0, source_file="a.csv", source_sheet="",
        source_row=range(2, len(frame) + 2),
    )  # fmt: skip


TWO = bids(
    [
        ("C-1", "2024-05-01", 100, "A", 40.0, True),
        ("C-1", "2024-05-01", 100, "B", 60.0, False),
        ("C-2", "2025-05-01", 300, "A", 44.0, False),
        ("C-2", "2025-05-01", 300, "C", 42.0, True),
    ]
)


def test_each_year_has_low_and_mean_of_all_bids_with_their_counts() -> None:
    [one] = prices_of_items(TWO, INDEX, BASE)
    table = one.by_year.set_index("year")
    assert table[["contracts", "quantity", "low_price", "bids", "mean_price"]].values.tolist() == [
        [1, 100, 40.0, 2, 50.0], [1, 300, 42.0, 2, 43.0]
    ]  # fmt: skip
    ratio = INDEX.ratio("2024Q2", BASE)
    assert table.loc[2024, "real_low_price"] == pytest.approx(40.0 * ratio)
    assert one.lettings["source_row"].tolist() == [2, 5]
    [only] = prices_of_items(TWO, INDEX, BASE, years=(2025, 2025))
    assert only.by_year["year"].tolist() == [2025]


def test_pay_units_never_mix_unless_asked_and_then_only_within_their_dimension() -> None:
    # 1 ton of the trade is 2,000 pounds, as the pay unit lists of two state departments have it.
    pounds = bids([("C-3", "2025-06-01", 200_000.0, "A", 0.021, True)], unit="LB")
    yards = bids([("C-4", "2025-07-01", 70.0, "A", 80.0, True)], unit="CY")
    everything = pd.concat([TWO, pounds, yards], ignore_index=True)
    apart = prices_of_items(everything, INDEX, BASE)
    assert sorted((one.pay_unit, len(one.lettings)) for one in apart) == [("CY", 1), ("LB", 1), ("TON", 2)]
    [tons] = prices_of_items(everything, INDEX, BASE, unit="ton")
    last = tons.lettings.iloc[-1]
    assert (last["quantity"], last["low_price"], last["converted_from"]) == (100.0, pytest.approx(42.0), "LB")
    assert "1 of them were bid in LB" in item_words.support(tons)


def test_a_lump_sum_has_a_history_and_no_price_to_expect() -> None:
    lump = pd.concat([bids([(f"C-{n}", "2025-05-01", 1, "A", 9e3 + n, True)], unit="LS") for n in range(9)])
    [one] = prices_of_items(lump, INDEX, BASE)
    assert isinstance(one.suggested, Unavailable)
    assert "its price belongs to its job" in item_words.answer(one)
    assert recurring([one])["suggested_price"].isna().all()


def history(n: int, seed: int = 3, slope: float = -0.1, sd: float = 0.12) -> pd.DataFrame:
    rng = np.random.default_rng(seed)
    quantity = np.exp(rng.uniform(3, 7, n))
    price = 60 * (quantity / 200) ** slope * np.exp(rng.normal(0, sd, n))
    return bids([(f"C-{k}", "2025-05-01", float(q), "A", float(p), True)
                 for k, (q, p) in enumerate(zip(quantity, price, strict=True))])  # fmt: skip


def test_the_answer_says_price_range_quantity_and_when_a_quantity_lies_beyond_those_on_record() -> None:
    [one] = prices_of_items(history(20), INDEX, BASE, quantity=50_000)
    assert isinstance(one.suggested, SuggestedPrice)
    assert one.suggested.beyond
    assert "beyond those on record" in item_words.support(one)
    assert "in 8 low bids of 10" in item_words.answer(one)
    assert one.suggested.n == 20


def test_few_contracts_give_a_middle_and_the_chance_of_their_own_range() -> None:
    # A further value of n + 1 exchangeable ones lies between the lowest and the highest of n with chance
    # (n - 1) / (n + 1): David and Nagaraja, Order Statistics, the theory of tolerance limits; checked by drawing.
    [one] = prices_of_items(history(FITTED_FROM - 1), INDEX, BASE)
    given_price = one.suggested
    assert isinstance(given_price, SuggestedPrice)
    n = FITTED_FROM - 1
    assert given_price.chance == (n - 1) / (n + 1)
    drawn = np.random.default_rng(1).lognormal(0, 0.3, (40_000, n + 1))
    within = (drawn[:, 0] >= drawn[:, 1:].min(axis=1)) & (drawn[:, 0] <= drawn[:, 1:].max(axis=1))
    assert within.mean() == pytest.approx(given_price.chance, abs=0.01)


def test_the_fitted_range_holds_as_often_as_it_says() -> None:
    # Simulation: 600 items of 12 contracts each and one contract more, drawn from the very model that is fitted.
    rng = np.random.default_rng(11)
    hits = 0
    for _ in range(600):
        quantity = np.exp(rng.uniform(3, 7, 13))
        price = 60 * quantity**-0.1 * np.exp(rng.normal(0, 0.2, 13))
        found = suggested_price(pd.Series(price[:12]), pd.Series(quantity[:12]), quantity[12])
        assert isinstance(found, SuggestedPrice)
        hits += found.low <= price[12] <= found.high
    assert hits / 600 == pytest.approx(CHANCE, abs=0.05)


@settings(max_examples=10, deadline=None)
@given(st.integers(1, 14), st.integers(0, 2**20), st.sampled_from([2.0, 10.0]))
def test_order_changes_nothing_and_scaling_all_prices_scales_the_price(n: int, seed: int, factor: float) -> None:
    frame = history(n, seed)
    [once] = prices_of_items(frame, INDEX, BASE)
    [again] = prices_of_items(frame.sample(frac=1, random_state=seed), INDEX, BASE)
    pd.testing.assert_frame_equal(once.by_year, again.by_year)
    [scaled] = prices_of_items(frame.assign(unit_price=frame["unit_price"] * factor), INDEX, BASE)
    if isinstance(once.suggested, Unavailable):
        assert isinstance(scaled.suggested, Unavailable)
        return
    assert isinstance(again.suggested, SuggestedPrice)
    assert isinstance(scaled.suggested, SuggestedPrice)
    assert again.suggested.price == pytest.approx(once.suggested.price)
    assert scaled.suggested.price == pytest.approx(once.suggested.price * factor)
    assert scaled.suggested.high / scaled.suggested.low == pytest.approx(once.suggested.high / once.suggested.low)


def test_alike_quantities_give_the_range_of_one_more_price_of_a_normal_sample() -> None:
    # The prediction interval of a normal sample is mean ± t(n - 1) s sqrt(1 + 1/n); scipy.stats is the reference.
    from scipy import stats

    price = np.exp(np.random.default_rng(5).normal(3, 0.2, 15))
    found = suggested_price(pd.Series(price), pd.Series(np.full(15, 4.0)))
    assert isinstance(found, SuggestedPrice)
    logs = np.log(price)
    low, high = stats.t.interval(0.8, 14, logs.mean(), logs.std(ddof=1) * np.sqrt(1 + 1 / 15))
    assert (found.low, found.high) == pytest.approx((np.exp(low), np.exp(high)))
    assert (found.chance, found.quantity_effect) == (CHANCE, None)


def test_recurring_items_of_a_review_are_those_of_the_years_let_often_enough() -> None:
    lines = history(9)
    lines = lines.assign(letting_date=pd.to_datetime(["2023-05-01"] * 4 + ["2025-05-01"] * 5))
    rare = bids([("C-90", "2025-05-01", 3.0, "A", 7.0, True)], code="999")
    items = with_item(pd.concat([lines, rare], ignore_index=True)).assign(real_price=lambda t: t["unit_price"])
    all_bids = pd.DataFrame({"year": [2025, 2023], "item_code": "601", "description": "Riprap", "pay_unit": "TON",
                             "bids": [20, 4], "mean_price": [70.0, 1.0]})  # fmt: skip
    table = recurring_items(items, all_bids, (2025, 2025), BASE)
    assert table["item_title"].tolist() == ["Riprap"]
    [row] = table.to_dict("records")
    assert (row["contracts"], row["first_year"], row["bids"], row["mean_price"]) == (9, 2023, 20, 70.0)
    now = lines[lines["letting_date"].dt.year == 2025]
    assert row["years_usd"] == pytest.approx((now["quantity"] * now["unit_price"]).sum(), abs=0.01)
    expected = suggested_price(lines["unit_price"], lines["quantity"])
    assert isinstance(expected, SuggestedPrice)
    assert row["expected_price"] == pytest.approx(expected.price)

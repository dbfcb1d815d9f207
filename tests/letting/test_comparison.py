"""Bids side by side: differences that add up to the cent, whatever the order, as read against as corrected."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bidlens.findings import Unavailable
from bidlens.letting import BidComparison, compare, comparison_words
from bidlens.letting.comparison import by_bidder
from bidlens.letting.difference import OUTSIDE, Difference, largest_and_rest

LETTING = {
    "contract_id": "C-7", "letting_date": pd.Timestamp("2025-03-12"), "status": "not stated", "agency": None,
    "description": None, "award_rests_on": None, "bids_stated": None, "estimate_total": None,
}  # fmt: skip
CATEGORIES = ("deck", "beams", "substructure")


def prices_of(
    name: str | None, prices: Sequence[float], quantities: Sequence[float], alternate_from: int = 99
) -> pd.DataFrame:
    """The rows one bidder (None: the estimate) entered, in file order."""
    lines = range(len(prices))
    return pd.DataFrame(
        {
            "schedule": ["" if n < alternate_from else "ALT 1" for n in lines],
            "line": [f"{n + 1:03}" for n in lines],
            "item_code": "",
            "description": [f"Item {n + 1}" for n in lines],
            "pay_unit": "CY",
            "quantity": [float(one) for one in quantities],
            "work_category": [CATEGORIES[n % 3] for n in lines],
            "alternate": [n >= alternate_from for n in lines],
            "is_estimate": name is None,
            "bidder": pd.Series([name] * len(prices), dtype="str"),
            "unit_price": [float(one) for one in prices],
            "extension": [round(q * p, 2) for q, p in zip(quantities, prices, strict=True)],
            "extension_as_read": [round(q * p, 2) for q, p in zip(quantities, prices, strict=True)],
            "by_hand": pd.Series([None] * len(prices), dtype="str"),
            "source_file": "letting.csv",
            "source_sheet": "",
            "source_row": [n + 2 for n in lines],
        }
    )


def bidders_of(prices: pd.DataFrame, as_read: dict[str, float] | None = None, **status: str) -> pd.DataFrame:
    """Totals and places from the prices, as the record gives them."""
    base = prices[prices["bidder"].notna() & ~prices["alternate"]]
    table = base.groupby("bidder", as_index=False)["extension"].sum().rename(columns={"extension": "total_corrected"})
    table["total_corrected"] = table["total_corrected"].round(2)
    table["total_as_read"] = [
        (as_read or {}).get(b, t) for b, t in zip(table["bidder"], table["total_corrected"], strict=True)
    ]
    table["status"] = [status.get(name, "responsive") for name in table["bidder"]]
    counted = table["status"] == "responsive"
    for kind in ("as_read", "corrected"):
        table[f"rank_{kind}"] = table[f"total_{kind}"].where(counted).rank(method="min").astype("Int64")
    return table.assign(source_file="letting.csv", source_sheet="", source_row=2)


def compared(prices: pd.DataFrame, **facts: object) -> BidComparison:
    return compare({**LETTING, **facts}, bidders_of(prices), prices)


QUANTITIES = (1_000.0, 500.0, 1.0)
# Made up: A 10, 90, 55,000 = 110,000; B 30, 50, 57,000 = 112,000; estimate 12, 80, 60,000 = 112,000.
HAND = pd.concat(
    [
        prices_of("B", (30, 50, 57_000), QUANTITIES),
        prices_of("A", (10, 90, 55_000), QUANTITIES),
        prices_of(None, (12, 80, 60_000), QUANTITIES),
    ]
)


def test_low_second_and_estimate_are_told_apart_by_the_lines_that_differ() -> None:
    found = compared(HAND)
    assert (found.low, found.second, found.low_usd, found.second_usd) == ("A", "B", 110_000, 112_000)
    second, estimate = found.to_second, found.to_estimate
    assert isinstance(second, Difference)
    assert isinstance(estimate, Difference)
    assert second.lines.set_index("line")["difference_usd"].to_dict() == {
        "001": 20_000.0, "002": -20_000.0, "003": 2_000.0
    }  # fmt: skip
    assert second.lines["line"].tolist() == ["001", "002", "003"]
    assert estimate.usd == -2_000
    assert estimate.by_category.set_index("work_category")["difference_usd"].to_dict() == {
        "beams": 5_000.0, "substructure": -5_000.0, "deck": -2_000.0
    }  # fmt: skip


def test_the_sentence_says_who_is_low_by_how_much_and_against_what() -> None:
    found = compared(HAND)
    assert comparison_words.answer(found) == (
        "A was low of 2 bids with $110,000: $2,000 (1.8% of the low bid) under the second and 1.8% under our estimate."
    )
    assert "beams −$20,000, deck +$20,000 and substructure +$2,000" in comparison_words.support(found)


# Vintage Construction v. Alaska DOT&PF, 713 P.2d 1213 (1986): totals as read 2,334,904.50 and 2,536,607; the second was
# 249,900 above its own extended unit prices and so low by 48,197.50. Only the figures are taken; the lines are ours.
def test_as_read_and_as_corrected_stand_side_by_side_with_the_line_that_was_wrong() -> None:
    first = prices_of("First read", (2_334_904.50,), (1,))
    sixth = prices_of("Sixth read", (2_286_707.00,), (1,)).assign(extension_as_read=2_536_607.00)
    prices = pd.concat([first, sixth])
    bidders = bidders_of(prices, as_read={"Sixth read": 2_536_607.00})
    found = compare(LETTING, bidders, prices)
    assert (found.low, found.second) == ("Sixth read", "First read")
    assert isinstance(found.to_second, Difference)
    assert found.to_second.usd == 48_197.50
    row = found.bidders.set_index("bidder").loc["Sixth read"]
    assert (row["rank_as_read"], row["rank_corrected"], row["corrected_by_usd"]) == (2, 1, -249_900.00)
    assert found.corrected[["bidder", "extension_as_read", "extension"]].values.tolist() == [
        ["Sixth read", 2_536_607.00, 2_286_707.00]
    ]
    assert "low_bidder_changed" in {finding.code for finding in found.findings}


# Greene County, Missouri, January 2023, as a newspaper reported it: one bid of $898,000 against $750,000; precast deck
# beams estimated at $175,000 cost about $300,000. Computed: beams explain 125,000 of 148,000, 84.5 %.
def test_one_bid_has_no_second_and_its_overrun_is_explained_by_the_work_that_cost_more() -> None:
    prices = pd.concat([prices_of("Only", (598_000, 300_000), (1, 1)), prices_of(None, (575_000, 175_000), (1, 1))])
    found = compared(prices)
    assert isinstance(found.to_second, Unavailable)
    assert isinstance(found.to_estimate, Difference)
    beams = found.to_estimate.by_category.set_index("work_category").loc["beams", "difference_usd"]
    assert (found.to_estimate.usd, beams) == (148_000, 125_000)
    assert beams / found.to_estimate.usd == pytest.approx(0.845, abs=5e-4)
    assert comparison_words.answer(found).startswith("Only was the only bidder for C-7, with $898,000: 19.7% over")


def test_lines_of_an_alternate_are_listed_and_in_no_total() -> None:
    prices = pd.concat(
        [prices_of(name, one, QUANTITIES, 2) for name, one in (("A", (10, 9, 7)), ("B", (11, 9, 1)), (None, (9, 9, 9)))]
    )
    found = compared(prices)
    assert isinstance(found.to_second, Difference)
    assert found.to_second.usd == 1_000
    assert found.to_second.lines["schedule"].unique().tolist() == [""]
    assert len(found.lines) == 3
    assert found.estimate_usd == 13_500


def test_an_estimate_with_open_lines_is_not_compared_and_a_stated_total_is_not_split() -> None:
    open_line = prices_of(None, (12, float("nan"), 60_000), QUANTITIES)
    bids = HAND[HAND["bidder"].notna()]
    found = compared(pd.concat([bids, open_line]))
    assert str(found.estimate_usd) == "not given: the engineer’s estimate prices 2 of 3 lines"
    stated = compared(bids, estimate_total=120_000.0)
    assert stated.estimate_usd == 120_000
    assert isinstance(stated.to_estimate, Unavailable)


def test_what_no_line_explains_stands_as_a_part_of_its_own() -> None:
    bidders = bidders_of(HAND)
    bidders.loc[bidders["bidder"] == "B", "total_corrected"] = 112_100.0
    found = compare(LETTING, bidders, HAND)
    assert isinstance(found.to_second, Difference)
    assert (found.to_second.usd, found.to_second.outside_usd) == (2_100, 100)
    assert OUTSIDE in set(found.to_second.by_category["work_category"])
    assert "outside_the_lines" in {finding.code for finding in found.findings}


def test_bids_not_responsive_stand_last_without_a_place() -> None:
    prices = pd.concat([HAND, prices_of("Early", (1, 1, 1), QUANTITIES)])
    found = compare(LETTING, bidders_of(prices, Early="irregular"), prices)
    assert found.bidders["bidder"].tolist() == ["A", "B", "Early"]
    assert found.bids == 2
    assert pd.isna(found.bidders["rank_corrected"].iloc[-1])


def test_a_bid_entered_without_a_price_is_a_blank_and_no_zero() -> None:
    prices = pd.concat([HAND, prices_of("Early", (1, float("nan"), 1), QUANTITIES)])
    found = compare(LETTING, bidders_of(prices, Early="irregular"), prices)
    wide = by_bidder(found)
    assert pd.isna(wide["Early unit price"].iloc[1])
    assert [name for name in wide if str(name).endswith("extension")] == [
        "estimate extension", "A extension", "B extension", "Early extension"
    ]  # fmt: skip


def test_a_file_of_totals_alone_has_no_lines_to_explain_with() -> None:
    found = compare(LETTING, bidders_of(HAND), HAND.head(0))
    assert isinstance(found.to_second, Unavailable)
    assert comparison_words.answer(found).startswith("A was low of 2 bids")


def test_a_contract_without_bids_says_so() -> None:
    found = compare(LETTING, bidders_of(HAND).head(0), HAND[HAND["is_estimate"]])
    assert comparison_words.answer(found) == "No bid for C-7 is ranked."


money = st.integers(1, 5_000_000).map(lambda cents: cents / 100)
quantity = st.integers(1, 4_000_000).map(lambda thousandths: thousandths / 1000)


@st.composite
def tabs(draw: st.DrawFn) -> pd.DataFrame:
    lines = draw(st.integers(1, 12))
    quantities = draw(st.lists(quantity, min_size=lines, max_size=lines))
    names = ["Avocet", "Bittern", "Crake", "Dipper"][: draw(st.integers(1, 4))]
    return pd.concat(
        [prices_of(name, draw(st.lists(money, min_size=lines, max_size=lines)), quantities) for name in (*names, None)],
        ignore_index=True,
    )


@settings(max_examples=15, deadline=None)
@given(tabs(), st.integers(0, 5))
def test_every_part_adds_to_the_whole_to_the_cent(prices: pd.DataFrame, most: int) -> None:
    found = compared(prices)
    for whole in (found.to_second, found.to_estimate):
        if isinstance(whole, Unavailable):
            continue
        assert round(whole.from_usd + whole.usd, 2) == whole.to_usd
        assert round(whole.by_category["difference_usd"].sum(), 2) == whole.usd
        assert round(whole.lines["difference_usd"].sum(), 2) == whole.usd
        shown, more, rest = largest_and_rest(whole, most)
        assert round(shown["difference_usd"].sum() + rest, 2) == whole.usd
        assert len(shown) + more == (whole.lines["difference_usd"] != 0).sum()


@settings(max_examples=8, deadline=None)
@given(tabs(), st.integers(0, 2**20))
def test_the_order_of_bidders_and_rows_changes_nothing(prices: pd.DataFrame, seed: int) -> None:
    once = compared(prices)
    mixed = prices.sample(frac=1, random_state=seed)
    again = compare(LETTING, bidders_of(mixed).sample(frac=1, random_state=seed), mixed)
    for name in ("bidders", "lines", "prices"):
        pd.testing.assert_frame_equal(getattr(once, name), getattr(again, name))
    for one, other in ((once.to_second, again.to_second), (once.to_estimate, again.to_estimate)):
        if isinstance(one, Difference) and isinstance(other, Difference):
            pd.testing.assert_frame_equal(one.by_category, other.by_category)
            pd.testing.assert_frame_equal(one.lines, other.lines)


@settings(max_examples=8, deadline=None)
@given(tabs(), st.sampled_from([2, 10]))
def test_scaling_all_prices_moves_no_place_and_no_share(prices: pd.DataFrame, factor: int) -> None:
    scaled = prices.assign(**{name: prices[name] * factor for name in ("unit_price", "extension", "extension_as_read")})
    once, again = compared(prices), compared(scaled)
    columns = ["bidder", "rank_corrected", "rank_as_read"]
    pd.testing.assert_frame_equal(once.bidders[columns], again.bidders[columns])
    for share in ("over_low", "over_estimate"):
        assert again.bidders[share].tolist() == pytest.approx(once.bidders[share].tolist(), abs=1e-6, nan_ok=True)

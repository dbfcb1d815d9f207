"""The tables of a review that go year by year, and its recurring pay items."""

from __future__ import annotations

import pandas as pd

from bidlens import quarters
from bidlens.letting import LettingReview
from bidlens.letting.item_words import price, quantity
from bidlens.letting.suggested import SUGGESTED_FROM
from bidlens.report.printed import Section
from bidlens.wording import NOT_GIVEN, adding_up, number, usd

#: Years beside each other in the table of bidders; recurring items listed.
MOST_YEARS, MOST_ITEMS = 8, 20


def bidders_by_year(review: LettingReview) -> Section:
    """Low bids of bids by bidder and year, most low bids first; empty for one year or too many."""
    first, last = review.years
    years = list(range(first, last + 1))
    if not 1 < len(years) <= MOST_YEARS:
        return ("bidder",), [], "l"
    table = review.bidders_by_year.set_index(["bidder", "year"])[["low_bids", "bids"]].to_dict("index")
    rows = []
    for bidder in review.bidders["bidder"].head(MOST_ITEMS):
        found = [table.get((bidder, year)) for year in years]
        rows.append((bidder, *(f"{one['low_bids']} of {one['bids']}" if one else "0" for one in found)))
    return ("bidder", *map(str, years)), rows, "l" + "r" * len(years)


def unit_cost_by_year(review: LettingReview) -> Section:
    """The average of each year on the basis asked for."""
    mine = review.unit_cost_by_year[review.unit_cost_by_year["basis"] == review.basis]
    rows = [
        (str(row["year"]), number(row["n"]), number(row["deck_area_sf"]), usd(row["per_sf"]),
         usd(row["adjusted_per_sf"]), _given(row["at_reference_span"]))
        for row in mine.to_dict("records")
    ]  # fmt: skip
    return ("year", "n", "deck, sf", "as let", "restated", "at the reference span"), rows, "lrrrrr"


def unit_cost_by_year_lead(review: LettingReview) -> str:
    return (
        f"$/sf on the {review.basis} basis, all dollars over all deck area; restated in dollars of "
        f"{quarters.shown(review.dollars_of)} by the {review.index_title}; at the reference span by the model. n in "
        "structures."
    )


def change_by_year(review: LettingReview) -> Section:
    """Each year's average against the year before's, in parts that add up on paper."""
    head = ("year", "n before, n", "year before", "price", "mix", "competition", "year")
    rows = []
    for row in review.change_by_year.to_dict("records"):
        n = f"{row['n_before']}, {row['n']}"
        if row["reason"]:
            rows.append((str(row["year"]), n, _given(row["before_per_sf"]), *[NOT_GIVEN] * 3,
                         _given(row["after_per_sf"])))  # fmt: skip
            continue
        parts = [row["price"], row["mix"], row["competition"]]
        rows.append((str(row["year"]), n, *adding_up(row["before_per_sf"], parts, row["after_per_sf"])))
    return head, rows, "lrrrrrr"


def change_by_year_lead(review: LettingReview) -> str:
    return (
        f"$/sf on the {review.basis} basis, as let. Price: cost index and the same work; mix: types, spans and sizes; "
        "competition: number of bidders, an association. Mix and competition by the model. n in structures; it takes 4 "
        "and 2."
    )


def recurring(review: LettingReview) -> Section:
    """The recurring items with most dollars: low bids, all bids, and the price to expect."""
    head = ("pay item", "unit", "contracts", "middle low bid", "bids", "mean of all", "expect", "range", "of 10",
            "at quantity")  # fmt: skip
    rows = [
        (
            row["item_title"], row["pay_unit"], number(row["contracts"]), price(row["real_low_price"]),
            NOT_GIVEN if pd.isna(row["bids"]) else number(row["bids"]),
            NOT_GIVEN if pd.isna(row["mean_price"]) else price(row["mean_price"]), price(row["expected_price"]),
            f"{price(row['low'])} to {price(row['high'])}", number(row["chance"] * 10),
            quantity(row["for_quantity"]),
        )
        for row in review.recurring_items.head(MOST_ITEMS).to_dict("records")
    ]  # fmt: skip
    return head, rows, "llrrrrrrrr"


def recurring_lead(review: LettingReview) -> str:
    first, last = review.compared[0], review.years[1]
    return (
        f"Items let in {SUGGESTED_FROM} contracts or more, {first}–{last}, most dollars of {review.period} first. Low "
        f"bids and the price to expect in dollars of {quarters.shown(review.dollars_of)} by the {review.index_title}; "
        f"mean of all bids of {review.period} as bid. Of 10: how many further low bids of 10 the range would hold."
    )


def _given(value: float) -> str:
    return NOT_GIVEN if pd.isna(value) else usd(value)

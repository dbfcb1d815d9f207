"""The letting review in text: the answer first, then contracts, prices that moved, what is worth a look."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pandas as pd

from bidlens import quarters
from bidlens.letting import ChangeExplained, LettingReview, checklist, words
from bidlens.report import review_years
from bidlens.report.printed import Rows, Section
from bidlens.report.terminal import WIDTH, findings_text, paragraph, table
from bidlens.wording import NOT_GIVEN, adding_up, count, day, number, percent, usd

CAUTION = (
    "Statistics of bids describe; they are not evidence of wrongdoing. Award, rejection and negotiation follow the "
    "owner's procurement law and counsel."
)
#: Rows of the longer tables a terminal or a printed page shows; the workbook and JSON hold all.
MOST_ROWS, MOST_FLAGS = 20, 12
ONE_BID = "one bid"
CONTRACTS_LEAD = "Left: second less low bid, then as percent of the low bid. Low is: against the estimate."
COMPETITION_LEAD = (
    "Contract basis, as corrected, dollars as bid; lettings not rejected. Left on the table: second less low bid where "
    "there are two, then as percent of those low bids."
)


def review_answer(review: LettingReview) -> str:
    """The whole review in text."""
    parts = [
        paragraph(words.answer(review)),
        paragraph(words.support(review)),
        "",
        *(f"{key:<14} {value}" for key, value in words.title_cells(review).items()),
    ]
    if review.competition.contracts:
        for title, lead, section in sections(review):
            head, rows, sides = section
            parts += ["", title, paragraph(lead), table(head, rows, sides, 46)]
        parts += ["", "Worth a look before the next letting", flags_text(review)]
    if review.findings:
        parts += ["", findings_text(review.findings)]
    return "\n".join([f"Letting review {review.period}", "─" * WIDTH, *parts, "", paragraph(CAUTION)])


def sections(review: LettingReview) -> list[tuple[str, str, Section]]:
    """Title, the line that says how to read it, and head, rows and sides of each table of the review that has rows."""
    shown = [
        ("Contracts", f"{words.caption(review)}. {CONTRACTS_LEAD}", contracts_table(review)),
        ("Competition over the years", COMPETITION_LEAD, years_table(review)),
        (f"Bidders of {review.period}", bidders_lead(review), bidders_table(review)),
        ("Bidders year by year", "Low bids of bids; 0 where none was made.", review_years.bidders_by_year(review)),
        ("Estimates over the years", estimates_lead(review), estimates_table(review)),
        ("Where estimates missed most", "By work category; low bids less estimate, largest dollars first; "
         "lines priced by both.", missed_table(review)),
        ("Pay items estimates missed most", "Low bids less estimate, largest dollars first; lines priced by both.",
         missed_items_table(review)),
        ("Prices that moved", moved_lead(review), moved_table(review)),
        ("Pay item prices", review_years.recurring_lead(review), review_years.recurring(review)),
        ("County price index", index_lead(review), index_table(review)),
        ("Unit cost by type", unit_cost_lead(review), unit_cost_table(review)),
        ("Unit cost by year", review_years.unit_cost_by_year_lead(review), review_years.unit_cost_by_year(review)),
        ("Why the average changed", change_lead(review), change_table(review)),
        ("Why each year’s average changed", review_years.change_by_year_lead(review),
         review_years.change_by_year(review)),
    ]  # fmt: skip
    return [one for one in shown if one[2][1]]


def contracts_table(review: LettingReview) -> Section:
    head = ("contract", "let", "bids", "low bid", "second", "left", "of low", "estimate", "low is", "low bidder")
    rows = [
        (
            row["contract_id"],
            day(row["letting_date"]),
            "all rejected" if row["status"] == "rejected" else number(row["bids"]),
            given(row["low_usd"], usd),
            given(row["second_usd"], usd, ONE_BID if row["bids"] == 1 else NOT_GIVEN),
            given(row["money_left_usd"], usd, ONE_BID if row["bids"] == 1 else NOT_GIVEN),
            given(row["money_left_of_low"], one_percent, ONE_BID if row["bids"] == 1 else NOT_GIVEN),
            given(row["estimate_usd"], usd),
            given(row["low_over_estimate"], percent),
            given(row["low_bidder"], str),
        )
        for row in review.contracts.to_dict("records")
    ]
    return head, rows, "llrrrrrrrl"


def years_table(review: LettingReview) -> Section:
    head = ("year", "contracts", "bids", "bids each", "single bids", "low bids", "left on the table", "of low")
    rows = [
        (
            str(row["year"]), number(row["contracts"]), number(row["bids"]),
            given(row["bids_per_contract"], one_decimal), f"{row['single_bid_contracts']} of {row['contracts']}",
            usd(row["low_usd"]), given(row["money_left_usd"], usd), given(row["money_left_of_low"], one_percent),
        )
        for row in review.competition_by_year.to_dict("records")
    ]  # fmt: skip
    return head, rows, "lrrrrrrr"


def bidders_lead(review: LettingReview) -> str:
    said = f"All {len(review.bidders)}, most low bids first." if len(review.bidders) <= MOST_ROWS else (
        f"The first {MOST_ROWS} of {len(review.bidders)}, most low bids first."
    )  # fmt: skip
    if review.hhi is not None:
        said += (
            f" Sum of squared percent shares of low dollars: {number(review.hhi)}; a measure of whole markets, high by "
            "arithmetic where awards are few."
        )
    if review.bidders_in_words:
        said += f" By the model, {review.bidders_in_words}; an association, since hard jobs draw few bidders."
    return said


def bidders_table(review: LettingReview) -> Section:
    head = ("bidder", "bids", "low bids", "low dollars", "on record since")
    rows = [
        (row["bidder"], number(row["bids"]), number(row["low_bids"]), usd(row["low_usd"]),
         f"{row['first_year']}, new" if row["new"] else str(row["first_year"]))
        for row in review.bidders.head(MOST_ROWS).to_dict("records")
    ]  # fmt: skip
    return head, rows, "lrrrl"


def estimates_lead(review: LettingReview) -> str:
    """Both bases, and the mean of bids without highest and lowest."""
    a = review.accuracy
    said = "Contracts with a whole estimate; within 10% of the low bid and within 10% of the estimate: two bases."
    if a.n_trimmed:
        said += (
            f" {a.within_of_trimmed_mean} of {a.n_trimmed} estimates lay within 10% of the mean of the bids without "
            f"the highest and the lowest, {review.period}."
        )
    return f"{said} Low is: all low bids over all estimates. Spread: standard deviation of low over estimate."


def estimates_table(review: LettingReview) -> Section:
    head = ("year", "estimates", "of low bid", "of estimate", "low is, over all", "spread")
    rows = [
        (
            str(row["year"]), number(row["n"]), f"{row['within_of_low']} of {row['n']}",
            f"{row['within_of_estimate']} of {row['n']}", given(row["bias"], percent),
            given(row["spread"], lambda spread: f"{number(spread * 100, 1)}%", "one estimate"),
        )
        for row in review.accuracy_by_year.to_dict("records")
    ]  # fmt: skip
    return head, rows, "lrrrrr"


def missed_table(review: LettingReview) -> Section:
    head = ("work category", "lines", "contracts", "estimate", "low bids", "difference", "low is")
    rows = [
        (
            str(row["work_category"]).replace("_", " "), number(row["lines"]), number(row["contracts"]),
            usd(row["estimate_usd"]), usd(row["low_usd"]), usd(row["difference_usd"]),
            given(row["low_over_estimate"], percent),
        )
        for row in review.missed_categories.head(8).to_dict("records")
    ]  # fmt: skip
    return head, rows, "lrrrrrr"


def missed_items_table(review: LettingReview) -> Section:
    head = ("pay item", "unit", "lines", "contracts", "estimate", "low bids", "difference", "low is")
    rows = [
        (
            row["item_title"], row["pay_unit"], number(row["lines"]), number(row["contracts"]),
            usd(row["estimate_usd"]), usd(row["low_usd"]), usd(row["difference_usd"]),
            given(row["low_over_estimate"], percent),
        )
        for row in review.missed_items.head(8).to_dict("records")
    ]  # fmt: skip
    return head, rows, "llrrrrrr"


def moved_lead(review: LettingReview) -> str:
    return (
        f"Median low-bid unit price, {review.years_compared} and {review.period}, in dollars of "
        f"{quarters.shown(review.dollars_of)} by the {review.index_title}. Most dollars moved first; n in contracts. "
        "Worth: what the change comes to on the quantities let."
    )


def moved_table(review: LettingReview) -> Section:
    head = ("pay item", "unit", "n", "before", "year", "change", "worth")
    rows = [
        (
            row["item_title"], row["pay_unit"], f"{row['n_before']}, {row['n_year']}", unit_price(row["price_before"]),
            unit_price(row["price_year"]), percent(row["change"]), usd(row["effect_usd"]),
        )
        for row in review.prices_moved.head(MOST_ROWS).to_dict("records")
    ]  # fmt: skip
    return head, rows, "llrrrrr"


def index_lead(review: LettingReview) -> str:
    return (
        "Low-bid prices of the items two neighbouring years share, chained (Fisher); beside it the mean of the year's "
        f"quarters of the {review.index_title}. Over the years compared: {words.same_work_basis(review)}."
    )


def index_table(review: LettingReview) -> Section:
    head = ("year", "items in common", "of dollars", "on the year before", "county index", "published index")
    rows = [
        (
            str(row["year"]), number(row["matched_items"]), given(row["matched_share"], whole_percent, "first year"),
            given(row["link"], lambda link: percent(link - 1, 1), "first year"), given(row["index"], three_decimals),
            given(row["published"], three_decimals),
        )
        for row in review.price_index.to_dict("records")
    ]  # fmt: skip
    return head, rows, "lrrrrr"


def unit_cost_lead(review: LettingReview) -> str:
    return (
        f"Dollars over deck area, {review.period} as let and in dollars of {quarters.shown(review.dollars_of)}, beside "
        f"{review.years_compared}, restated likewise by the {review.index_title}. At span: at the "
        f"reference span, by the model of the basis. Each basis stands alone. n in structures."
    )


def unit_cost_table(review: LettingReview) -> Section:
    head = ("basis", "superstructure", "n", "as let", "restated", "n before", "before", "change", "at span",
            "before, at span")  # fmt: skip
    rows = [
        (
            row["basis"], row["superstructure"], number(row["n_year"]), given(row["year_per_sf"], usd),
            given(row["year_adjusted_per_sf"], usd), number(row["n_before"]),
            given(row["before_adjusted_per_sf"], usd, "none before"), given(row["change"], percent, "none before"),
            given(row["year_at_reference_span"], usd), given(row["before_at_reference_span"], usd, "none before"),
        )
        for row in review.unit_cost_by_type.to_dict("records")
    ]  # fmt: skip
    return head, rows, "llrrrrrrrr"


def change_lead(review: LettingReview) -> str:
    if not isinstance(review.change, ChangeExplained):
        return f"{str(review.change).capitalize()}."
    before, after = count(review.change.n_before, "structure"), count(review.change.n_after, "structure")
    return (
        f"Average $/sf on the {review.basis} basis, as let and not restated: {review.years_compared} "
        f"({before}) to {review.period} ({after})."
    )


def change_rows(review: LettingReview) -> Rows:
    """What, $/sf as printed, note; the amounts add up on paper. Empty where nothing is explained."""
    change = review.change
    if not isinstance(change, ChangeExplained):
        return []
    amounts = adding_up(change.before, [part.per_sf for part in change.parts], change.after)
    whats = [f"{review.years_compared} average", *(part.what for part in change.parts), f"{review.period} average"]
    ends = (count(change.n_before, "structure"), count(change.n_after, "structure"))
    notes = [ends[0], *(part.note for part in change.parts), ends[1]]
    return list(zip(whats, amounts, notes, strict=True))


def change_table(review: LettingReview) -> Section:
    return ("part", "$/sf", "rests on"), change_rows(review), "lrl"


def checklist_table(review: LettingReview) -> Section:
    rows = [(str(n), question, answer) for n, (question, answer) in enumerate(checklist(review), start=1)]
    return ("", "question", "answer"), rows, "rll"


def flags_text(review: LettingReview) -> str:
    """The flags shown first of each kind, how common such lines are, and how many more there are."""
    if not review.flags:
        return "Nothing was met that the triggers in use look for."
    shown = [flag.as_finding() for flag in review.flags[:MOST_FLAGS]]
    more = len(review.flags) - len(shown)
    said = findings_text(shown, MOST_FLAGS)
    return "\n".join([said, *([f"… and {more} more; --format json lists them all."] if more else []),
                      paragraph(words.base_rate(review))])  # fmt: skip


def given(value: Any, shown: Callable[[Any], str], otherwise: str = NOT_GIVEN) -> str:
    """The value as shown, or the words that stand for it."""
    return otherwise if pd.isna(value) else shown(value)


def unit_price(value: float) -> str:
    """Unit prices under $100 with cents."""
    return usd(value, 2 if value < 100 else 0)


def one_decimal(value: float) -> str:
    return number(value, 1)


def three_decimals(value: float) -> str:
    return number(value, 3)


def one_percent(ratio: float) -> str:
    return percent(ratio, 1).removeprefix("+")


def whole_percent(ratio: float) -> str:
    return f"{number(ratio * 100)}%"

"""What does this item cost? A pay item searched by words: its history, and the price to expect."""

from __future__ import annotations

import re

import streamlit as st

from bidlens import figures, quarters, workflow
from bidlens.dashboard import blocks, cache, empty, review_view
from bidlens.dashboard.comparison_view import link_to
from bidlens.dashboard.downloads import XLSX, file_stem
from bidlens.dashboard.filters import Filters, set_queries, set_query
from bidlens.dashboard.review_view import bold
from bidlens.dashboard.words import Html, esc, label, plain
from bidlens.errors import BadValue, BidlensError
from bidlens.figures import items as drawn
from bidlens.letting import ItemPrices, SuggestedPrice, item_words
from bidlens.letting.years import parse_years
from bidlens.report import item_report

QUESTION = "What does this item cost?"
#: Items found that are listed.
LISTED = 40
_NUMBERS = re.compile(r"(\$[\d,.]*\d)")


def page() -> None:
    """The whole page."""
    if cache.is_empty() or cache.table("lettings").empty:
        empty.no_bid_tabs(QUESTION)
    else:
        _search(st.query_params.get("words", "") or _most_bought())
    blocks.caution(item_report.CAUTION, blocks.AWARD)


def _most_bought() -> str:
    """The measured pay item with most dollars, to begin with."""
    known = cache.table("pay_items")
    measured = known[~known["pay_unit"].isin(["LS", "FA", "EST", "ALLOW", "CALC"])]
    return str((measured if len(measured) else known)["description"].iloc[0])


def _search(words: str) -> None:
    filters = Filters.from_query(st.query_params)
    quantity, unit, years = _quantity(), st.query_params.get("unit") or None, st.query_params.get("year") or None
    try:
        items = cache.pay_item_prices(words, unit, parse_years(years) if years else None, quantity, filters.index)
    except BidlensError as error:
        blocks.opening(QUESTION, esc(f"Nothing is found for “{label(words)}”."))
        _widgets(words, unit, years, quantity)
        blocks.stopped(error, "Look.")
        return
    one = _chosen(items)
    blocks.opening(QUESTION, bold(item_words.answer(one), _NUMBERS), item_words.support(one))
    blocks.title_block(_cells(one, len(items)))
    with st.container(horizontal=True, gap="small", key="compare_row"):
        with st.popover("Search, quantity, years"):
            _widgets(words, unit, years, quantity)
        _download(items, words)
    _pictures(one)
    _tables(one, items, words)


def _quantity() -> float | None:
    text = st.query_params.get("quantity")
    try:
        return float(text) if text else None
    except ValueError as error:
        raise BadValue(f"cannot read “{label(text)}” as a quantity", do="Write a number, such as 1250.") from error


def _chosen(items: list[ItemPrices]) -> ItemPrices:
    wanted = st.query_params.get("item")
    return next((one for one in items if one.item == wanted), items[0])


def _cells(one: ItemPrices, found: int) -> dict[str, str]:
    return {
        "Pay item": one.title,
        "Pay unit": one.pay_unit,
        "Work category": one.work_category.replace("_", " "),
        "Contracts": str(len(one.lettings)),
        "Dollars of": quarters.shown(one.dollars_of),
        "Found": blocks.counted(found, "pay item"),
    }


def _widgets(words: str, unit: str | None, years: str | None, quantity: float | None) -> None:
    """Words, unit, years and quantity, written to the URL when sent."""
    with st.form("items_search", border=False):
        st.text_input("Words of the description, or a code", words, key="items_words")
        left, middle, right = st.columns(3)
        left.text_input("Pay unit, any if empty", unit or "", key="items_unit")
        middle.text_input("Years, all if empty", years or "", placeholder="2019-2024", key="items_years")
        right.text_input("Quantity", f"{quantity:g}" if quantity else "", key="items_quantity")
        st.form_submit_button("Search", on_click=_asked)


def _asked() -> None:
    typed = {
        name: str(st.session_state[f"items_{key}"]).strip()
        for name, key in (("words", "words"), ("unit", "unit"), ("year", "years"), ("quantity", "quantity"))
    }
    set_queries({**typed, "quantity": typed["quantity"].replace(",", ""), "item": None})


def _download(items: list[ItemPrices], words: str) -> None:
    stem, db = file_stem(f"pay items {words}"), cache.database()
    with st.popover("Download"):
        st.download_button("Tables (XLSX)",
                           lambda: item_report.items_workbook(items, words, workflow.sources_of(db)),
                           f"{stem}.xlsx", XLSX, key="items_xlsx")  # fmt: skip
        st.download_button("All numbers (JSON)", lambda: item_report.items_document(items, words), f"{stem}.json",
                           "application/json", key="items_json")  # fmt: skip


def _pictures(one: ItemPrices) -> None:
    left, right = st.container(key="first_pictures").columns(2, gap="medium")
    caption = item_words.caption(one).split(" · ")
    given = one.suggested if isinstance(one.suggested, SuggestedPrice) else None
    expected = (given.quantity, given.price, given.low, given.high) if given else None
    with left:
        blocks.section("Over the years, dollars as bid")
        picture = drawn.prices_by_date(one.lettings, one.pay_unit, caption, blocks.palette())
        st.plotly_chart(picture, theme=None, config=figures.CONFIG, key="items_dates", alt="Unit price by letting date")
    with right:
        blocks.section(f"By quantity, dollars of {quarters.shown(one.dollars_of)}")
        effect = given.quantity_effect if given else None
        picture = drawn.prices_by_quantity(one.lettings, one.pay_unit, expected, effect, caption, blocks.palette())
        st.plotly_chart(
            picture, theme=None, config=figures.CONFIG, key="items_quantities", alt="Unit price by quantity"
        )


def _tables(one: ItemPrices, items: list[ItemPrices], words: str) -> None:
    if len(items) > 1:
        blocks.section("Items found", f"{item_words.found(items, words)} Most dollars of low bids first.")
        shown = items[:LISTED]
        titles = {other.item: label(f"{other.title}, {other.pay_unit}", 110) for other in shown}
        st.session_state["items_chosen"] = one.item if one.item in titles else None
        st.selectbox(
            "Pay item", list(titles), format_func=lambda item: titles.get(item, label(item)), key="items_chosen",
            width=560, on_change=lambda: set_query("item", st.session_state["items_chosen"]),
        )  # fmt: skip
        review_view.table(item_report.items_table(shown))
    blocks.section("Year by year", item_report.YEARS_LEAD)
    review_view.table(item_report.years_table(one))
    blocks.section("Contract by contract", "Newest first; a contract’s number opens its bids side by side.")
    newest = one.lettings.iloc[::-1]

    def to_review(page: slice) -> list[Html]:
        shown = newest.iloc[page]
        keys = zip(shown["contract_id"], shown["letting_date"], strict=True)
        return [link_to(contract, day, "letting_review") for contract, day in keys]

    review_view.table(item_report.lettings_table(one), to_review)
    with st.expander(plain("How the price to expect is found")):
        st.html(f'<p class="bl-lead">{item_words.ASSUMES}</p>')
        if len(one.spellings) > 1:
            blocks.note(f"Gathered from {len(one.spellings)} spellings: {'; '.join(one.spellings[:12])}.")


page()

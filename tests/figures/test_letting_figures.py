"""The pictures of the letting review hold what they are given, and say so where there is nothing to draw."""

from __future__ import annotations

import pandas as pd

from bidlens import figures
from bidlens.figures import letting

DAY = pd.Timestamp("2025-03-12")
CONTRACTS = pd.DataFrame(
    {"contract_id": ["C-1", "<b>C-2"], "letting_date": DAY, "description": ["Mill Brook", ""], "bids": [2, 1],
     "low_usd": [95.0, 120.0], "estimate_usd": [100.0, 100.0]}
)  # fmt: skip
BIDS = pd.DataFrame(
    {"contract_id": ["C-1", "C-1", "<b>C-2"], "letting_date": DAY, "ratio": [-0.05, 0.10, 0.20], "bidder": list("ABA")}
)
MOVED = pd.DataFrame(
    {"item_title": ["Riprap", "Deck concrete"], "pay_unit": ["TON", "CY"], "n_before": [5, 2], "n_year": [4, 1],
     "price_before": [60.0, 900.0], "price_year": [66.0, 720.0], "change": [0.10, -0.20]}
)  # fmt: skip


def words_of(figure: object) -> str:
    return " ".join(note.text for note in figure.layout.annotations)  # type: ignore[attr-defined]


def test_low_bids_are_filled_a_single_bid_is_open_and_every_bid_is_drawn() -> None:
    figure = letting.bids_against_estimate(CONTRACTS, BIDS, "n = 2 contracts", figures.LIGHT)
    places = sorted(x for trace in figure.data for x in trace.x)
    assert [round(x) for x in places] == [-5, 10, 20]
    lows = [trace for trace in figure.data if trace.marker.symbol is None]
    assert [trace.marker.color for trace in lows] == [figures.LIGHT.own, figures.LIGHT.paper]
    assert "<b>1 bid</b>" in words_of(figure)
    assert "&lt;b&gt;C-2" in words_of(figure)


def test_the_rows_of_more_contracts_move_together_before_the_picture_grows() -> None:
    def height(n: int) -> float:
        ids = [f"C-{number}" for number in range(n)]
        contracts = pd.concat([CONTRACTS.head(1)] * n, ignore_index=True).assign(contract_id=ids)
        bids = pd.DataFrame({"contract_id": ids, "letting_date": DAY, "ratio": 0.0, "bidder": "A"})
        figure = letting.bids_against_estimate(contracts, bids, "a caption", figures.LIGHT)
        return float(figure.layout.height)

    few, seven, nine, forty = (height(n) for n in (3, 7, 9, 40))
    assert few < seven == nine < forty


def test_short_notes_stand_beside_what_they_are_of_in_lower_rows() -> None:
    steps = [("Low", "$10", ""), ("deck", "+$2", "1 line"), ("Second", "$12", "")]
    usual, tight = (
        letting.change_explained(steps, [10, 12, 12], ["a caption"], figures.LIGHT, "$", tight=tight)
        for tight in (False, True)
    )
    assert tight.layout.height < usual.layout.height
    assert "deck<br>" in words_of(usual)
    assert "deck&nbsp; " in words_of(tight)


def test_arrows_are_open_under_three_contracts_and_give_unit_and_both_n() -> None:
    figure = letting.prices_moved(MOVED, "2025", "2022–2024", ["a caption"], figures.LIGHT)
    assert [trace.marker.symbol for trace in figure.data] == ["triangle-right", "triangle-left-open"]
    assert "TON, n 5, 4" in words_of(figure)
    assert "$60.00 → $66.00" in words_of(figure)


def test_a_change_runs_from_the_hollow_to_the_filled_circle_and_not_from_zero() -> None:
    rows = [("before", "$139.0", ""), ("Cost index", "+$4.0", ""), ("Same work", "+$9.0", ""), ("after", "$152.0", "")]
    figure = letting.change_explained(rows, [139.0, 143.0, 152.0, 152.0], ["a caption"], figures.LIGHT)
    first, last = figure.data[-2:]
    assert (first.x, last.x) == ((139.0,), (152.0,))
    assert figure.layout.xaxis.range[0] > 130


def test_nothing_to_draw_is_said_in_words() -> None:
    assert "No contract" in words_of(letting.bids_against_estimate(CONTRACTS.head(0), BIDS.head(0), "", figures.LIGHT))
    assert "No pay item" in words_of(letting.prices_moved(MOVED.head(0), "2025", "2024", [], figures.LIGHT))


def test_a_caption_that_names_a_file_stays_text() -> None:
    steps = [("Low", "$10", ""), ("deck", "+$2", "1 line"), ("Second", "$12", "")]
    figure = letting.change_explained(steps, [10, 12, 12], ["source: <img src=x>.csv"], figures.LIGHT, "$")
    assert "<img" not in words_of(figure)

"""The whole check of an offer, with the real model on invented counties."""

from __future__ import annotations

import datetime as dt
import json
import math
from decimal import Decimal

import numpy as np
import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bidlens.errors import BadValue
from bidlens.findings import Finding
from bidlens.model import CostModel, fit_cost_model
from bidlens.normalizer import UnitCostHistory
from bidlens.proposal import Proposal, ProposalCheck, check_proposal, span_curve
from bidlens.proposal.comparables import COMPARABLE_COLUMNS
from bidlens.reference import CostIndex
from tests.proposal.conftest import QUARTERS, WORK, Check, County, Letter

BEAMS_ONLY = ("furnish", "deliver", "set", "bearings")


def _codes(check: ProposalCheck) -> list[str]:
    return [finding.code for finding in check.findings]


@pytest.fixture(scope="module")
def history(index: CostIndex) -> UnitCostHistory:
    return County().usual(18).usual(8, kind="adjacent box beam", seed=4).history(index)


@pytest.fixture(scope="module")
def model(history: UnitCostHistory, index: CostIndex) -> CostModel:
    return fit_cost_model(history.frame, index=index)


# -- rules of the trade, and published cases -------------------------------------------------------------------------


@pytest.mark.parametrize("others", [(83.0, 84.0, 85.0), (80.0, 83.0, 85.0, 88.0)])
@pytest.mark.parametrize("basis", ["beams", "superstructure"])
def test_82_dollars_against_a_few_lettings_around_84_is_usual_or_too_little_to_say(
    county: County, letter: Letter, check: Check, flat_index: CostIndex, others: tuple[float, ...], basis: str
) -> None:
    # Common practice, no source: a difference of 2 % on three or four lettings is noise.
    for number, price in enumerate(others):
        county.bridge({"beams": price - 5, "bearings": 5.0}, date=f"{2022 + number % 4}-05-10")
    offer = letter(price_per_sf=Decimal(82), scope=BEAMS_ONLY)
    result = check(offer, county.history(flat_index, basis), index=flat_index)
    assert result.verdict.code == ("usual" if len(others) == 4 else "not_enough_history")
    if len(others) == 4:
        assert "from thin history" in result.verdict.text
        assert "Indicative only." in result.verdict.text
        assert "within the ordinary scatter of lettings" in result.verdict.support
    else:
        assert result.percentile is None
        assert "not_enough_history" in _codes(result)


def test_beams_alone_are_never_ranked_against_a_whole_superstructure(
    county: County, letter: Letter, check: Check, flat_index: CostIndex
) -> None:
    # Auglaize County, Ohio (newspaper report): box beams for 36 x 28 ft, 45,825; county forces 49,500 more. $45.46/sf
    # of beams alone, $94.57/sf with the county's own work.
    for _ in range(6):
        county.bridge(
            {"beams": 45.0, "bearings": 2.0, "deck": 30.0, "railing": 20.0}, kind="adjacent box beam", length_ft=36.0
        )
    offer = letter(
        price_usd=Decimal(45_825),
        price_per_sf=None,
        length_ft=36.0,
        superstructure="adjacent box beam",
        scope=BEAMS_ONLY,
    )
    result = check(offer, county.history(flat_index), index=flat_index)
    assert result.quoted_per_sf == pytest.approx(45.46, abs=0.005)
    assert result.like_for_like_per_sf == pytest.approx(45.46 + 30 + 20, abs=0.005)
    assert result.percentile is not None
    model = fit_cost_model(county.history(flat_index).frame, index=flat_index)
    as_quoted = model.percentile(_row(offer, result), result.quoted_per_sf)[0]
    assert as_quoted < 0.05 < result.percentile


def _row(offer: Proposal, result: ProposalCheck) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "superstructure": [offer.superstructure],
            "deck_area_sf": [result.deck_area_sf],
            "span_ft": [result.span_ft],
            "skew_deg": [0.0],
            "letting_date": [pd.Timestamp(offer.delivery)],
        }
    )


def test_26_8_by_57_ft_is_1520_sf(letter: Letter, check: Check, history: UnitCostHistory) -> None:
    # common practice, no source
    result = check(letter(price_usd=Decimal(124_640), price_per_sf=None, length_ft=57.0, width_ft=26 + 8 / 12), history)
    assert result.deck_area_sf == pytest.approx(1520)
    assert result.quoted_per_sf == pytest.approx(82)


# -- by hand ---------------------------------------------------------------------------------------------------------


def test_delivery_next_year_is_brought_back_to_the_base_quarter(
    letter: Letter, check: Check, history: UnitCostHistory
) -> None:
    # 1 % a quarter: 2025Q1 to 2025Q4 dollars is x 1.01^3 on the quoted price alone
    result = check(letter(price_per_sf=Decimal(100), delivery=dt.date(2025, 2, 3), scope=BEAMS_ONLY), history)
    line = result.adjustments[-1]
    assert line.what == "2025 Q1 to 2025 Q4 dollars"
    assert line.per_sf == pytest.approx(100 * (1.01**3 - 1))
    assert line.source == "index"
    assert line.n is None


def test_a_forecast_quarter_is_said(letter: Letter, check: Check, history: UnitCostHistory) -> None:
    result = check(letter(delivery=dt.date(2026, 5, 3)), history)
    assert result.adjustments[-1].source == "index, forecast 2 quarters"
    assert result.adjustments[-1].per_sf < 0
    assert "index_forecast" in _codes(result)


def test_the_delivery_day_sets_the_dollars_then_the_letters_then_the_base_quarter(
    letter: Letter, check: Check, history: UnitCostHistory
) -> None:
    by_letter = check(letter(delivery=None, date=dt.date(2025, 2, 3)), history)
    undated = check(letter(delivery=None, date=None), history)
    assert by_letter.adjustments[-1].what == "2025 Q1 to 2025 Q4 dollars"
    assert "no_delivery_date" in _codes(by_letter)
    assert undated.adjustments == ()
    assert "quoted_dollars_assumed" in _codes(undated)


def test_expected_price_and_percentile_agree_with_the_model_in_its_own_dollars(
    letter: Letter, history: UnitCostHistory, model: CostModel, index: CostIndex
) -> None:
    offer = letter(delivery=dt.date(2025, 2, 3))
    result = check_proposal(offer, structure=None, history=history, model=model, index=index)
    predicted = model.predict(_row(offer, result)).iloc[0]
    assert result.expected is not None
    assert result.expected["p50"] == pytest.approx(predicted["p50"] * 1.01**3)
    at_delivery = result.like_for_like_per_sf / 1.01**3
    assert result.percentile == pytest.approx(model.percentile(_row(offer, result), at_delivery)[0])
    assert result.difference_ratio == pytest.approx(result.like_for_like_per_sf / result.expected["p50"] - 1)


def test_an_offer_at_the_middle_is_at_half(
    letter: Letter, history: UnitCostHistory, model: CostModel, index: CostIndex
) -> None:
    first = check_proposal(letter(), structure=None, history=history, model=model, index=index)
    assert first.expected is not None
    offer = letter(price_per_sf=Decimal(repr(first.expected["p50"])))
    result = check_proposal(offer, structure=None, history=history, model=model, index=index)
    assert result.percentile == pytest.approx(0.5, abs=1e-6)
    assert result.verdict.code == "usual"


def test_two_hundred_percent_of_the_middle_is_well_above_usual(
    letter: Letter, history: UnitCostHistory, check: Check
) -> None:
    middle = check(letter(), history).expected
    assert middle is not None
    dear = check(letter(price_per_sf=Decimal(repr(2 * middle["p50"]))), history)
    cheap = check(letter(price_per_sf=Decimal(repr(0.5 * middle["p50"]))), history)
    assert (dear.verdict.code, cheap.verdict.code) == ("well_above_usual", "well_below_usual")


def test_a_type_never_let_is_not_judged_and_its_range_still_stands(
    letter: Letter, history: UnitCostHistory, check: Check
) -> None:
    result = check(letter(superstructure="steel tub girder"), history)
    assert result.verdict.code == "not_enough_history"
    assert result.verdict.text.startswith("Not enough history to say. We have let no steel tub girder, so $140/sf")
    assert (result.percentile, result.difference_ratio, result.grade) == (None, None, "D")
    assert "not_enough_history" in _codes(result)
    assert result.findings[0].severity == "stop"
    assert result.history.same_type == 0


@pytest.mark.parametrize("n", [0, 1, 3])
def test_fewer_than_four_priced_structures_are_not_enough(
    county: County, letter: Letter, check: Check, index: CostIndex, n: int
) -> None:
    history = county.usual(max(n, 1)).history(index)
    if not n:
        history = UnitCostHistory(
            history.frame.iloc[:0], history.category_costs.iloc[:0], "superstructure", "2025Q4", index.title
        )
    result = check(letter(), history)
    assert result.verdict.code == "not_enough_history"
    assert result.percentile is None
    assert result.expected is None
    assert len(result.comparables) == n
    assert result.history.contracts == n
    json.dumps(result.as_dict(), allow_nan=False)


def test_a_bridge_far_longer_than_any_let_is_not_judged(letter: Letter, history: UnitCostHistory, check: Check) -> None:
    result = check(letter(length_ft=400.0), history)
    assert result.verdict.code == "not_enough_history"
    assert "too far from what we have let" in result.verdict.text


def test_a_basis_that_cannot_be_reached_gives_no_like_for_like_price(
    county: County, letter: Letter, check: Check, index: CostIndex
) -> None:
    for number in range(5):
        work = {"beams": 70.0, "bearings": 4.0} | ({"deck": 36.0} if number < 2 else {})
        county.bridge(work, date=f"202{number}-03-03")
    offer = letter(scope=(*BEAMS_ONLY, "deck"))
    result = check(offer, county.history(index, "beams"))
    assert math.isnan(result.like_for_like_per_sf)
    assert result.as_dict()["like_for_like_per_sf"] is None
    assert result.verdict.code == "not_enough_history"
    assert "deck slab, reinforcement" in result.verdict.text


def test_a_missing_setting_is_a_question_and_in_the_sentence(
    letter: Letter, history: UnitCostHistory, check: Check
) -> None:
    result = check(letter(scope=("furnish", "deliver", "bearings"), price_per_sf=Decimal(75)), history)
    assert "scope_gap_setting" in _codes(result)
    assert "like for like but for setting" in result.verdict.text.lower()
    assert any(finding.code == "room_for_setting" and "stays usual" in finding.text for finding in result.findings)


def test_work_that_was_added_is_said_to_carry_the_verdict_where_it_does(
    letter: Letter, history: UnitCostHistory, check: Check
) -> None:
    def spread(price: float) -> Finding:
        result = check(letter(scope=BEAMS_ONLY, price_per_sf=Decimal(repr(price))), history)
        return next(finding for finding in result.findings if finding.code == "added_work_spread")

    middle = check(letter(scope=BEAMS_ONLY), history)
    assert middle.expected is not None
    added = sum(step.per_sf for step in middle.adjustments)
    assert spread(middle.expected["p50"] - added).severity == "note"
    assert spread(middle.expected["p90"] - added).severity == "check"


def test_old_letters_and_old_lettings_are_said(letter: Letter, history: UnitCostHistory, check: Check) -> None:
    fresh = check(letter(), history, today=dt.date(2026, 3, 9))  # 180 days after 10 September 2025
    old = check(letter(), history, today=dt.date(2026, 3, 10))
    assert "letter_is_old" not in _codes(fresh)
    assert "letter_is_old" in _codes(old)
    late = check(letter(delivery=dt.date(2029, 11, 3)), history)
    assert "stale_prices" in _codes(late)
    assert "stale_prices" not in _codes(fresh)


def test_two_prices_that_differ_are_said_and_the_lump_sum_governs(
    letter: Letter, history: UnitCostHistory, check: Check
) -> None:
    result = check(letter(price_usd=Decimal(173_600), price_per_sf=Decimal(125)), history)
    assert result.quoted_per_sf == pytest.approx(100)
    assert "prices_differ" in _codes(result)


def test_skew_and_service_life_are_spoken_of(letter: Letter, history: UnitCostHistory, check: Check) -> None:
    result = check(letter(skew_deg=None, service_life_years=75.0), history)
    assert {"no_skew", "service_life_is_an_assumption"} <= set(_codes(result))


def test_a_missing_width_is_an_error(letter: Letter, history: UnitCostHistory, check: Check) -> None:
    with pytest.raises(BadValue):
        check(letter(width_ft=None), history)


def test_the_type_may_be_written_as_the_trade_writes_it(letter: Letter, history: UnitCostHistory, check: Check) -> None:
    result = check(letter(superstructure="Rolled Steel Beams"), history)
    assert result.proposal.superstructure == "rolled steel beam"
    assert result.history.same_type == 18


# -- closest contracts and the span curve ----------------------------------------------------------------------------


def test_the_closest_contracts_are_of_the_type_first_and_their_columns_add_up(
    letter: Letter, history: UnitCostHistory, check: Check
) -> None:
    result = check(letter(), history)
    near = result.comparables
    assert list(near.columns) == list(COMPARABLE_COLUMNS)
    assert len(near) == 6
    assert set(near["superstructure"]) == {"rolled steel beam"}
    distance = np.log(near["span_ft"] / 62).abs()
    assert distance.max() < np.log(history.frame["span_ft"] / 62).abs().max()
    whole = near["unit_cost"] + near["to_dollars"] + near["to_geometry"]
    assert whole.tolist() == pytest.approx(near["comparable"].tolist())
    assert (result.like_for_like_per_sf / near["comparable"] - 1).tolist() == pytest.approx(
        near["offer_ratio"].tolist()
    )


def test_other_types_fill_up_the_closest_contracts_and_a_missing_span_goes_by_area(
    county: County, letter: Letter, check: Check, index: CostIndex
) -> None:
    history = county.usual(2).usual(7, kind="timber", seed=9).history(index)
    frame = history.frame.assign(span_ft=np.nan)
    spanless = UnitCostHistory(frame, history.category_costs, history.basis, history.dollars_of, history.index_title)
    near = check(letter(), spanless).comparables
    assert near["superstructure"].tolist()[:2] == ["rolled steel beam"] * 2
    assert set(near["superstructure"].iloc[2:]) == {"timber"}
    areas = np.log(near["deck_area_sf"].iloc[2:] / 1736).abs()
    assert areas.max() <= np.log(frame.loc[frame["superstructure"] == "timber", "deck_area_sf"] / 1736).abs().max()


def test_the_span_curve_passes_through_the_expected_price(
    letter: Letter, history: UnitCostHistory, model: CostModel, index: CostIndex
) -> None:
    result = check_proposal(letter(), structure=None, history=history, model=model, index=index)
    curve = span_curve(result, model, history, index)
    assert list(curve.columns) == ["span_ft", "p05", "p10", "p25", "p50", "p75", "p90", "p95", "in_range"]
    assert curve["span_ft"].is_monotonic_increasing
    assert result.expected is not None
    at_offer = np.interp(62.0, curve["span_ft"], curve["p50"])
    assert at_offer == pytest.approx(result.expected["p50"], rel=0.005)
    own = model.span_range("rolled steel beam")
    assert own is not None
    inside = curve[curve["in_range"]]["span_ft"]
    assert (inside.min() >= own[0], inside.max() <= own[1]) == (True, True)


# -- public form -----------------------------------------------------------------------------------------------------


def test_the_public_form_is_plain_json(letter: Letter, history: UnitCostHistory, check: Check) -> None:
    said = check(letter(scope=BEAMS_ONLY), history).as_dict()
    assert json.loads(json.dumps(said, allow_nan=False)) == said
    keys = {
        "quoted_usd", "deck_area_sf", "basis", "dollars_of", "quoted_per_sf", "like_for_like_per_sf", "adjustments",
        "expected", "percentile", "difference_ratio", "history", "comparables", "findings", "verdict",
    }  # fmt: skip
    assert keys <= set(said)
    assert set(said["expected"]) == {"p05", "p10", "p25", "p50", "p75", "p90", "p95", "mean"}
    assert {"what", "per_sf", "source", "n"} <= set(said["adjustments"][0])
    assert set(said["history"]) == {"contracts", "same_type", "first", "last"}
    assert {"code", "text"} <= set(said["verdict"])


# -- properties ------------------------------------------------------------------------------------------------------

_settings = settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
_prices = st.integers(2_000, 60_000).map(lambda cents: Decimal(cents) / 100)


@_settings
@given(price=_prices, more=st.integers(1, 5_000).map(lambda cents: Decimal(cents) / 100))
def test_a_dearer_offer_sits_higher(
    letter: Letter, history: UnitCostHistory, model: CostModel, index: CostIndex, price: Decimal, more: Decimal
) -> None:
    def percentile(offered: Decimal) -> float:
        offer = letter(price_per_sf=offered)
        found = check_proposal(offer, structure=None, history=history, model=model, index=index).percentile
        assert found is not None
        return found

    assert 0 <= percentile(price) < percentile(price + more) <= 1


@_settings
@given(
    price=_prices,
    scope=st.sets(st.sampled_from(["deliver", "set", "deck", "bearings", "railing", "wearing_surface", "joints"])),
    quarter=st.sampled_from(QUARTERS[20:]),
)
def test_the_quoted_price_and_the_steps_add_up_to_the_cent(
    letter: Letter,
    history: UnitCostHistory,
    model: CostModel,
    index: CostIndex,
    price: Decimal,
    scope: set[str],
    quarter: str,
) -> None:
    delivery = dt.date(int(quarter[:4]), 3 * int(quarter[5]), 1)
    offer = letter(price_per_sf=price, scope=("furnish", *sorted(scope)), delivery=delivery)
    result = check_proposal(offer, structure=None, history=history, model=model, index=index)
    total = result.quoted_per_sf + sum(step.per_sf for step in result.adjustments)
    assert round(total, 2) == round(result.like_for_like_per_sf, 2)
    assert result.like_for_like_per_sf > 0


def test_the_order_of_the_history_changes_nothing(letter: Letter, history: UnitCostHistory, check: Check) -> None:
    offer = letter(scope=BEAMS_ONLY)
    first = check(offer, history)
    turned = UnitCostHistory(
        history.frame.iloc[::-1].reset_index(drop=True),
        history.category_costs.iloc[::-1].reset_index(drop=True),
        history.basis,
        history.dollars_of,
        history.index_title,
    )
    second = check(offer, turned)
    assert second.as_dict() == first.as_dict()


def test_findings_are_worst_first_and_name_what_to_do(letter: Letter, history: UnitCostHistory, check: Check) -> None:
    result = check(letter(scope=("furnish",), superstructure="timber"), history, today=dt.date(2027, 1, 1))
    order = [["stop", "check", "note"].index(finding.severity) for finding in result.findings]
    assert order == sorted(order)
    assert all(finding.do for finding in result.findings if finding.severity == "check")


def test_a_full_letter_on_a_usual_county_needs_no_steps(
    county: County, letter: Letter, check: Check, index: CostIndex
) -> None:
    result = check(letter(), county.usual(12).history(index))
    assert result.adjustments == ()
    assert result.like_for_like_per_sf == result.quoted_per_sf == 140
    assert sum(WORK.values()) > 140  # the county's substructure is in no superstructure price

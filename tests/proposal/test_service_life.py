"""Capital recovery against textbook tables and figures worked from the formula, and the life that decides."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bidlens.errors import BadValue
from bidlens.proposal.service_life import capital_recovery, service_life, years_at
from bidlens.reference import CostIndex
from tests.proposal.conftest import Check, County, Letter


@pytest.mark.parametrize(
    ("rate", "years", "factor", "digits"),
    [
        # Engineering economy textbook table at 9 %: A/P 10 years 0.1558, 15 years 0.1241
        (0.09, 10, 0.1558, 4),
        (0.09, 15, 0.1241, 4),
        # Worked from A/P = i(1+i)^n / ((1+i)^n - 1) outside this program
        (0.10, 15, 0.131474, 6),
        (0.03, 75, 0.033668, 6),
        (0.03, 100, 0.031647, 6),
        (0.02, 75, 0.025855, 6),
        (0.07, 75, 0.070441, 6),
        (0.0, 75, 1 / 75, 12),
    ],
)
def test_capital_recovery(rate: float, years: float, factor: float, digits: int) -> None:
    assert capital_recovery(rate, years) == pytest.approx(factor, abs=0.5 * 10**-digits)


def test_present_worth_is_its_inverse() -> None:
    assert 1 / capital_recovery(0.09, 10) == pytest.approx(6.4177, abs=5e-5)  # P/A of the same table


def test_moving_a_life_from_75_to_100_years_changes_little() -> None:
    # at 3 %: 1 - 0.031647 / 0.033668 = 6.0 %
    assert 1 - capital_recovery(0.03, 100) / capital_recovery(0.03, 75) == pytest.approx(0.060, abs=5e-4)
    assert 1 - capital_recovery(0.07, 100) / capital_recovery(0.07, 75) < 0.01


def test_a_textbook_pair_capitalized() -> None:
    # Concrete 50 M, 250,000 a year, 70 years; steel 40 M, 500,000 a year, 50 years; 5 %. Capitalized cost is first cost
    # renewed for ever plus upkeep, (P x A/P + upkeep) / i: 56,699,153 and 53,821,388.
    concrete = (50e6 * capital_recovery(0.05, 70) + 250e3) / 0.05
    steel = (40e6 * capital_recovery(0.05, 50) + 500e3) / 0.05
    assert concrete == pytest.approx(56_699_153, abs=1)
    assert steel == pytest.approx(53_821_388, abs=1)


@given(st.floats(0, 0.2), st.floats(1, 150))
def test_the_life_of_a_factor_is_found_again(rate: float, years: float) -> None:
    factor = capital_recovery(rate, years)
    if factor > rate * (1 + 1e-9):
        found = years_at(rate, factor)
        assert found is not None
        assert capital_recovery(rate, min(found, 500)) == pytest.approx(factor, rel=1e-6)


@pytest.mark.parametrize(("rate", "years"), [(-0.01, 75), (0.3, 75), (0.03, 0), (0.03, -5), (float("nan"), 75)])
def test_a_rate_or_life_that_cannot_be_is_refused(rate: float, years: float) -> None:
    with pytest.raises(BadValue):
        capital_recovery(rate, years)


def test_the_crossover_by_hand(county: County, letter: Letter, check: Check, flat_index: CostIndex) -> None:
    # 120 against 100 $/sf, 75 years at no interest: 1.60 and 1.333 a year. 120 must last 120 / 1.333 = 90 years.
    history = county.usual(8).history(flat_index)
    dear = check(letter(proposal_id="dear", price_per_sf=Decimal(120)), history, index=flat_index)
    cheap = check(letter(proposal_id="cheap", price_per_sf=Decimal(100)), history, index=flat_index)
    first, second = service_life([dear, cheap], 0.0, 75).offers
    assert first.annual_per_sf == pytest.approx(1.6)
    assert first.crossover_years == pytest.approx(90)
    assert second.crossover_years == pytest.approx(62.5)
    # At 7 % no life makes 120 as cheap a year: 100 x 0.070441 = 7.04 is below 120 x 7 % = 8.40
    assert service_life([dear, cheap], 0.07, 75).offers[0].crossover_years is None

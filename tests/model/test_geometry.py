"""Restating prices to another geometry, and what happens where geometry is not known."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from bidlens.model import fit_cost_model, priors
from bidlens.model.geometry import Terms, learn_filler, row_weights
from bidlens.model.rows import read_rows
from tests.model.histories import asked, history


@pytest.fixture(scope="module")
def model():
    return fit_cost_model(history(80))


def _codes(model) -> set[str]:
    return {finding.code for finding in model.findings}


def test_geometry_ratio_is_what_predictions_differ_by(model):
    # Two structures that differ in span, area and skew alone: their medians must differ by that ratio.
    here, there = (
        asked(span_ft=45.0, deck_area_sf=1400.0, skew_deg=10.0),
        asked(span_ft=80.0, deck_area_sf=2500.0, skew_deg=30.0),
    )
    ratio = model.predict(there)["p50"].iloc[0] / model.predict(here)["p50"].iloc[0]
    assert model.geometry_ratio(here, there.iloc[0]).iloc[0] == pytest.approx(ratio, rel=1e-10)
    assert model.geometry_ratio(there, here).iloc[0] == pytest.approx(1 / ratio, rel=1e-10)


def test_reference_span_is_sixty_feet(model):
    rows = history(80)
    restated = model.at_reference_span(rows)
    assert restated.index.equals(rows.index)
    assert model.at_reference_span(rows.assign(span_ft=60.0)).to_numpy() == pytest.approx(
        rows["unit_cost_adjusted"].to_numpy()
    )
    by_hand = rows["unit_cost_adjusted"] * model.span_ratio(rows["span_ft"], 60.0)
    assert restated.to_numpy() == pytest.approx(by_hand.to_numpy())
    assert np.isnan(model.at_reference_span(rows.assign(span_ft=np.nan))).all()


def test_a_value_missing_on_either_side_restates_nothing(model):
    blank = asked(span_ft=np.nan, skew_deg=np.nan, deck_area_sf=np.nan)
    assert model.geometry_ratio(blank, asked().iloc[0]).iloc[0] == 1.0
    assert model.geometry_ratio(asked(), blank.iloc[0]).iloc[0] == 1.0


def test_rows_without_a_span_stay_in_count_and_are_said(model):
    rows = history(80)
    some = rows.assign(span_ft=rows["span_ft"].where(rows.index % 4 > 0))
    found = fit_cost_model(some)
    assert found.n == 80
    finding = next(finding for finding in found.findings if finding.code == "spans_missing")
    assert "20 of 80" in finding.text
    ratio = found.predict(asked())["p50"].iloc[0] / model.predict(asked())["p50"].iloc[0]
    assert 0.9 < ratio < 1.1


def test_a_filled_in_span_comes_from_deck_area_and_type():
    rows = history(400)
    filler = learn_filler(read_rows(rows, None)[0])
    blanked = read_rows(rows.assign(span_ft=np.nan), None)[0]
    filled = filler.terms(blanked.geometry).span
    true = np.log(read_rows(rows, None)[0].geometry.span_ft / 60)
    # Deck width varies by 10 % in these rows, so an unknown span is known to about that from the deck area.
    assert np.std(filled - true) < 0.13
    assert filler.span_variance == pytest.approx(np.var(filled - true), rel=0.15)


def test_a_filled_in_span_counts_for_a_little_less():
    known = np.zeros(2)
    terms = Terms(known, known, known, known, known, np.array([0.0, 0.09]), known, known)
    weights = row_weights(terms)
    assert weights[0] == 1.0
    assert 0.8 < weights[1] < 1.0


def test_without_any_span_the_span_terms_stay_at_their_prior():
    bare = fit_cost_model(history(60).drop(columns="span_ft"))
    assert "all_spans_missing" in _codes(bare)
    terms = bare.coefficients.set_index("term")
    for place in (priors.SPAN, priors.SPAN_SQUARED):
        term = priors.FIXED_TERMS[place]
        assert terms.loc[term.name, "mean"] == pytest.approx(term.prior_mean, abs=1e-9)
    short, long = bare.predict(asked(span_ft=30.0)), bare.predict(asked(span_ft=200.0))
    assert short["p50"].iloc[0] == long["p50"].iloc[0]
    assert "span" not in short["reason"].iloc[0]


def test_missing_skew_and_bidders_are_said_and_cost_no_row():
    bare = fit_cost_model(history(40).drop(columns=["skew_deg", "bidders"]))
    assert bare.n == 40
    assert {"skew_missing", "bidders_missing"} <= _codes(bare)
    few = history(40)
    few.loc[:9, "bidders"] = np.nan
    text = next(finding.text for finding in fit_cost_model(few).findings if finding.code == "bidders_missing")
    assert "10 of 40" in text
    assert f"{few['bidders'].median():g} stands in" in text


def test_impossible_geometry_counts_as_unknown():
    rows = history(20)
    rows.loc[0, ["span_ft", "skew_deg", "bidders"]] = [-5.0, 99.0, 0.0]
    rows.loc[1, ["span_ft", "skew_deg", "bidders"]] = [np.inf, -20.0, -1.0]
    geometry = read_rows(rows, None)[0].geometry
    assert np.isnan(geometry.span_ft).sum() == 2
    assert np.isnan(geometry.bidders).sum() == 2
    assert np.isnan(geometry.skew_deg).sum() == 1
    assert 20.0 in geometry.skew_deg


def test_span_ranges_are_those_on_record_by_type(model):
    rows = history(80)
    own = rows.loc[rows["superstructure"] == "timber", "span_ft"]
    assert model.span_range("timber") == (own.min(), own.max())
    assert model.span_range("buried structure") is None


def test_skew_without_effect_on_squares_of_sign(model):
    assert model.predict(asked(skew_deg=-25.0))["p50"].iloc[0] == model.predict(asked(skew_deg=25.0))["p50"].iloc[0]


def test_a_mixed_text_column_is_read_as_far_as_it_goes():
    rows = history(12).astype({"span_ft": "object"})
    rows.loc[3, "span_ft"] = "about 60"
    assert pd.isna(read_rows(rows, None)[0].frame["span_ft"]).sum() == 1
